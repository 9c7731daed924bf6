"""Records whose methods are made when they are called: as those of `dataclasses`, which decides."""

from __future__ import annotations

import copy
import dataclasses
import inspect
import pickle
import pkgutil
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import field
from importlib import import_module
from typing import Any, ClassVar, Generic, TypeVar

import pytest

import weeksync
from weeksync import lazy

T = TypeVar("T")

Decorator = Callable[..., Any]
WAYS: tuple[dict[str, bool], ...] = (
    {},
    {"frozen": True},
    {"slots": True},
    {"frozen": True, "slots": True},
)


def shapes(dataclass: Decorator, **how: bool) -> Iterator[type[Any]]:
    """The same classes with whichever decorator."""

    @dataclass(**how)
    class Empty:
        """No field at all."""

    @dataclass(**how)
    class One:
        """A single field: its value is compared as it is."""

        only: float

    @dataclass(**how)
    class Several:
        """Every kind of default."""

        first: int
        second: str = "two"
        third: list[int] = field(default_factory=list)
        aside: int = field(default=7, compare=False, repr=False)
        after: dict[str, int] = field(default_factory=dict, kw_only=True)

    @dataclass(**how)
    class Base:
        """What another one has, too."""

        a: int
        b: int = 1

    @dataclass(**how, kw_only=True)
    class Derived(Base):
        """Fields by name after those of its base; one of them has another default."""

        c: int
        b: int = 2
        d: int = field(init=False, default=4)

        def __post_init__(self) -> None:
            """It sees its fields."""
            assert self.a is not None
            assert self.d == 4

    @dataclass(**how)
    class Own:
        """What a class says itself stays."""

        x: int

        def __repr__(self) -> str:
            return "mine"

        def __eq__(self, other: object) -> bool:
            return True

        __hash__ = object.__hash__

    @dataclass(**how)
    class EqualInItsWay:
        """Comparing of its own, hash of the decorator."""

        x: int

        def __eq__(self, other: object) -> bool:
            return True

    @dataclass(**how)
    class Shared:
        """Not everything that is annotated is a field."""

        known: ClassVar[int] = 3
        x: int = 1

    class Bare:
        """No record, and without slots."""

    @dataclass(**how)
    class OnBare(Bare):
        """Its base has a `__dict__`."""

        x: int = 1

    @dataclass(**how)
    class Of(Generic[T]):
        """Of any kind."""

        x: T

    @dataclass(**how)
    class Unmarked:
        """Says itself what patterns take it apart by."""

        __match_args__ = ()
        x: int

    yield from (Empty, One, Several, Base, Derived, Own, EqualInItsWay)
    yield from (Shared, OnBare, Of, Unmarked)


CALLS: dict[str, tuple[tuple[tuple[Any, ...], dict[str, Any]], ...]] = {
    "Empty": (((), {}), ((1,), {})),
    "One": (((float("nan"),), {}), ((1.0,), {}), ((), {}), ((1, 2), {}), ((), {"other": 1})),
    "Several": (
        ((1,), {}),
        ((1, "x", [3], 9), {"after": {"a": 1}}),
        ((1, "x", [3], 9, {}), {}),
        ((), {"first": 1, "second": "y"}),
        ((1,), {"first": 1}),
    ),
    "Base": (((1,), {}), ((1, 2), {})),
    "Derived": (((1,), {"c": 3}), ((1, 5), {"c": 3}), ((), {"a": 0, "b": 0, "c": 0}), ((1,), {})),
    "Own": (((1,), {}),),
    "EqualInItsWay": (((1,), {}),),
    "Shared": (((), {}), ((2,), {}), ((), {"known": 4})),
    "OnBare": (((), {}), ((2,), {})),
    "Of": (((1,), {}),),
    "Unmarked": (((1,), {}),),
}


def outcome(act: Callable[[], Any]) -> tuple[str, str]:
    """What comes of it, in words that can be compared."""
    try:
        return "fine", repr(act()).replace("test_lazy_records.", "")
    except Exception as error:
        return type(error).__name__, str(error)


@pytest.mark.parametrize("how", WAYS, ids=lambda how: "-".join(how) or "plain")
def test_records_are_as_those_of_dataclasses(how: dict[str, bool]) -> None:
    """Made, shown, compared, hashed, replaced, taken apart: the same results and errors."""
    pairs = zip(shapes(dataclasses.dataclass, **how), shapes(lazy.dataclass, **how), strict=True)
    for known, ours in pairs:
        for values, named in CALLS[known.__name__]:
            made = outcome(lambda: known(*values, **named))  # noqa: B023 - called at once
            assert outcome(lambda: ours(*values, **named)) == made  # noqa: B023
            if made[0] != "fine":
                continue
            theirs, mine = known(*values, **named), ours(*values, **named)
            for act in ACTS:
                assert outcome(lambda: act(mine)) == outcome(lambda: act(theirs)), (  # noqa: B023
                    known,
                    act.__name__,
                )
        assert fields_of(ours) == fields_of(known)
        assert str(inspect.signature(ours)) == str(inspect.signature(known)).replace(
            "<factory>", repr(lazy._UNSET)
        )
        assert getattr(ours, "__match_args__", None) == getattr(known, "__match_args__", None)
        assert ours.__dict__.get("__slots__") == known.__dict__.get("__slots__")
        assert hasattr(ours, "__dict__") == hasattr(known, "__dict__")
        assert ours.__init__.__annotations__ == known.__init__.__annotations__


def fields_of(kind: type[Any]) -> list[str]:
    """Its fields in words."""
    return [str(one) for one in dataclasses.fields(kind)]


