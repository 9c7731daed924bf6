"""Differences that lie in the bare rule: the oracle reads it otherwise with nothing around it.

The rule is asked again alone: in UTC, without exceptions, overrides and lengths. It passes only
if the oracle differs there too, while we agree with the literal reading of RFC 5545.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

from tests.calendar.oracles.comparing import Difference
from tests.calendar.oracles.drawing import calendar
from tests.calendar.oracles.question import Question, ours
from tests.calendar.oracles.sheet import Event

_UNTIL = re.compile(r"UNTIL=(\d{8})(?:T(\d{6})(Z?))?")
_DAY = timedelta(days=1)


def bare_rule_differs(difference: Difference) -> bool:
    """Whether the bare rule is read otherwise by the oracle, and literally by us."""
    master = difference.sheet.master
    if master is None or master.rule is None:
        return False
    # More on both sides: clocks stand elsewhere, and RANGE=THISANDFUTURE moves instances; but
    # some oracles go on to the end of time for what lies behind the window.
    asked = difference.question
    windows = [(asked.start - margin, asked.end + margin) for margin in (5 * _DAY, 0 * _DAY)]
    windows += _about_overrides(difference)
    return any(_differs(difference, master, *window) for window in windows)


def _about_overrides(difference: Difference) -> list[tuple[date, date]]:
    """The days around the instances that overrides replace, which may lie outside the window."""
    named = [difference.event(pair.only).named for pair in difference.pairs]
    return [
        (one.wall.date() - _DAY, one.wall.date() + 2 * _DAY) for one in named if one is not None
    ]


def _differs(difference: Difference, master: Event, start: date, end: date) -> bool:
    question, until = _bare(master, start, end)
    mine = ours(question)
    if [one[0] for one in mine] != _literally(question, master, until):
        return False
    theirs = difference.again(question)
    return theirs is not None and theirs != mine


def _bare(master: Event, low: date, high: date) -> tuple[Question, datetime | None]:
    """The rule alone, and its UNTIL as a wall time."""
    until = None
    rule = master.text("RRULE")
    days = master.start.zone is None
    found = _UNTIL.search(rule)
    if found is not None:
        until = datetime.fromisoformat(f"{found[1]}T{found[2] or '235959'}")
        if found[3] and master.start.zone is not None:
            until = master.start.zone.wall(until.replace(tzinfo=UTC))
        form = f"{until:%Y%m%d}" if days else f"{until:%Y%m%dT%H%M%SZ}"
        rule = _UNTIL.sub(f"UNTIL={form}", rule)
    wall = master.start.wall
    start = f"DTSTART;VALUE=DATE:{wall:%Y%m%d}" if days else f"DTSTART:{wall:%Y%m%dT%H%M%SZ}"
    text = calendar((), [[start, f"RRULE:{rule}", "SUMMARY:series"]])
    return Question(text, low, high, "UTC"), until


def _literally(question: Question, master: Event, until: datetime | None) -> list[str] | None:
    """The starts in the window, None where reading takes too long."""
    assert master.rule is not None
    low, high = (one.replace(tzinfo=None) for one in (question.low, question.high))
    try:
        found = master.rule.instances(high)
    except OverflowError:
        return None
    form = "%Y-%m-%d" if master.start.zone is None else "%Y-%m-%dT%H:%M:%SZ"
    return [
        one.strftime(form)
        for one in found
        if one >= low and (until is None or one <= until or one == master.start.wall)
    ]
