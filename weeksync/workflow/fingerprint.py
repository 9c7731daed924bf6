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
from enum import Enum
from operator import attrgetter
from types import MappingProxyType
from typing import Any

_getters: dict[type, Callable[[Any], tuple[Any, ...]]] = {}


def fingerprint(*things: object) -> str:
    """The SHA-256 in hex of records, tuples, mappings, days, times, texts, numbers.

    TypeError where a thing is, or holds, a set: its order is another one in each process.
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


class _Pickler(pickle.Pickler):
    """Writes values and nothing of how they are shared: `fast` is without a memo of the latter."""

    def __init__(self, told: _Told) -> None:
        super().__init__(told, protocol=5)
        self.fast = True

    def reducer_override(self, obj: Any, /) -> Any:
        """Records as the tuple of their fields; the rest as it describes itself."""
        kind = type(obj)
        getter = _getters.get(kind)
        if getter is not None:
            return _record, (kind.__qualname__, *getter(obj))
        if isinstance(obj, Enum):
            return _record, (kind.__qualname__, obj.name)
        if isinstance(obj, MappingProxyType):
            return _record, tuple(sorted(obj.items()))
        if is_dataclass(obj) and not isinstance(obj, type):
            _getters[kind] = _getter(tuple(one.name for one in fields(obj)))
            return self.reducer_override(obj)
        return NotImplemented


def _getter(names: tuple[str, ...]) -> Callable[[Any], tuple[Any, ...]]:
    if not names:
        return lambda obj: ()
    found = attrgetter(*names)
    return found if len(names) > 1 else lambda obj: (found(obj),)


def _record(*parts: object) -> None:
    """What stands for a record in what is hashed; it is never called."""
