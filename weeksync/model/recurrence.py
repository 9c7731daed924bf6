"""Recurrences of whole days in household files: RFC 5545 RRULE text over dates.

Bills, pay days, tasks and lessons recur by date alone. Events with a time, a zone and
exceptions are another matter: those go through `weeksync.calendar`.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta

from dateutil.rrule import rrule, rrulestr

MOST = 20_000
"""Instances looked at before a rule is given up as endless; 54 years of a daily rule."""


def parse_rule(text: str, first: date) -> rrule:
    """The rule of that RRULE text, starting on `first`.

    ValueError where the text is no rule of RFC 5545 section 3.3.10, or one that a rule over
    whole days cannot have (a frequency below a day, INTERVAL below 1).
    """
    plain = text.strip().upper().removeprefix("RRULE:")
    parts = dict(part.partition("=")[::2] for part in plain.split(";") if part)
    if parts.get("FREQ") not in {"DAILY", "WEEKLY", "MONTHLY", "YEARLY"}:
        raise ValueError("FREQ must be DAILY, WEEKLY, MONTHLY or YEARLY")
    if not parts.get("INTERVAL", "1").isdigit() or int(parts.get("INTERVAL", "1")) < 1:
        raise ValueError("INTERVAL must be 1 or more")
    for part in ("BYHOUR", "BYMINUTE", "BYSECOND"):
        if part in parts:
            raise ValueError(f"{part} has no meaning for whole days")
    if "UNTIL" in parts:  # the day counts, not the time: a date-only rule ends with that day
        parts["UNTIL"] = parts["UNTIL"][:8]
    plain = ";".join(f"{name}={value}" for name, value in parts.items())
    rule = rrulestr(plain, dtstart=datetime.combine(first, time()))
    if not isinstance(rule, rrule):
        raise ValueError("one rule only")
    return rule


def dates(text: str, first: date, start: date, end: date) -> Iterator[date]:
    """The days of the rule from `start` to before `end`, in order, at most MOST looked at."""
    if not text:
        if start <= first < end:
            yield first
        return
    stop = datetime.combine(end, time())
    for looked, moment in enumerate(parse_rule(text, first)):
        if moment >= stop or looked >= MOST:
            return
        if moment.date() >= start:
            yield moment.date()


def next_date(text: str, first: date, after: date) -> date | None:
    """The first day of the rule later than `after`, or None where it has ended."""
    return next(dates(text, first, after + timedelta(days=1), date(9999, 12, 31)), None)
