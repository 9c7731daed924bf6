"""What is only made when it is used first: names that a package offers, methods of a record.

A run of weeksync is short, and most of what it would import, it does not use: were everything made
at import, a mark on the tablet would wait for what reads calendars, and a night for the forms of
the served pages.
"""

from __future__ import annotations

import dataclasses
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from importlib import import_module
from inspect import get_annotations
from operator import attrgetter, ge, gt, le, lt
from threading import RLock
from types import CodeType, FunctionType, MemberDescriptorType, ModuleType
from typing import TYPE_CHECKING, Any, NamedTuple, NoReturn

__all__ = ["dataclass", "hollow", "lazily"]


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


_HOLLOW = RLock()


@contextmanager
def hollow(package: str, folders: Iterable[str]) -> Iterator[None]:
    """Meanwhile an empty package with these folders stands where that one is not imported yet.

    Of its modules those that are asked for are imported, and not all that its own `__init__` names.
    One thread at a time.
    """
    with _HOLLOW:
        if package in sys.modules:
            yield
            return
        empty = ModuleType(package)
        empty.__path__ = list(folders)
        sys.modules[package] = empty
        try:
            yield
        finally:
            del sys.modules[package]


if TYPE_CHECKING:
    from dataclasses import dataclass
else:

    def dataclass(cls=None, /, *, frozen=False, slots=False, kw_only=False, order=False):
        """`dataclasses.dataclass` whose methods cost nothing before they are called.

        That one compiles five to seven methods for each class: half a millisecond, and a night
        has some three hundred classes. Here `dataclasses` makes the fields (and with them
        `fields`, `replace`, `is_dataclass`, patterns) when they are asked for, `__init__` is
        compiled when the first record is made, and the other methods are the same few for all.
        Three differences show: a frozen record takes no attribute at all, a class with this
        decorator and one with the other cannot be each other's base where they are frozen, and
        a field that cannot be is said with the first record.
        """

        def made(cls):
            found = _with_methods(cls, frozen=frozen, slots=slots, kw_only=kw_only)
            if order:
                for name, method in _ordering(found).items():
                    setattr(found, name, method)
            return found

        return made if cls is None else made(cls)


def _with_methods(cls: type, *, frozen: bool, slots: bool, kw_only: bool) -> type:
    """The class with its fields and methods; what it defines itself stays."""
    own = set(cls.__dict__)
    if "__eq__" in own and cls.__dict__.get("__hash__") is None:
        own.discard("__hash__")  # Python put the None there, not the author
    if slots and _is_plain(cls):
        made: Any = _with_slots(cls, kw_only=kw_only)
    else:
        made = dataclasses.dataclass(
            init=False, repr=False, eq=False, slots=slots, kw_only=kw_only
        )(cls)
    methods: dict[str, Any] = {"__init__": _first_init(made, frozen=frozen), "__repr__": _repr}
    methods |= _comparing(made, frozen=frozen)
    if frozen:
        methods |= {"__setattr__": _setattr, "__delattr__": _delattr}
    if frozen and slots:  # a copy would be made by setting its attributes
        methods |= _copying(made)
    for name, method in methods.items():
        if name not in own:
            setattr(made, name, method)
    return made  # type: ignore[no-any-return]


def _is_plain(cls: type) -> bool:
    """Whether its annotations are its slots: none means something else, all bases have slots."""
    written = get_annotations(cls).values()
    return all(
        isinstance(base.__dict__.get("__slots__"), tuple) for base in cls.__mro__[1:-1]
    ) and not any(
        special in str(one) for one in written for special in ("ClassVar", "InitVar", "KW_ONLY")
    )


def _with_slots(cls: type, *, kw_only: bool) -> type:
    """The class with slots, which only a new one can have; `dataclasses` sees it when asked."""
    body = dict(cls.__dict__)
    kinds = get_annotations(cls)
    names = tuple(kinds)
    values = {name: body[name] for name in names if name in body}
    for name in (*names, "__dict__", "__weakref__"):
        body.pop(name, None)
    inherited = {slot for base in cls.__mro__[1:-1] for slot in base.__dict__["__slots__"]}
    body["__slots__"] = tuple(name for name in names if name not in inherited)
    body["__qualname__"] = cls.__qualname__

    def look() -> None:
        with _ONE_AT_A_TIME:  # `dataclasses` takes the defaults off the class as it was written
            if "__dataclass_fields__" not in cls.__dict__:
                dataclasses.dataclass(init=False, repr=False, eq=False, kw_only=kw_only)(cls)
        for name in _SEEN:
            setattr(made, name, cls.__dict__[name])

    made = type(cls)(
        cls.__name__, cls.__bases__, {name: _Later(look, name) for name in _SEEN} | body
    )
    _WRITTEN[made] = kinds, values, kw_only
    return made


