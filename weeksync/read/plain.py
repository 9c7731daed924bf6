"""Frozen records to what JSON knows and back, so that a file outlives the code that wrote it.

Every record is an object with the names of its fields, a tuple an array; days and moments are
ISO 8601 texts, moments with their offset. A field that is empty and may be is left out. Read
back, a name that no record knows (any more) is passed over, and one that is missing takes its
default: so fields can be added, and an old file stays readable.

Only the records of household files go through pydantic, which made them. For the others it cannot
be used: of a frozen dataclass with slots it takes a field named as its type, as `date: date`, for
the type (pydantic 2.14).
"""

from __future__ import annotations

import dataclasses
import types
from collections.abc import Callable, Mapping
from datetime import date, datetime, time
from enum import Enum
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from weeksync.model.record import Record
from weeksync.model.week import IsoWeek, Month

Decoder = Callable[[Any], Any]
"""What JSON had → the value."""

_NOTHING = object()


class NotPlain(ValueError):
    """A value that cannot be what stands there; `where` is its place, as `spread.days.2.date`."""

    def __init__(self, where: str = "") -> None:
        super().__init__(where)
        self.where = where

    def inside(self, step: object) -> NotPlain:
        """The same, told from one step further out: a place is only put together where it fails."""
        return NotPlain(f"{step}.{self.where}" if self.where else str(step))


def to_plain(value: Any) -> Any:
    """The value as what JSON knows; TypeError for what no record holds."""
    if value is None or isinstance(value, bool | int | float) or type(value) is str:
        return value
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, IsoWeek | Month):
        return str(value)
    if isinstance(value, date | time):  # a moment is a date, too
        return value.isoformat().replace("+00:00", "Z")
    if isinstance(value, Record):  # whole, as the files of people are
        return {name: to_plain(getattr(value, name)) for name in value.field_names()}
    if dataclasses.is_dataclass(value) or hasattr(value, "_fields"):
        return _object(value)
    if isinstance(value, tuple):
        return [to_plain(one) for one in value]
    if isinstance(value, Mapping):
        return {str(key): to_plain(one) for key, one in value.items()}
    raise TypeError(f"{type(value).__name__} is in no record")


def _object(value: Any) -> dict[str, Any]:
    found = {}
    kind: Any = type(value)
    for name, _, default in _fields(kind):
        one = getattr(value, name)
        if one or one != default:  # an empty default never becomes another one; a full one might
            found[name] = to_plain(one)
    return found


def from_plain(kind: Any, data: Any) -> Any:
    """The value of that type (a record, or a hint as `tuple[Day, ...]`); NotPlain with place."""
    return _decoder(kind)(data)


@cache
def _fields(kind: Any) -> tuple[tuple[str, Any, Any], ...]:
    """(name, type, default or `_NOTHING`) of each field of a dataclass or named tuple."""
    hints = get_type_hints(kind)
    if hasattr(kind, "_fields"):
        defaults = kind._field_defaults
        return tuple((name, hints[name], defaults.get(name, _NOTHING)) for name in kind._fields)
    return tuple(
        (one.name, hints[one.name], _default(one)) for one in dataclasses.fields(kind) if one.init
    )


def _default(one: dataclasses.Field[Any]) -> Any:
    if one.default is not dataclasses.MISSING:
        return one.default
    if one.default_factory is not dataclasses.MISSING:
        return one.default_factory()
    return _NOTHING


@cache
def _decoder(kind: Any) -> Decoder:
    """What reads values of that type; made once, since a week has thousands of them."""
    origin, inner = get_origin(kind), get_args(kind)
    if origin in {Union, types.UnionType}:
        return _union(inner)
    if origin is tuple:
        return _tuple(inner)
    if origin is not None and issubclass(origin, Mapping):
        return _mapping(inner[1])
    if kind in _SIMPLE:
        return _SIMPLE[kind]
    if isinstance(kind, type) and issubclass(kind, Enum):
        return _from_text(kind)
    if isinstance(kind, type) and issubclass(kind, Record):
        return _model(kind)
    if kind in {IsoWeek, Month}:
        return _from_text(IsoWeek.parse if kind is IsoWeek else _month)
    return _record(kind)


