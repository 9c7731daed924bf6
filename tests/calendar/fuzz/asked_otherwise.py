"""Relations: what a text must say when it is asked otherwise: windows, households, centuries."""

from __future__ import annotations

from collections import Counter
from dataclasses import fields, replace
from datetime import date, datetime, timedelta
from typing import Any

from tests.calendar.fuzz import texts
from tests.calendar.fuzz.case import (
    SMALL,
    Case,
    Fact,
    bounded,
    fact,
    facts,
    instant,
    own_rules,
    same,
    same_problems,
    source_bounded,
    unknown_zone,
)
from tests.calendar.support import LONDON
from weeksync.calendar import Expansion
from weeksync.calendar.window import Window
from weeksync.zones import zone

DAY = timedelta(days=1)
_UTC = zone("UTC")
_ELSEWHERE = tuple(map(zone, ("Australia/Lord_Howe", "Pacific/Apia", "America/Sao_Paulo")))


def equal_inputs(case: Case) -> None:
    """The same bytes give the same answer, in the same order."""
    again = case.ask_anew([case.content], case.start, case.end, LONDON)
    assert again == case.base, "the same bytes give another answer"


def other_windows(case: Case) -> None:
    """A wider, a shifted and two half windows show the same where they overlap.

    Not so where a zone's own rules were judged by the window they are used in (3.2.19).
    """
    start, end, middle = case.start, case.end, case.start + 40 * DAY
    windows = [(start, middle), (middle, end), (start + DAY, end + DAY)]
    if start.year > 1 and end.year < 9999:
        windows.append((start - 50 * DAY, end + 50 * DAY))
    for low, high in windows:
        other = case.ask(case.content, start=low, end=high)
        if bounded(case.base, other) or own_rules(case.base, other):
            continue
        both = Window.of(max(low, start), min(high, end), LONDON)
        what = f"the window from {low} to {high}"
        same(_inside(case.base, both), _inside(other, both), what)


def _inside(found: Expansion, window: Window) -> Counter[Fact]:
    return Counter(fact(one) for one in found.occurrences if window.meets(one.start, one.end))


def other_households(case: Case) -> None:
    """Where the household lives does not move what has a zone.

    Not asked where anything in the text is read in the household's zone.
    """
    floating = any(texts.is_floating(line) for line in case.text.split("\n"))
    if floating or "X-WR-TIMEZONE" in case.text.upper() or bounded(case.base):
        return
    low, high = case.base_window.low + 2 * DAY, case.base_window.high - 2 * DAY
    for tz in _ELSEWHERE:
        other = case.ask(case.content, tz=tz)
        if not (bounded(other) or own_rules(case.base, other) or unknown_zone(case.base)):
            here = Counter(_zoned(case.base, low, high))
            same(here, Counter(_zoned(other, low, high)), f"the household lives in {tz.key}")


def _zoned(found: Expansion, low: datetime, high: datetime) -> list[Fact]:
    return [
        (one.uid, one.identity, instant(one.start), instant(one.end), one.zone)
        for one in found.occurrences
        if isinstance(one.start, datetime)
        and one.zone
        and one.bounds(_UTC)[0] < high
        and one.bounds(_UTC)[1] > low
    ]


def larger_budgets(case: Case) -> None:
    """A larger budget changes nothing where none was met, and takes nothing from an event.

    Where a whole source meets its budget, more of one event may cost another. Of a to-do that
    is overdue the latest time is shown, and a larger budget may get to a later one.
    """
    sizes = {one.name: getattr(SMALL, one.name) for one in fields(SMALL)}
    twice: dict[str, Any] = {
        name: size * 2 for name, size in sizes.items() if isinstance(size, int)
    }
    limits = replace(SMALL, **twice)
    other = case.ask_anew([case.content], case.start, case.end, LONDON, limits)
    if not bounded(case.base):
        same(facts(case.base), facts(other), "a larger budget where none was met")
    elif not source_bounded(case.base, other):
        lost = facts(Expansion(case.base.occurrences)) - facts(other)
        assert not lost, f"a larger budget loses {[*lost][:3]}"


def four_centuries_later(case: Case) -> None:
    """The calendar repeats after 400 years to the day and weekday; UTC knows nothing else."""
    if "TZ" in case.text.upper().replace("X-WR-TIMEZONE", "TZ") or case.end.year > 9_500:
        return
    later = texts.years_later(case.text, 400)
    if later is None or not case.named:
        return
    start, end = (one.replace(year=one.year + 400) for one in (case.start, case.end))
    now = case.ask(case.content, tz=_UTC)
    then = case.ask(later, tz=_UTC, start=start, end=end)
    if not bounded(now, then):
        what = "400 years later"
        same(Counter(_moved(now, 400)), Counter(_moved(then, 0)), what)
        same_problems(now, then, what)


def _moved(found: Expansion, years: int) -> list[Fact]:
    return [
        (one.uid, _add(one.start, years), _add(one.end, years), one.title, one.cancelled)
        for one in found.occurrences
    ]


def _add(moment: datetime | date, years: int) -> str:
    return instant(moment.replace(year=moment.year + years))