class _Written(NamedTuple):
    """What of a field is needed to make and compare records, by the names `dataclasses` has."""

    name: str
    type: Any
    default: Any
    default_factory: Any
    init: bool
    compare: bool
    kw_only: bool


_Field = _Written | dataclasses.Field[Any]
_WRITTEN: dict[type, tuple[Mapping[str, Any], Mapping[str, Any], bool]] = {}
"""Class → the types of its fields, what they are set to, whether they are given by name alone."""


def _as_written(made: type) -> Iterator[_Written]:
    """The fields that stand in the class itself."""
    kinds, values, by_name = _WRITTEN[made]
    missing = dataclasses.MISSING
    for name, kind in kinds.items():
        value = values.get(name, missing)
        if isinstance(value, dataclasses.Field):
            kw_only = by_name if value.kw_only is missing else value.kw_only
            factory = value.default_factory
            yield _Written(
                name, kind, value.default, factory, value.init, value.compare, bool(kw_only)
            )
        else:
            yield _Written(name, kind, value, missing, True, True, by_name)


def _fields_of(made: Any) -> Iterable[_Field]:
    """`dataclasses.fields` without a look at the class, which takes longer than all the rest."""
    found: dict[str, _Field] = {}
    for base in reversed(made.__mro__[:-1]):
        if base in _WRITTEN:
            found |= {one.name: one for one in _as_written(base)}
        elif base is made:
            return dataclasses.fields(made)
        elif dataclasses.is_dataclass(base):
            found |= {one.name: one for one in dataclasses.fields(base)}
    if any(one.default.__class__.__hash__ is None for one in found.values()):
        return dataclasses.fields(made)  # it says what is wrong with that
    return found.values()


_SEEN = ("__dataclass_fields__", "__dataclass_params__", "__match_args__")
_ONE_AT_A_TIME = RLock()


class _Later:
    """Stands for what `dataclasses` says of a class until somebody asks."""

    __slots__ = ("_look", "_name")

    def __init__(self, look: Callable[[], None], name: str) -> None:
        self._look = look
        self._name = name

    def __get__(self, record: object, kind: type) -> Any:
        self._look()
        return getattr(kind, self._name)


def _first_init(made: Any, *, frozen: bool) -> Callable[..., None]:
    """The `__init__` until the first record is made: it puts the real one in its place."""

    def __init__(self: Any, *values: Any, **named: Any) -> None:
        made.__init__ = _real_init(made, frozen=frozen)
        made.__init__(self, *values, **named)

    return __init__


_UNSET: Any = object()


def _real_init(made: Any, *, frozen: bool) -> Callable[..., None]:
    """The `__init__` as `dataclasses` would make it, only that slots are set directly.

    Its code is that of all classes with so many fields: to compile it for each takes a hundred
    microseconds, and a night makes records of a hundred and thirty.
    """
    fields = list(_fields_of(made))
    places = [one for one in fields if one.init and not one.kw_only]
    named = [one for one in fields if one.init and one.kw_only]
    at = {one.name: number for number, one in enumerate((*places, *named))}
    scope: dict[str, Any] = {"_unset": _UNSET}
    lines = []
    for number, one in enumerate(fields):
        value = f"p{at[one.name]}" if one.init else f"_value{number}"
        if one.default_factory is not dataclasses.MISSING:
            scope[f"_make{number}"] = one.default_factory
            make = f"_make{number}()"
            value = f"{make} if {value} is _unset else {value}" if one.init else make
        elif not one.init:
            if one.default is dataclasses.MISSING:
                continue
            scope[f"_value{number}"] = one.default
        scope[f"_set{number}"] = _setter(made, one.name, frozen=frozen)
        lines.append(f"_set{number}(self, {value})")
    if hasattr(made, "__post_init__"):
        lines.append("self.__post_init__()")
    code = _code(len(places), len(named), "\n    ".join(lines or ["pass"]))
    code = code.replace(co_varnames=("self", *at))
    init = FunctionType(code, scope, "__init__", _defaults(places))
    init.__kwdefaults__ = {one.name: _default(one) for one in named if _has_default(one)}
    init.__module__ = made.__module__
    init.__qualname__ = f"{made.__qualname__}.__init__"
    init.__annotations__ = {one.name: one.type for one in fields if one.init} | {"return": None}
    return init