def _equal(one: Any) -> Any:
    return one == copy.copy(one), one == object(), one != copy.copy(one)


def _hashed(one: Any) -> Any:
    return hash(one) == hash(copy.copy(one))


def _whole(one: Any) -> Any:
    return dataclasses.asdict(one), dataclasses.astuple(one)


def _replaced(one: Any) -> Any:
    first = dataclasses.fields(one)[0].name
    return dataclasses.replace(one, **{first: 99})


def _set(one: Any) -> Any:
    first = dataclasses.fields(one)[0].name
    setattr(one, first, 98)
    return one


def _deleted(one: Any) -> Any:
    delattr(one, dataclasses.fields(one)[0].name)
    return one


ACTS: tuple[Callable[[Any], Any], ...] = (repr, _equal, _hashed, _whole, _replaced, _set, _deleted)


def test_defaults_that_are_made_are_not_shared() -> None:
    """Each record has its own list."""
    *_, several = list(shapes(lazy.dataclass))[:3]
    one, other = several(1), several(1)
    one.third.append(5)
    assert other.third == []


def test_ordered_records_are_ordered() -> None:
    """By their fields in turn."""

    @lazy.dataclass(frozen=True, slots=True, order=True)
    class Version:
        """Two numbers."""

        major: int
        minor: int

    assert sorted([Version(2, 1), Version(1, 9), Version(1, 2)])[0] == Version(1, 2)
    assert len({Version(1, 2), Version(1, 2)}) == 1
    assert (Version(1, 2) <= Version(1, 2), Version(1, 2) > Version(1, 1)) == (True, True)
    assert (Version(1, 2) >= Version(1, 3), Version(1, 2) < Version(1, 2)) == (False, False)
    with pytest.raises(TypeError, match="not supported between"):
        assert Version(1, 2) < (1, 3)  # type: ignore[operator]


def test_a_field_without_default_after_one_with_is_refused() -> None:
    """With the first record, by the word of `dataclasses`."""

    @lazy.dataclass(slots=True)
    class Turned:
        """The wrong way round."""

        has: int = 1
        needs: int  # type: ignore[misc]

    with pytest.raises(TypeError, match="non-default argument 'needs' follows default argument"):
        Turned(needs=1)


def test_a_default_that_all_records_would_share_is_refused() -> None:
    """With the first record, by the word of `dataclasses`."""

    @lazy.dataclass(slots=True)
    class Shared:
        """A list stands where one should be made."""

        many: list[int] = []  # noqa: RUF012

    with pytest.raises(ValueError, match="mutable default"):
        Shared()


@lazy.dataclass(frozen=True, slots=True)
class Point:
    """Something that can be sent to another process."""

    x: int
    y: int = 0


def test_frozen_records_survive_a_pickle() -> None:
    """Although their attributes cannot be set."""
    assert pickle.loads(pickle.dumps(Point(1, 2))) == Point(1, 2)  # noqa: S301 - our own bytes
    assert copy.deepcopy(Point(3)) == Point(3)


def test_a_frozen_record_takes_no_attribute_at_all() -> None:
    """`dataclasses` would take one that is no field, where there are no slots."""
    with pytest.raises(dataclasses.FrozenInstanceError, match="cannot assign to field 'z'"):
        Point(1).z = 3  # type: ignore[attr-defined]


def test_patterns_take_a_record_apart() -> None:
    """By the order of its fields."""
    match Point(4, 5):
        case Point(x, y):
            assert (x, y) == (4, 5)


def test_the_init_is_made_with_the_first_record(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once for a class, and not before."""
    made: list[str] = []
    real = lazy._real_init

    def noted(cls: Any, *, frozen: bool) -> Callable[..., None]:
        made.append(cls.__name__)
        return real(cls, frozen=frozen)

    monkeypatch.setattr(lazy, "_real_init", noted)
    base = list(shapes(lazy.dataclass, frozen=True, slots=True))[3]
    assert made == []
    base(1)
    base(2)
    assert made == ["Base"]


def test_a_class_without_decorator_inherits_the_init() -> None:
    """The real one, whoever is made first."""
    base = list(shapes(lazy.dataclass))[3]
    child = type("Child", (base,), {})
    assert (child(1).b, base(1).b, child(1, 3).b) == (1, 1, 3)


def test_threads_that_make_the_first_record_at_once_make_the_same(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """`dataclasses` may look at a class only once: it takes the defaults off as it looks."""
    looks: list[type] = []
    real = dataclasses.dataclass

    def noted(**how: bool) -> Callable[[type], type]:
        def look(cls: type) -> type:
            looks.append(cls)
            return real(**how)(cls)

        return look

    monkeypatch.setattr(dataclasses, "dataclass", noted)
    for _ in range(30):
        several = list(shapes(lazy.dataclass, frozen=True, slots=True))[2]
        looks.clear()
        with ThreadPoolExecutor(8) as threads:
            made = set(threads.map(lambda first: repr(several(first)), [1] * 16))  # noqa: B023
        assert made == {repr(several(1))}
        assert [one.__name__ for one in looks] == ["Several"]


def test_every_record_of_weeksync_can_be_made() -> None:
    """What `dataclasses` finds wrong with a class is not left to the first record of a night."""
    found = 0
    for module in pkgutil.walk_packages(weeksync.__path__, "weeksync."):
        if module.name.endswith("__main__"):
            continue
        for one in list(vars(import_module(module.name)).values()):
            if isinstance(one, type) and dataclasses.is_dataclass(one):
                lazy._real_init(one, frozen=False)
                dataclasses.fields(one)
                found += 1
    assert found > 300
