"""The steps that plan the week to come: what each of them has on its page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from weeksync.message import counted, message
from weeksync.model.chosen import LighterWeek
from weeksync.model.fields import Weekday
from weeksync.model.week_plan import WeekPlan
from weeksync.site.plan_boxes import PlanBoxes
from weeksync.site.plan_evening_facts import Evening, Typed
from weeksync.site.plan_evening_lines import Lines, weekdays
from weeksync.site.record import Link
from weeksync.site.record.plan_evening import (
    EveningCell,
    EveningHabit,
    EveningLighter,
    EveningRow,
)
from weeksync.site.words import Words

NEW_ROW = "new"
"""The name of the fields of a row that is not there yet."""


class NextWeek:
    """One method a step, each gives the fields of the page that only this step has."""

    def __init__(self, evening: Evening, words: Words, lines: Lines, typed: Typed) -> None:
        self.evening = evening
        self.words = words
        self.lines = lines
        self.typed = typed

    def ahead(self) -> dict[str, Any]:
        """What meets, and what needs lead time."""
        spread = self.evening.spread
        boxes = PlanBoxes(self.words, spread, spread.plan or WeekPlan(), _seen)
        found = (boxes.meets(), boxes.coming_up())
        return {"boxes": tuple(one for one in found if one.lines)}

    def days(self) -> dict[str, Any]:
        """The table of buttons."""
        return {"places": self.lines.places(priorities=True)}

    def habits(self) -> dict[str, Any]:
        """Habits and lighter days."""
        words, spread = self.words, self.evening.spread
        proposal = spread.plan.proposal if spread.plan is not None else None
        asked = {one.habit: one for one in (proposal.habits if proposal is not None else ())}
        found = []
        for row in spread.habits:
            one = asked.get(row.id)
            due = [cell.day for cell in row.cells if cell.state.value in {"open", "marked"}]
            days = one.days if one is not None else due
            found.append(
                EveningHabit(
                    row.title,
                    words.person(row.person),
                    words.area(row.area),
                    words.text(message("every day"))
                    if len(days) == len(row.cells)
                    else weekdays(self.words, days),
                    words.plan_text(one.reason) if one is not None else "",
                )
            )
        return {
            "habits": tuple(found),
            "lighter": tuple(map(self._lighter_line, self.evening.written.lighter)),
        }

    def _lighter_line(self, one: LighterWeek) -> EveningLighter:
        words = self.words
        span = words.language.span(one.start, one.end)
        text = (
            words.text(message("{days}: {reason}", days=span, reason=one.reason))
            if one.reason
            else span
        )
        people = (one.person,) if isinstance(one.person, str) else one.person
        return EveningLighter(lighter_value(one), words.persons(people), text)

    def rows(self) -> dict[str, Any]:
        """Rows of one's own and notes."""
        file = self.evening.written
        titles = dict.fromkeys(
            (
                *(row.title for row in file.rows),
                *(title for day in self.evening.before.days for title, _ in day.own),
            )
        )
        held: Mapping[str, Mapping[Weekday, str]] = {row.title: row.cells for row in file.rows}
        rows = [
            self._row(f"row-{number}", title, held.get(title, {}))
            for number, title in enumerate(titles)
        ]
        rows.append(self._row(NEW_ROW, self.typed.of(NEW_ROW), {}))
        return {
            "rows": tuple(rows),
            "notes": self._cell("notes", self.words.text(message("Notes")), file.notes),
        }

    def _row(self, name: str, title: str, cells: Mapping[Weekday, str]) -> EveningRow:
        days = [day.date for day in self.evening.spread.days]
        return EveningRow(
            name,
            title,
            tuple(
                self._cell(
                    f"{name}-{weekday.value}",
                    self.words.language.weekday(day.weekday()),
                    cells.get(weekday, ""),
                )
                for day in days
                for weekday in [list(Weekday)[day.weekday()]]
            ),
        )

    def _cell(self, name: str, label: str, stands: str) -> EveningCell:
        text = self.typed.of(name, stands)
        was = self.typed.of(f"was-{name}", stands)
        if text == was:
            text = stands  # it was not touched: what somebody else wrote takes its place
        return EveningCell(name, label, text, stands, theirs=stands not in (was, text))

    def done(self) -> dict[str, Any]:
        """What has been decided, and where to look at it."""
        words, evening = self.words, self.evening
        days = evening.spread.days
        chosen = sum(bool(day.priorities) for day in days)
        placed = sum(task.open and task.chosen for day in days for task in day.tasks)
        loads = evening.spread.plan.loads if evening.spread.plan is not None else ()
        over = sum(one.over > 0 for one in loads)
        said = [
            counted(
                "{count} day of {all} has a priority",
                "{count} days of {all} have a priority",
                chosen,
                all=len(days),
            ),
            counted("{count} task has its place", "{count} tasks have their place", placed),
        ]
        if over:
            said.append(counted("{count} day is too full", "{count} days are too full", over))
        if evening.loose:
            said.append(
                counted("{count} loose end is left", "{count} loose ends are left",
                        len(evening.loose))
            )  # fmt: skip
        look = []
        if evening.week in evening.pages:
            look.append(
                Link(f"/{evening.week}.html", words.text(message("Look at the week, and print it")))
            )
        look.append(Link("/", words.text(message("Done for today"))))
        at = evening.spread.plan.confirmed if evening.spread.plan is not None else None
        agreed = message(
            "What has changed since {when} is listed with the week.",
            when=words.language.moment(at.astimezone(words.zone)) if at is not None else "",
        )
        return {
            "summary": tuple(map(words.text, said)),
            "agreed": words.text(agreed) if at is not None else "",
            "look": tuple(look),
            "sheets": f"weeksync print {evening.week}",
        }


def _seen(only_for: Sequence[str]) -> bool:
    """The spread is a view already: all that is in it may be seen."""
    return True


def lighter_value(one: LighterWeek) -> str:
    """What stands for lighter days in a form."""
    people = (one.person,) if isinstance(one.person, str) else tuple(one.person)
    return f"{','.join(people)}/{one.start}/{one.end}/{one.reason}"