def _record(kind: Any) -> Decoder:
    fields = tuple((name, _decoder(hint), default) for name, hint, default in _fields(kind))

    def read(data: Any) -> Any:
        if not isinstance(data, dict):
            raise NotPlain
        values, name = {}, ""
        try:
            for name, decode, default in fields:
                if name in data:
                    values[name] = decode(data[name])
                elif default is _NOTHING:
                    raise NotPlain  # it gets its place below
        except NotPlain as error:
            raise error.inside(name) from None
        return kind(**values)

    return read


def _model(kind: type[Record]) -> Decoder:
    from pydantic import ValidationError

    from weeksync.read.checked import checked

    names = frozenset(kind.field_names())

    def read(data: Any) -> Any:
        if not isinstance(data, dict):
            raise NotPlain
        known = {name: one for name, one in data.items() if name in names}
        try:
            return checked(kind, known)
        except ValidationError as error:
            place = error.errors(include_url=False, include_context=False)[0]["loc"]
            raise NotPlain(".".join(map(str, place))) from error

    return read


def _tuple(inner: tuple[Any, ...]) -> Decoder:
    parts = tuple(map(_decoder, inner[:1] if inner[-1] is Ellipsis else inner))
    each = parts[0] if inner[-1] is Ellipsis else None

    def read(data: Any) -> Any:
        if not isinstance(data, list) or (each is None and len(data) != len(parts)):
            raise NotPlain
        found: list[Any] = []
        try:
            if each is not None:
                found.extend(map(each, data))
            else:
                found.extend(decode(one) for decode, one in zip(parts, data, strict=True))
        except NotPlain as error:
            raise error.inside(len(found)) from None
        return tuple(found)

    return read


def _mapping(inner: Any) -> Decoder:
    each = _decoder(inner)

    def read(data: Any) -> Any:
        if not isinstance(data, dict):
            raise NotPlain
        return types.MappingProxyType({key: each(one) for key, one in data.items()})

    return read


def _union(inner: tuple[Any, ...]) -> Decoder:
    """One of several types: None, the type JSON has already, or the first that can be read.

    A moment is tried before a day: `date` reads no text with a time in it, but a moment would
    take a bare date for its midnight.
    """
    plain = tuple(one for one in inner if one in {str, int, float, bool})
    order = sorted((one for one in inner if one not in plain), key=lambda one: one is not datetime)
    others = tuple(_decoder(one) for one in order if one is not types.NoneType)
    every = (*others, *map(_decoder, plain))

    def read(data: Any) -> Any:
        if data is None and types.NoneType in inner:
            return None
        if type(data) in plain:
            return data
        for decode in every:
            try:
                return decode(data)
            except NotPlain as error:
                if error.where:  # it is of this kind, and wrong further in
                    raise
        raise NotPlain

    return read


def _from_text(parse: Callable[[str], Any]) -> Decoder:
    def read(data: Any) -> Any:
        if not isinstance(data, str):
            raise NotPlain
        try:
            return parse(data)
        except ValueError as error:
            raise NotPlain from error

    return read


def _month(text: str) -> Month:
    return Month.of(date.fromisoformat(f"{text}-01"))


def _moment(text: str) -> datetime:
    if "T" not in text:
        raise ValueError(text)
    return datetime.fromisoformat(text)


def _just(*kinds: type) -> Decoder:
    def read(data: Any) -> Any:
        if type(data) not in kinds:
            raise NotPlain
        return data

    return read


def _float(data: Any) -> float:
    if type(data) not in {int, float}:
        raise NotPlain
    return float(data)


_SIMPLE: dict[Any, Decoder] = {
    str: _just(str),
    int: _just(int),
    bool: _just(bool),
    float: _float,
    datetime: _from_text(_moment),
    date: _from_text(date.fromisoformat),
    time: _from_text(time.fromisoformat),
}
