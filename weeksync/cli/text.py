"""A span of days as lines for a terminal: for the person at the keyboard, with everything."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from weeksync.language import Language
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.fields import DayPart
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.spread import (
    CellState,
    Day,
    DayOccurrence,
    HabitRow,
    LessonItem,
    PlanTask,
    Spread,
)
from weeksync.workflow import Context

_PARTS = (
    (DayPart.MORNING, message("Morning")),
    (DayPart.AFTERNOON, message("Afternoon")),
    (DayPart.EVENING, message("Evening")),
)
_CELLS = {
    CellState.NOT_DUE: " ",
    CellState.OPEN: "·",
    CellState.NOT_RECORDED: "?",
    CellState.MARKED: "x",
    CellState.MISSED: "-",
    CellState.PAUSED: "=",
}


def lines_of(context: Context, spread: Spread) -> Iterator[str]:
    """The span, day by day, then its habits and what has no day."""
    page = _Lines(context.config, context.language)
    yield page.heading(spread)
    for text in spread.decisions:
        yield f"! {context.language.text(text, dates=True)}"
    for _, text in spread.own_decisions:
        yield f"! {context.language.text(text, dates=True)}"
    for day in spread.days:
        yield ""
        yield from page.day(day)
    yield from page.habits(spread)
    yield from page.undated(spread)


class _Lines:
    def __init__(self, config: Config, language: Language) -> None:
        self.config = config
        self.language = language

    def words(self, text: Message) -> str:
        return self.language.text(text)

    def heading(self, spread: Spread) -> str:
        first, last = spread.days[0].date, spread.days[-1].date
        span = f"{self.language.date(first, 'long')} – {self.language.date(last, 'long')}"
        return f"{spread.week}  {span}" if spread.week else span

    def day(self, day: Day) -> Iterator[str]:
        yield self.language.date(day.date, "full")
        yield from (f"    {text}" for text in self._fixed(day))
        for priority in day.priorities:
            yield f"  ! {priority.title}"
        for part, name in _PARTS:
            inside = [one for one in day.occurrences if one.part is part]
            tasks = [task for task in day.tasks if task.part is part]
            if inside or tasks:
                yield f"  {self.words(name)}"
                yield from (f"    {self._timed(day, one)}" for one in inside)
                yield from (f"    {self._task(task)}" for task in tasks)
        yield from (f"  {self._task(task)}" for task in day.tasks if task.part is None)
        yield from (f"  {self._lesson(lesson)}" for lesson in day.lessons)
        for pause in day.breaks:
            yield f"  {pause.start}  {pause.what or self.words(message('Break'))}"
        yield from (f"  {title}: {cell}" for title, cell in day.own if cell)

    def _fixed(self, day: Day) -> Iterator[str]:
        yield from day.holidays
        if day.term_break or day.term:
            yield day.term_break or day.term
        for one in day.occurrences:
            if one.part is None:
                yield one.occurrence.title + self._letters(one.occurrence.persons)
        for item in day.money:
            yield self._money(item)

    def _timed(self, day: Day, one: DayOccurrence) -> str:
        start, end = one.occurrence.start, one.occurrence.end
        if not isinstance(start, datetime) or not isinstance(end, datetime):
            raise TypeError(one)  # only all-day occurrences have no day part
        begins = "…" if one.from_before else self.language.time(start)
        ends = "…" if one.goes_on else self.language.time(end)
        when = begins if start == end else f"{begins}–{ends}"
        return f"{when}  {one.occurrence.title}{self._letters(one.occurrence.persons)}"

    def _task(self, task: PlanTask) -> str:
        box = "[x]" if task.done else "[ ]"
        due = (
            ", " + self.words(message("due {day}", day=self.language.date(task.due, "medium")))
            if task.due and task.due != task.shown_on
            else ""
        )
        return f"{box} {task.title}{self._letters(task.persons)}{due}"

    def _lesson(self, lesson: LessonItem) -> str:
        box = {True: "[x]", False: "[-]", None: "[ ]"}[lesson.done]
        return f"{box} {lesson.subject}{self._letters((lesson.child,))}"

    def _money(self, item: MoneyItem) -> str:
        amount = (
            " " + self.language.money(item.amount, item.currency)
            if item.amount is not None and item.currency
            else ""
        )
        moved = (
            " "
            + self.words(message("(moved from {day})", day=self.language.date(item.due, "medium")))
            if item.moved
            else ""
        )
        sign = {MoneyKind.BILL: "−", MoneyKind.PAY: "+", MoneyKind.STEP: "→"}[item.kind]
        return f"{sign} {item.title}{amount}{moved}"

    def _letters(self, persons: tuple[str, ...]) -> str:
        known = [person.mark for person in self.config.people if person.id in persons]
        return f" [{' '.join(known)}]" if known else ""

    def habits(self, spread: Spread) -> Iterator[str]:
        if not spread.habits:
            return
        yield ""
        yield self.words(message("Habits"))
        width = max(len(row.title) for row in spread.habits)
        for row in spread.habits:
            yield f"  {row.title:<{width}}  {self._cells(row)}"
        yield "  " + self.words(
            message("x marked, - missed, ? not recorded, = paused, · due and still open")
        )

    def _cells(self, row: HabitRow) -> str:
        shown = (
            cell.value if cell.value not in {"", "yes", "no"} else _CELLS[cell.state]
            for cell in row.cells
        )
        return " ".join(f"{text:>5}" for text in shown)

    def undated(self, spread: Spread) -> Iterator[str]:
        if spread.undated:
            yield ""
            yield self.words(message("Tasks without a day"))
            yield from (f"  {self._task(task)}" for task in spread.undated)
