"""A span of days as lines for a terminal: for the person at the keyboard, with everything."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from weeksync.cli.plan_text import plan_lines
from weeksync.cli.plan_words import Words, wrapped
from weeksync.language import Language
from weeksync.language.day_parts import PART_NAMES
from weeksync.message import Message, counted, message
from weeksync.model.config import Config
from weeksync.model.elsewhere import OtherClocks
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

_CELLS = {
    CellState.NOT_DUE: " ",
    CellState.OPEN: "·",
    CellState.NOT_RECORDED: "?",
    CellState.MARKED: "x",
    CellState.MISSED: "-",
    CellState.PAUSED: "=",
}
_BOXES = {True: "[x]", False: "[-]", None: "[ ]"}


def lines_of(context: Context, spread: Spread) -> Iterator[str]:
    """The span, day by day, then its habits, what has no day, and what was worked out."""
    page = _Lines(context)
    yield page.heading(spread)
    for text in (*spread.decisions, *(text for _, text in spread.own_decisions)):
        yield from wrapped(context.language.text(text, dates=True), "! ", "  ")
    for day in spread.days:
        yield ""
        yield from page.day(day)
    yield from page.habits(spread)
    yield from page.undated(spread)
    if spread.plan is not None:
        yield from plan_lines(context, spread, spread.plan)


class _Lines:
    def __init__(self, context: Context) -> None:
        self.config: Config = context.config
        self.language: Language = context.language
        self.plan_words = Words(context)
        self.clocks = OtherClocks(context.config, context.tz)

    def words(self, text: Message) -> str:
        return self.language.text(text)

    def heading(self, spread: Spread) -> str:
        first, last = spread.days[0].date, spread.days[-1].date
        span = f"{self.language.date(first, 'long')} – {self.language.date(last, 'long')}"
        return f"{spread.week}  {span}" if spread.week else span

    def day(self, day: Day) -> Iterator[str]:
        yield self.language.date(day.date, "full")
        for text in self._fixed(day):
            yield from wrapped(text, "    ", "      ")
        for priority in day.priorities:
            yield from wrapped(priority.title, "  ! ", "    ")
        for part, name in PART_NAMES.items():
            inside = [one for one in day.occurrences if one.part is part]
            tasks = [task for task in day.tasks if task.part is part]
            if inside or tasks:
                yield f"  {self.words(name)}"
                for one in inside:
                    yield from wrapped(self._timed(day, one), "    ", " " * 11)
                for task in tasks:
                    yield from wrapped(self._task(task), "    ", " " * 8)
        for task in day.tasks:
            if task.part is None:
                yield from wrapped(self._task(task), "  ", " " * 6)
        yield from (f"  {self._lesson(lesson)}" for lesson in day.lessons)
        for pause in day.breaks:
            what = pause.what or self.words(message("Break"))
            box = _BOXES[pause.done]
            yield f"  {box} {pause.start}  {what}{self._letters((pause.person or '',))}"
        for title, cell in day.own:
            yield from wrapped(f"{title}: {cell}" if cell else "", "  ", "    ")

    def _fixed(self, day: Day) -> Iterator[str]:
        """All-day first, then bills, pay, the term week, the public holiday."""
        for one in day.occurrences:
            if one.part is None:
                yield self._title(one)
        for item in sorted(day.money, key=lambda item: list(MoneyKind).index(item.kind)):
            yield self._money(item)
        if day.term_break or day.term:
            yield self._term(day)
        yield from day.holidays

    def _term(self, day: Day) -> str:
        if day.term_break or day.term_week is None:
            return day.term_break or day.term
        return self.words(message("{term}, week {week}", term=day.term, week=day.term_week))

    def _title(self, one: DayOccurrence) -> str:
        title = one.occurrence.title + self._letters(one.occurrence.persons)
        if one.occurrence.cancelled:
            title = self.words(message("{title} (cancelled)", title=title))
        return title

    def _timed(self, day: Day, one: DayOccurrence) -> str:
        start, end = one.occurrence.start, one.occurrence.end
        if not isinstance(start, datetime) or not isinstance(end, datetime):
            raise TypeError(one)  # only all-day occurrences have no day part
        begins = "…" if one.from_before else self.language.time(start)
        ends = "…" if one.goes_on else self.language.time(end)
        when = begins if start == end else f"{begins}–{ends}"
        return f"{when}  {self._title(one)}{self._elsewhere(one)}"

    def _elsewhere(self, one: DayOccurrence) -> str:
        """The start on the clocks of other places it concerns, in brackets."""
        shown = dict.fromkeys(
            self.words(
                message(
                    "{time} in {place}",
                    time=self.language.time(clock.start),
                    place=self.language.city(clock.zone),
                )
            )
            for clock in self.clocks.of(one.occurrence)
        )
        return f" ({', '.join(shown)})" if shown else ""

    def _task(self, task: PlanTask) -> str:
        box = "[x]" if task.done else "[-]" if task.dropped else "[>]" if task.later else "[ ]"
        start = f"{self.language.time(task.start)}  " if task.start is not None else ""
        minutes = task.minutes or task.estimate
        facts = [
            self.plan_words.minutes(minutes) if minutes else "",
            self.words(message("due {day}", day=self.language.date(task.due, "medium")))
            if task.due and task.due != task.shown_on
            else "",
            self.words(counted("carried {count} week", "carried {count} weeks", task.carried))
            if task.carried
            else "",
        ]
        said = ", ".join(filter(None, facts)) if not (task.done or task.dropped) else ""
        return f"{box} {start}{task.title}{self._letters(task.persons)}{', ' if said else ''}{said}"

    def _lesson(self, lesson: LessonItem) -> str:
        return f"{_BOXES[lesson.done]} {lesson.subject}{self._letters((lesson.child,))}"

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
        paid = " " + self.words(message("(paid)")) if item.paid_on is not None else ""
        late = " " + self.words(message("(overdue)")) if item.overdue else ""
        return f"{sign} {item.title}{amount}{moved}{paid}{late}"

    def _letters(self, persons: tuple[str, ...]) -> str:
        return self.plan_words.letters(persons)

    def habits(self, spread: Spread) -> Iterator[str]:
        if not spread.habits:
            return
        yield ""
        yield self.words(message("Habits"))
        titles = [row.title + self._letters((row.person,)) for row in spread.habits]
        width = max(map(len, titles))
        for title, row in zip(titles, spread.habits, strict=True):
            yield f"  {title:<{width}}  {self._cells(row)}"
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
            for task in spread.undated:
                yield from wrapped(self._task(task), "  ", " " * 6)
