"""A span as JSON: what `weeksync show --json` prints.

The form is described, property by property, in `weeksync/schema/span-1.schema.json` (JSON
Schema 2020-12). `format` is its version: a property is added without a new one, but never
renamed, removed or given another meaning. The record holds everything, amounts, check-ins and
things that are `only_for` somebody included: it is for the household's own terminal. Whoever
wants less makes the record of a view.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

from weeksync.message import Message
from weeksync.model.problem import Problem
from weeksync.model.pulled import SourceState
from weeksync.model.spread import Day, HabitRow, LeftOut, Spread
from weeksync.plan.record_items import (
    habit_on_day,
    habit_row,
    lesson,
    money,
    occurrence,
    plain,
    sentence,
    task,
)
from weeksync.plan.record_plan import plan_record

FORMAT = 1
KIND = "weeksync.span"


def as_record(
    spread: Spread,
    *,
    household: str,
    now: datetime,
    time_zone: str,
    tzdata: str,
    problems: Iterable[Problem] = (),
    states: Mapping[str, SourceState] | None = None,
    closed: tuple[datetime, tuple[datetime, ...]] | None = None,
) -> dict[str, Any]:
    """The span as a dict of what JSON knows; the same span gives the same record.

    `problems` is everything the run met, those of the spread included; `states` is how the
    sources stand; `closed` is when the week was closed, and when it was reopened before. Dates
    are `2027-03-22`, moments ISO 8601 with offset.
    """
    return {
        "format": FORMAT,
        "kind": KIND,
        "household": household,
        "now": now.isoformat(),
        "time_zone": time_zone,
        "tzdata": tzdata,
        "week": str(spread.week) if spread.week is not None else None,
        "closed_at": _moment(closed[0]) if closed is not None else None,
        "reopened": [_moment(at) for at in closed[1]] if closed is not None else [],
        "from": spread.days[0].date.isoformat(),
        "to": spread.days[-1].date.isoformat(),
        "notes": spread.notes,
        "days": [_day(day, spread.habits) for day in spread.days],
        "habits": [habit_row(row) for row in spread.habits],
        "plan": plan_record(spread.plan),
        "undated": [task(one) for one in spread.undated],
        "left_out": [_left_out(one) for one in spread.left_out],
        "decisions": [
            *(_decision(text, ()) for text in spread.decisions),
            *(_decision(text, only_for) for only_for, text in spread.own_decisions),
        ],
        "problems": [_problem(one) for one in problems],
        "sources": [_state(states[source]) for source in sorted(states or {}) if states],
    }


def _day(day: Day, rows: Iterable[HabitRow]) -> dict[str, Any]:
    hours = day.minutes / 60
    return {
        "date": day.date.isoformat(),
        "week": str(day.week),
        "hours": int(hours) if hours.is_integer() else hours,
        "holidays": list(day.holidays),
        "term": day.term or None,
        "term_week": day.term_week,
        "term_break": day.term_break or None,
        "priorities": [
            plain(one, "title", "task", "done", "persons", "area", "only_for")
            for one in day.priorities
        ],
        "occurrences": [occurrence(one) for one in day.occurrences],
        "tasks": [task(one) for one in day.tasks],
        "habits": [found for row in rows if (found := habit_on_day(row, day.date)) is not None],
        "money": [money(one) for one in day.money],
        "lessons": [lesson(one) for one in day.lessons],
        "breaks": [
            plain(one, "id", "start", "minutes", "what", "person", "done") for one in day.breaks
        ],
        "own": [{"title": title, "text": text} for title, text in day.own],
        "check_ins": [
            plain(one, "person", "feeling", "energy", "why", "help", "gratitude", "text")
            for one in day.check_ins
        ],
        "problems": [_problem(one) for one in day.problems],
    }


def _left_out(one: LeftOut) -> dict[str, Any]:
    found = plain(one.occurrence, "title", "start", "end", "all_day", "source", "uid", "identity")
    return {**found, "reason": one.reason.value}


def _decision(text: Message, only_for: tuple[str, ...]) -> dict[str, Any]:
    return {**sentence(text), "only_for": list(only_for)}


def _problem(problem: Problem) -> dict[str, Any]:
    remedy = problem.remedy
    return {
        "kind": problem.kind.value,
        "file": problem.place.file or None,
        "line": problem.place.line,
        "source": problem.place.source or None,
        "object": problem.place.object or None,
        "what": sentence(problem.what),
        "remedy": sentence(remedy) if remedy is not None else None,
    }


def _state(state: SourceState) -> dict[str, Any]:
    return {
        "source": state.source,
        "last_tried": _moment(state.last_tried),
        "last_good": _moment(state.last_good),
        "failed": state.failed,
    }


def _moment(moment: datetime | date | None) -> str | None:
    return moment.isoformat() if moment is not None else None