_CODES: dict[tuple[int, int, str], CodeType] = {}


def _code(places: int, named: int, body: str) -> CodeType:
    """The code of an `__init__` with so many parameters p0, p1 … by place, and then by name."""
    found = _CODES.get((places, named, body))
    if found is None:
        parameters = [f"p{number}" for number in range(places + named)]
        by_name = ["*", *parameters[places:]] if named else []
        head = ", ".join(["self", *parameters[:places], *by_name])
        scope: dict[str, Any] = {}
        exec(f"def __init__({head}):\n    {body}", scope)  # noqa: S102 - numbers, and what is above
        found = _CODES[places, named, body] = scope["__init__"].__code__
    return found


def _setter(made: Any, name: str, *, frozen: bool) -> Callable[[Any, Any], None]:
    member = getattr(made, name, None)
    if isinstance(member, MemberDescriptorType):
        return member.__set__
    put = object.__setattr__ if frozen else setattr
    return lambda record, value: put(record, name, value)


def _defaults(places: Iterable[_Field]) -> tuple[Any, ...]:
    """Of the parameters by place; TypeError where one without follows one that has any."""
    found: list[Any] = []
    for one in places:
        if _has_default(one):
            found.append(_default(one))
        elif found:
            raise TypeError(f"non-default argument {one.name!r} follows default argument")
    return tuple(found)


def _has_default(one: _Field) -> bool:
    missing = dataclasses.MISSING
    return one.default is not missing or one.default_factory is not missing


def _default(one: _Field) -> Any:
    return _UNSET if one.default_factory is not dataclasses.MISSING else one.default


def _comparing(made: Any, *, frozen: bool) -> dict[str, Any]:
    """Equal where class and fields are; what can change has no hash."""
    values: Callable[[Any], Any] | None = None

    def __eq__(self: Any, other: Any) -> Any:
        nonlocal values
        if other.__class__ is not self.__class__:
            return NotImplemented
        if values is None:
            values = _compared(made)
        return values(self) == values(other)

    def __hash__(self: Any) -> int:
        nonlocal values
        if values is None:
            values = _compared(made)
        return hash(values(self))

    return {"__eq__": __eq__, "__hash__": __hash__ if frozen else None}


def _ordering(made: Any) -> dict[str, Any]:
    """Records of one class are in the order of their fields."""

    def method(compare: Callable[[Any, Any], bool]) -> Callable[[Any, Any], Any]:
        values: Callable[[Any], Any] | None = None

        def compared(self: Any, other: Any) -> Any:
            nonlocal values
            if other.__class__ is not self.__class__:
                return NotImplemented
            if values is None:
                values = _compared(made)
            return compare(values(self), values(other))

        return compared

    return {f"__{one.__name__}__": method(one) for one in (lt, le, gt, ge)}


def _compared(made: Any) -> Callable[[Any], Any]:
    """The values of a record that count when it is compared, as a tuple."""
    names = tuple(one.name for one in _fields_of(made) if one.compare)
    found: Callable[[Any], Any] = attrgetter(*names) if names else lambda _: ()
    # Of one name `attrgetter` gives the bare value; a tuple compares by identity first.
    return found if len(names) != 1 else lambda record: (found(record),)


def _repr(self: Any) -> str:
    shown = (
        f"{one.name}={getattr(self, one.name)!r}" for one in dataclasses.fields(self) if one.repr
    )
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _setattr(self: Any, name: str, value: Any) -> NoReturn:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _delattr(self: Any, name: str) -> NoReturn:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")


def _copying(made: Any) -> dict[str, Any]:
    """A record's state is the values of its slots, for `copy` and `pickle`."""
    members: list[MemberDescriptorType] = []

    def slots() -> list[MemberDescriptorType]:
        if not members:
            names = [name for one in reversed(made.__mro__) for name in _slots_of(one)]
            members.extend(getattr(made, name) for name in dict.fromkeys(names))
        return members

    def __getstate__(self: Any) -> tuple[Any, ...]:
        return tuple(one.__get__(self) for one in slots())

    def __setstate__(self: Any, state: tuple[Any, ...]) -> None:
        for one, value in zip(slots(), state, strict=True):
            one.__set__(self, value)

    return {"__getstate__": __getstate__, "__setstate__": __setstate__}


def _slots_of(one: type) -> tuple[str, ...]:
    found = one.__dict__.get("__slots__", ())
    return (found,) if isinstance(found, str) else tuple(found)
