"""Records filled by their types alone, a word in every text; and all texts that they can hold."""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Callable, Iterator, Mapping
from datetime import UTC, date, datetime, time
from enum import Enum
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from weeksync.message import Message
from weeksync.model.week import IsoWeek

DAY = date(2027, 3, 16)
_PLAIN: dict[Any, Any] = {
    int: 1,
    float: 1.0,
    bool: True,
    date: DAY,
    datetime: datetime(2027, 3, 16, 12, tzinfo=UTC),
    time: time(10, 30),
    IsoWeek: IsoWeek(2027, 11),
    types.NoneType: None,
}


def filled(kind: Any, words: Callable[[str], str], place: str = "") -> Any:
    """A value of that type in which every text is a word, and nothing that may be there is not."""
    origin, inner = get_origin(kind), get_args(kind)
    if kind is str:
        return words(place)
    if kind in _PLAIN:
        return _PLAIN[kind]
    if kind is Message:
        values = {"value": words(f"{place}.values")}
        return Message(words(place), values, words(f"{place}.plural"), 2)
    if origin in {Union, types.UnionType}:
        return filled(next(one for one in inner if one is not types.NoneType), words, place)
    if origin is tuple:
        parts = inner[:1] if inner[-1] is Ellipsis else inner
        return tuple(filled(one, words, f"{place}.{at}") for at, one in enumerate(parts))
    if origin is Literal:
        return inner[0]
    if isinstance(kind, type) and issubclass(kind, Enum):
        return next(iter(kind))
    return kind(
        **{
            name: filled(hint, words, f"{place}.{kind.__name__}.{name}")
            for name, hint in fields_of(kind).items()
        }
    )


def fields_of(kind: type) -> dict[str, Any]:
    """The fields of a record with their types; {} for what is none."""
    if dataclasses.is_dataclass(kind):
        hints = get_type_hints(kind)
        return {one.name: hints[one.name] for one in dataclasses.fields(kind) if one.init}
    if hasattr(kind, "_fields"):
        hints = get_type_hints(kind)
        return {name: hints[name] for name in kind._fields}
    return {}


def texts_of(kind: Any, seen: set[Any] | None = None) -> set[str]:
    """`Record.field` of every text that a value of that type can hold, however deep."""
    seen = set() if seen is None else seen
    if not isinstance(kind, type) or get_origin(kind) is not None:
        return {one for inner in get_args(kind) for one in texts_of(inner, seen)}
    if kind in seen:
        return set()
    seen.add(kind)
    found = set()
    for name, hint in fields_of(kind).items():
        if holds_text(hint):
            found.add(f"{kind.__name__}.{name}")
        found |= texts_of(hint, seen)
    return found


def holds_text(hint: Any) -> bool:
    """Whether a field holds texts itself, or tuples of them."""
    if hint is str:
        return True
    return get_origin(hint) is not Literal and any(map(holds_text, get_args(hint)))


def values_of(value: Any) -> Iterator[tuple[str, str]]:
    """(`Record.field`, text) of every text in a value."""
    kind = type(value)
    if isinstance(value, tuple) and not hasattr(value, "_fields"):
        for one in value:
            yield from values_of(one)
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield from values_of(key)
            yield from values_of(one)
    for name in fields_of(kind):
        one = getattr(value, name)
        for text in _texts(one):
            yield f"{kind.__name__}.{name}", text
        yield from values_of(one)


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str) and not isinstance(value, Enum):
        yield value
    elif isinstance(value, tuple) and not hasattr(value, "_fields"):
        for one in value:
            yield from _texts(one)
    elif isinstance(value, Mapping):
        for key, one in value.items():
            yield from _texts(key)
            yield from _texts(one)
