"""What is only made when it is used first: names that a package offers, methods of a record.

A run of weeksync is short, and most of what it would import, it does not use: were everything made
at import, a mark on the tablet would wait for what reads calendars, and a night for the forms of
the served pages.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from importlib import import_module
from operator import attrgetter
from types import MemberDescriptorType
from typing import TYPE_CHECKING, Any, NoReturn

__all__ = ["dataclass", "lazily"]


def lazily(package: str, homes: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """The `__getattr__` of a package (PEP 562): module by its full name → the names it gives.

    The same imports stand under TYPE_CHECKING, and the names in `__all__`, for type checkers and
    readers; `tests/test_lazy.py` holds them against each other. A name must not be that of a
    module in the package: as soon as that is imported, the name means the module.
    """
    home_of = {name: home for home, names in homes.items() for name in names}

    def find(name: str) -> Any:
        home = home_of.get(name)
        if home is None:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        value = getattr(import_module(home), name)
        setattr(import_module(package), name, value)  # from now on it is found without us
        return value

    return find


if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, kw_only=False, order=False):
        """`dataclasses.dataclass` whose methods cost nothing before they are called.

        That one compiles five to seven methods for each class: half a millisecond, and a night
        has some three hundred classes. Here `dataclasses` makes the fields (and with them
        `fields`, `replace`, `is_dataclass`, patterns), `__init__` is compiled when the first
        record is made, and the other methods are the same few for all. Two differences show:
        a frozen record takes no attribute at all, and a class with this decorator and one with
        the other cannot be each other's base where they are frozen.
        """

        def made(cls):
            if order:  # few, and their methods are many
                return dataclasses.dataclass(
                    frozen=frozen, slots=slots, kw_only=kw_only, order=True
                )(cls)
            return _with_methods(cls, frozen=frozen, slots=slots, kw_only=kw_only)

        return made if cls is None else made(cls)


def _with_methods(cls: type, *, frozen: bool, slots: bool, kw_only: bool) -> type:
    """The class with its fields and methods; what it defines itself stays."""
    own = set(cls.__dict__)
    if "__eq__" in own and cls.__dict__.get("__hash__") is None:
        own.discard("__hash__")  # Python put the None there, not the author
    made: Any = dataclasses.dataclass(
        init=False, repr=False, eq=False, slots=slots, kw_only=kw_only
    )(cls)
    methods: dict[str, Any] = {"__init__": _first_init(made, frozen=frozen), "__repr__": _repr}
    methods |= _comparing(made, frozen=frozen)
    if frozen:
        methods |= {"__setattr__": _setattr, "__delattr__": _delattr}
    if frozen and slots:  # a copy would be made by setting its attributes
        methods |= {"__getstate__": _getstate, "__setstate__": _setstate}
    for name, method in methods.items():
        if name not in own:
            setattr(made, name, method)
    return made  # type: ignore[no-any-return]


def _first_init(made: Any, *, frozen: bool) -> Callable[..., None]:
    """The `__init__` until the first record is made: it puts the real one in its place."""

    def __init__(self: Any, *values: Any, **named: Any) -> None:
        made.__init__ = _real_init(made, frozen=frozen)
        made.__init__(self, *values, **named)

    return __init__


_UNSET: Any = object()


def _real_init(made: Any, *, frozen: bool) -> Callable[..., None]:
    """The `__init__` as `dataclasses` would make it, only that slots are set directly."""
    fields = dataclasses.fields(made)
    scope: dict[str, Any] = {"_set": object.__setattr__, "_unset": _UNSET}
    lines = []
    for one in fields:
        name, value = one.name, one.name
        member = getattr(made, name, None)
        if one.default_factory is not dataclasses.MISSING:
            scope[f"_make_{name}"] = one.default_factory
            value = (
                f"_make_{name}() if {name} is _unset else {name}" if one.init else f"_make_{name}()"
            )
        elif not one.init:
            if one.default is dataclasses.MISSING:
                continue
            scope[f"_default_{name}"] = one.default
            value = f"_default_{name}"
        if isinstance(member, MemberDescriptorType):
            scope[f"_set_{name}"] = member.__set__
            lines.append(f"_set_{name}(self, {value})")
        elif frozen:
            lines.append(f"_set(self, {name!r}, {value})")
        else:
            lines.append(f"self.{name} = {value}")
    if hasattr(made, "__post_init__"):
        lines.append("self.__post_init__()")
    asked = [one for one in fields if one.init]
    places = [_place(one, scope) for one in asked if not one.kw_only]
    named = [_place(one, scope) for one in asked if one.kw_only]
    head = ", ".join(["self", *places, *(["*", *named] if named else [])])
    body = "\n    ".join(lines or ["pass"])
    exec(f"def __init__({head}):\n    {body}", scope)  # noqa: S102 - names of fields, as dataclasses does
    init: Callable[..., None] = scope["__init__"]
    init.__qualname__ = f"{made.__qualname__}.__init__"
    init.__annotations__ = {one.name: one.type for one in asked} | {"return": None}
    return init


def _place(one: dataclasses.Field[Any], scope: dict[str, Any]) -> str:
    """How a field stands among the parameters."""
    if one.default_factory is not dataclasses.MISSING:
        return f"{one.name}=_unset"
    if one.default is not dataclasses.MISSING:
        scope[f"_default_{one.name}"] = one.default
        return f"{one.name}=_default_{one.name}"
    return one.name


def _comparing(made: Any, *, frozen: bool) -> dict[str, Any]:
    """Equal where class and fields are; what can change has no hash."""
    compared = tuple(one.name for one in dataclasses.fields(made) if one.compare)
    found: Callable[[Any], Any] = attrgetter(*compared) if compared else lambda _: ()
    # Of one name `attrgetter` gives the bare value; a tuple compares by identity first.
    values = found if len(compared) != 1 else lambda record: (found(record),)

    def __eq__(self: Any, other: Any) -> Any:
        return (
            values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented
        )

    def __hash__(self: Any) -> int:
        return hash(values(self))

    return {"__eq__": __eq__, "__hash__": __hash__ if frozen else None}


def _repr(self: Any) -> str:
    shown = (
        f"{one.name}={getattr(self, one.name)!r}" for one in dataclasses.fields(self) if one.repr
    )
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _setattr(self: Any, name: str, value: Any) -> NoReturn:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _delattr(self: Any, name: str) -> NoReturn:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _getstate(self: Any) -> list[Any]:
    return [getattr(self, one.name) for one in dataclasses.fields(self)]


def _setstate(self: Any, state: list[Any]) -> None:
    for one, value in zip(dataclasses.fields(self), state, strict=True):
        object.__setattr__(self, one.name, value)
