"""Recurrence rules at random, with every part of RFC 5545 section 3.3.10."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import islice

from hypothesis import strategies as st

from tests.calendar.oracles.zones import Zone
from weeksync.calendar.rules import parse_rule
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.walk import instances

WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
FREQUENCIES = (
    "DAILY", "DAILY", "WEEKLY", "WEEKLY", "MONTHLY", "MONTHLY", "YEARLY", "HOURLY", "MINUTELY",
)  # fmt: skip


def some(values: st.SearchStrategy[str] | st.SearchStrategy[int]) -> st.SearchStrategy[str]:
    """One to three different values, as a part of a rule lists them."""
    several = st.lists(values, min_size=1, max_size=3, unique=True)
    return several.map(lambda found: ",".join(str(one) for one in found))


DAYS = some(st.sampled_from(WEEKDAYS))
NUMBERED = some(
    st.tuples(st.sampled_from((1, 2, 4, 5, -1, -2)), st.sampled_from(WEEKDAYS)).map(
        lambda pair: f"{pair[0]}{pair[1]}"
    )
)
MONTH_DAYS = some(st.sampled_from((1, 2, 13, 28, 29, 30, 31, -1, -2, -31)))
YEAR_DAYS = some(st.sampled_from((1, 60, 100, 200, 365, 366, -1, -366)))
WEEK_NUMBERS = some(st.sampled_from((1, 2, 20, 52, 53, -1, -2, -53)))
PLACES = some(st.sampled_from((1, 2, -1, -2)))


@st.composite
def rules(draw: st.DrawFn, start: datetime, zone: Zone | None) -> str:
    """A rule for a series that begins near `start`; `zone` is None where it takes whole days."""
    allowed = FREQUENCIES if zone is not None else FREQUENCIES[:-2]
    freq = draw(st.sampled_from(allowed))
    parts = [f"FREQ={freq}", *draw(_by_parts(freq, timed=zone is not None))]
    by = {part.partition("=")[0] for part in parts[1:]}
    if by and draw(st.integers(0, 3)) == 3:
        parts.append(f"BYSETPOS={draw(PLACES)}")
    most = {"MINUTELY": 1440, "HOURLY": 30, "YEARLY": 2}.get(freq, 5)
    if draw(st.booleans()):
        parts.append(f"INTERVAL={draw(st.integers(1, most))}")
    if freq in ("WEEKLY", "YEARLY") and draw(st.integers(0, 2)) == 2:
        parts.append(f"WKST={draw(st.sampled_from(WEEKDAYS))}")
    bound = draw(st.sampled_from(("", "COUNT", "UNTIL")))
    if bound == "COUNT":
        parts.append(f"COUNT={draw(st.integers(1, 40))}")
    elif bound == "UNTIL":
        parts.append(draw(_until(freq, start, zone)))
    return ";".join(parts)


@st.composite
def _by_parts(draw: st.DrawFn, freq: str, *, timed: bool) -> list[str]:
    found: list[str] = []

    def perhaps(name: str, values: st.SearchStrategy[str], n: int = 4) -> bool:
        if draw(st.integers(0, n)) == n:
            found.append(f"{name}={draw(values)}")
            return True
        return False

    perhaps("BYMONTH", some(st.integers(1, 12)))
    weeks = freq == "YEARLY" and perhaps("BYWEEKNO", WEEK_NUMBERS)
    if freq == "YEARLY" and not weeks:
        perhaps("BYYEARDAY", YEAR_DAYS)
    if freq != "WEEKLY" and not weeks:
        perhaps("BYMONTHDAY", MONTH_DAYS)
    if freq in ("YEARLY", "MONTHLY") and not weeks:
        perhaps("BYDAY", st.one_of(DAYS, NUMBERED), 2)
    else:
        perhaps("BYDAY", DAYS, 2)
    if timed:
        perhaps("BYHOUR", some(st.sampled_from((0, 1, 2, 3, 9, 14, 23))), 6)
        perhaps("BYMINUTE", some(st.sampled_from((0, 1, 15, 30, 59))), 8)
    return found


@st.composite
def _until(draw: st.DrawFn, freq: str, start: datetime, zone: Zone | None) -> str:
    days = {"MINUTELY": 2, "HOURLY": 9, "YEARLY": 2500}.get(freq, 300)
    last = start + timedelta(days=draw(st.integers(0, days)))
    form = draw(st.sampled_from(("utc", "utc", "utc", "utc", "local", "date")))
    if zone is None or form == "date":
        return f"UNTIL={last:%Y%m%d}"
    if form == "local":
        return f"UNTIL={last:%Y%m%dT%H%M%S}"
    return f"UNTIL={zone.utc(last):%Y%m%dT%H%M%SZ}"


def snapped(rule: str, near: datetime) -> datetime:
    """A wall time from `near` on that the rule gives; `near` itself where it gives none soon.

    The answer is ours and not judged by it: were it off the rule, the oracles would differ.
    """
    parts = [one for one in rule.split(";") if not one.startswith(("COUNT=", "UNTIL="))]
    if all(one.startswith(("FREQ=", "INTERVAL=", "WKST=")) for one in parts):
        return near
    # Over a year without the interval: the period that `near` lies in counts as any other.
    free = ";".join(one for one in parts if not one.startswith("INTERVAL="))
    try:
        found = instances(parse_rule(free), near, near, near + timedelta(days=1500), Steps(10**5))
        return next(iter(islice(found, 1, 2)), near)
    except StepsSpent:
        return near
