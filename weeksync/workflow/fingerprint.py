"""Digests of records: equal records have equal digests, in whatever process they were made.

A digest is only ever compared with one that was made by the same weeksync (`unit_keys`), so the
form that is hashed may change at any time. It is that of `marshal` in its version 2, which writes
values and nothing of how they are shared, and takes a third of the time of what else there is.
"""

from __future__ import annotations

import hashlib
import marshal
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time, timedelta
from enum import Enum
from operator import attrgetter
from pathlib import PurePath
from typing import Any
from zoneinfo import ZoneInfo

_BY_VALUE = 2
_PLAIN = frozenset({str, int, float, bool, bytes, type(None)})
"""Types that `marshal` writes as they are."""

_Flatten = Callable[[Any], Any]


def fingerprint(*things: object) -> str:
    """The SHA-256 in hex of records, tuples, lists, sets, mappings, days, times, texts, numbers.

    Anything else is told by its `repr`; where that is another one in each process, so is the
    digest, and what it was made for is made again.
    """
    return hashlib.sha256(marshal.dumps(_many(things), _BY_VALUE)).hexdigest()


class _Flat(dict[type, _Flatten]):
    """How a thing of a type becomes plain, worked out when the first of them is met."""

    def __missing__(self, kind: type) -> _Flatten:
        made = self[kind] = _flattening(kind)
        return made


def _flattening(kind: type) -> _Flatten:
    name = kind.__qualname__
    if issubclass(kind, Enum):
        return lambda one: (name, one._name_)
    if is_dataclass(kind):
        return _of_fields(name, tuple(one.name for one in fields(kind)))
    if issubclass(kind, Mapping):
        return lambda one: (name, [_many(item) for item in sorted(one.items())])
    if issubclass(kind, tuple | list):
        return lambda one: (name, _many(one))
    if issubclass(kind, datetime | time):  # of two equal local times it says which (`fold`)
        return lambda one: (name, one.isoformat(), one.fold, getattr(one.tzinfo, "key", None))
    if issubclass(kind, date):
        return lambda one: (name, one.toordinal())
    if issubclass(kind, timedelta):
        return lambda one: (name, one.days, one.seconds, one.microseconds)
    if issubclass(kind, PurePath | ZoneInfo | str):
        return lambda one: (name, str(one))
    if issubclass(kind, set | frozenset):
        return lambda one: (name, sorted(marshal.dumps(item, _BY_VALUE) for item in _many(one)))
    return lambda one: (name, repr(one))


def _of_fields(name: str, names: tuple[str, ...]) -> _Flatten:
    if len(names) < 2:
        return lambda one: (name, _many([getattr(one, field) for field in names]))
    found = attrgetter(*names)
    return lambda one: (name, _many(found(one)))


def _many(things: Iterable[Any]) -> list[Any]:
    return [one if one.__class__ in _PLAIN else _flat[one.__class__](one) for one in things]


_flat = _Flat({tuple: _many, list: _many})
