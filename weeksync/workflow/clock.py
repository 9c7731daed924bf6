"""The one place where weeksync reads a clock; everywhere else `now` is an argument."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta

from weeksync.errors import UsageError
from weeksync.message import Message, message

FIRST_YEAR, LAST_YEAR = 1900, 2199
"""The years that weeksync works in: those that household files may name."""


def instant_now(given: str | None) -> datetime:
    """The instant a run works with: `given` (ISO 8601 with offset or Z), else the clock, in UTC.

    Whole seconds, so that what is computed from it can be written down and repeated.
    """
    if given is None:
        return datetime.now(UTC).replace(microsecond=0)
    try:
        moment = datetime.fromisoformat(given)
    except ValueError as error:
        raise UsageError(_no_instant(given)) from error
    if moment.tzinfo is None or not FIRST_YEAR <= moment.year <= LAST_YEAR:
        raise UsageError(_no_instant(given))
    return moment.astimezone(UTC).replace(microsecond=0)


def clock_from(given: str | None) -> Callable[[], datetime]:
    """A clock that goes on, for a run that lasts: the machine's, or one that `given` starts.

    Each call gives the instant in UTC, with microseconds: of two marks the later one counts.
    """
    if given is None:
        return lambda: datetime.now(UTC)
    begin, started = instant_now(given), time.monotonic()
    return lambda: begin + timedelta(seconds=time.monotonic() - started)


def _no_instant(given: str) -> Message:
    return message(
        '--now: "{value}" is no instant; write date, time and offset, of a year from 1900 '
        "to 2199, as 2027-03-24T06:40:00Z",
        value=given,
    )
