"""Counting the requests of one pull, whatever kind of source makes them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from weeksync.lazy import dataclass


@dataclass(slots=True)
class Requests:
    """How many have been sent; those that failed count, too."""

    sent: int = 0


_CURRENT: ContextVar[Requests | None] = ContextVar("weeksync_requests", default=None)


@contextmanager
def counting() -> Iterator[Requests]:
    """Counts what this thread sends within it."""
    counted = Requests()
    before = _CURRENT.set(counted)
    try:
        yield counted
    finally:
        _CURRENT.reset(before)


def one_more() -> None:
    """A request is sent."""
    counted = _CURRENT.get()
    if counted is not None:
        counted.sent += 1
