"""Recurrences of whole days in household files: RFC 5545 RRULE text over dates.

Bills, pay days, tasks and lessons recur by date alone. Events with a time, a zone and
exceptions are another matter: those go through `weeksync.calendar`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime, time
from functools import lru_cache

from dateutil.rrule import rrule, rrulestr

MOST = 20_000
"""Days given out before a rule is cut off; 54 years of a daily one."""

_DAYS = "(SU|MO|TU|WE|TH|FR|SA)"
_FORMS = {
    "FREQ": "(DAILY|WEEKLY|MONTHLY|YEARLY)",
    "INTERVAL": "[1-9][0-9]{0,4}",
    "COUNT": "[1-9][0-9]{0,4}",
    "UNTIL": "[0-9]{8}(T[0-9]{6}Z?)?",
    "WKST": _DAYS,
    "BYMONTH": "([1-9]|1[0-2])",
    "BYWEEKNO": "[+-]?([1-9]|[1-4][0-9]|5[0-3])",
    "BYYEARDAY": "[+-]?([1-9]|[1-9][0-9]|[12][0-9]{2}|3[0-5][0-9]|36[0-6])",
    "BYMONTHDAY": "[+-]?([1-9]|[12][0-9]|3[01])",
    "BYDAY": f"([+-]?([1-9]|[1-4][0-9]|5[0-3]))?{_DAYS}",
    "BYSETPOS": "[+-]?([1-9]|[1-9][0-9]|[12][0-9]{2}|3[0-5][0-9]|36[0-6])",
}
"""The parts of RFC 5545 section 3.3.10 that mean something for whole days, as written there."""

_ONLY_WITH = {
    "BYWEEKNO": {"YEARLY"},
    "BYYEARDAY": {"YEARLY"},
    "BYMONTHDAY": {"DAILY", "MONTHLY", "YEARLY"},
    "BYSETPOS": {"WEEKLY", "MONTHLY", "YEARLY"},
}
"""The same section: parts that MUST NOT stand with other frequencies; of the one day that DAILY
gives, BYSETPOS has nothing to choose from."""

_LONGEST = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def parse_rule(text: str, first: date) -> rrule:
    """The rule of that RRULE text, starting on `first`.

    ValueError where the text is no rule of RFC 5545 section 3.3.10, or one that a rule over
    whole days cannot have (a frequency below a day).
    """
    parts = _parts(text)
    if "UNTIL" in parts:  # the day counts, not the time: a date-only rule ends with that day
        parts["UNTIL"] = parts["UNTIL"][:8]
    plain = ";".join(f"{name}={value}" for name, value in parts.items())
    rule = rrulestr(plain, dtstart=datetime.combine(first, time()))
    if not isinstance(rule, rrule):  # pragma: no cover - one line without DTSTART is one rule
        raise ValueError("one rule only")
    return rule


def _parts(text: str) -> dict[str, str]:
    pairs = [part.partition("=") for part in _plain(text).split(";") if part]
    parts = {name: value for name, _, value in pairs}
    if len(parts) < len(pairs):
        raise ValueError("a part is given twice")
    if parts.get("FREQ") not in {"DAILY", "WEEKLY", "MONTHLY", "YEARLY"}:
        raise ValueError("FREQ must be DAILY, WEEKLY, MONTHLY or YEARLY")
    for name, value in parts.items():
        _check_part(name, value)
    _check_together(parts)
    return parts


def _plain(text: str) -> str:
    plain = text.strip().upper().removeprefix("RRULE:")
    if any(sign.isspace() for sign in plain):
        raise ValueError("there are no spaces in a rule")
    return plain


def _check_part(name: str, value: str) -> None:
    form = _FORMS.get(name)
    if form is None:
        raise ValueError(f"{name} has no meaning for whole days")
    one = name in {"FREQ", "INTERVAL", "COUNT", "UNTIL", "WKST"}
    if not re.fullmatch(form if one else f"{form}(,{form})*", value, re.ASCII):
        raise ValueError(f"{name}={value} is not in its form or range")


def _check_together(parts: dict[str, str]) -> None:
    for name, allowed in _ONLY_WITH.items():
        if name in parts and parts["FREQ"] not in allowed:
            raise ValueError(f"{name} cannot stand with {parts['FREQ']}")
    if "UNTIL" in parts and "COUNT" in parts:
        raise ValueError("UNTIL and COUNT exclude each other")
    if "BYSETPOS" in parts and not any(n.startswith("BY") and n != "BYSETPOS" for n in parts):
        raise ValueError("BYSETPOS needs another BY part")
    _check_numbered(parts)
    if "BYMONTH" in parts and "BYMONTHDAY" in parts:
        longest = max(_LONGEST[int(month) - 1] for month in parts["BYMONTH"].split(","))
        if all(abs(int(day)) > longest for day in parts["BYMONTHDAY"].split(",")):
            raise ValueError("no month of it has that day")


def _check_numbered(parts: dict[str, str]) -> None:
    """BYDAY=2MO: the second Monday of a month or year, and of nothing else."""
    numbers = [abs(int(number)) for number in re.findall(r"[0-9]+", parts.get("BYDAY", ""))]
    if not numbers:
        return
    for with_what in (parts["FREQ"], *parts):
        if with_what in {"DAILY", "WEEKLY", "BYWEEKNO"}:
            raise ValueError(f"BYDAY cannot have numbers with {with_what}")
    if max(numbers) > 5 and (parts["FREQ"] == "MONTHLY" or "BYMONTH" in parts):
        raise ValueError("no month has that many of a weekday")


def ever_falls(text: str) -> bool:
    """Whether there is any day for the rule, whatever day it begins on.

    ValueError where the text is no rule.
    """
    parts = _parts(text)
    bare = {
        name: part for name, part in parts.items() if name not in {"INTERVAL", "UNTIL", "COUNT"}
    }
    return _falls(";".join(f"{name}={part}" for name, part in bare.items()), date(2000, 1, 1))


@lru_cache(maxsize=4096)
def _falls(text: str, first: date) -> bool:
    """Whether the rule has any day from `first` on.

    dateutil walks on to the year 9999 for a rule without days, which takes seconds: once is
    enough.
    """
    return next(iter(parse_rule(text, first)), None) is not None


def dates(text: str, first: date, start: date, end: date) -> Iterator[date]:
    """The days of the rule from `start` to before `end`, in order, at most MOST of them."""
    if not text:
        if start <= first < end:
            yield first
        return
    if not _falls(text, first):
        return
    floor, stop = datetime.combine(start, time()), datetime.combine(end, time())
    given = 0
    for moment in parse_rule(text, first):
        if moment >= stop or given >= MOST:
            return
        if moment >= floor:
            given += 1
            yield moment.date()
