"""Digests of records: equal records have equal digests, in whatever process they were made.

A digest is only ever compared with one that was made by the same weeksync (`unit_keys`), so the
form that is hashed may change at any time.
"""

from __future__ import annotations

import hashlib
import io
import pickle
from collections.abc import Callable
from dataclasses import fields, is_dataclass
from datetime import date, time, timedelta
from enum import Enum
from operator import attrgetter, methodcaller
from types import MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo


def fingerprint(*things: object) -> str:
    """The SHA-256 in hex of records, tuples, mappings, days, times, texts, numbers.

    Sets are no records: their order is another one in each process.
    """
    told = _Told()
    _Pickler(told).dump(things)
    return told.digest.hexdigest()


class _Told(io.RawIOBase):
    """Where everything that is written is only hashed."""

    def __init__(self) -> None:
        super().__init__()
        self.digest = hashlib.sha256()

    def write(self, data: Any, /) -> int:
        """Take it into the digest."""
        self.digest.update(data)
        return len(data)


_itself = methodcaller("__reduce_ex__", 5)
"""How days and times describe themselves, which of two equal local times it is (`fold`) included;
said here, so that nothing of Python's own is asked for each of them."""


class _ByType(dict[type, Any]):
    """How things of a type are described, worked out when the first of them is met."""

    def __missing__(self, kind: type) -> Any:
        """KeyError where it describes itself: the pickler asks it then."""
        found: Any
        if is_dataclass(kind):
            getter = _getter(tuple(one.name for one in fields(kind)))
            found = lambda obj: (_record, (kind.__qualname__, *getter(obj)))  # noqa: E731
        elif issubclass(kind, Enum):
            said = {one: (_record, (kind.__qualname__, one.name)) for one in kind}
            found = said.__getitem__
        elif issubclass(kind, tuple):  # one with names
            found = lambda obj: (_record, (kind.__qualname__, *obj))  # noqa: E731
        elif kind is MappingProxyType:
            found = lambda obj: (_record, tuple(sorted(obj.items())))  # noqa: E731
        elif kind is ZoneInfo:
            found = lambda obj: (_record, (kind.__qualname__, obj.key))  # noqa: E731
        elif issubclass(kind, date | time | timedelta):
            found = _itself
        else:
            raise KeyError(kind)
        self[kind] = found
        return found


class _Pickler(pickle.Pickler):
    """Writes values and nothing of how they are shared: `fast` is without a memo of the latter."""

    dispatch_table = _ByType()

    def __init__(self, told: _Told) -> None:
        super().__init__(told, protocol=5)
        self.fast = True


def _getter(names: tuple[str, ...]) -> Callable[[Any], tuple[Any, ...]]:
    if not names:
        return lambda obj: ()
    found = attrgetter(*names)
    return found if len(names) > 1 else lambda obj: (found(obj),)


def _record(*parts: object) -> None:
    """What stands for a record in what is hashed; it is never called."""
