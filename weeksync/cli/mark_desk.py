"""The keyboard side of `weeksync mark`: a week from paper, row by row."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import field, replace
from datetime import date, datetime

from weeksync.cli.choices import Stopped, choose, line
from weeksync.cli.mark_text import MarkText
from weeksync.cli.terminal import Terminal
from weeksync.errors import HouseholdError
from weeksync.lazy import dataclass
from weeksync.message import counted, message
from weeksync.model.fields import TODO_ID, MarkKind
from weeksync.model.household import Mark, latest_marks
from weeksync.model.mark_rows import SIGNS, RowMistake, is_ticked, row_values, ticks
from weeksync.model.marking import DONE, DROPPED
from weeksync.model.paper_week import PaperItem, PaperList, PaperRow
from weeksync.workflow import Context
from weeksync.workflow.mark import by_hand, take_marks
from weeksync.workflow.mark_file import BUILD
from weeksync.workflow.paper_week import PaperWeek, value_held

DEVICE = "paper"
"""What the device of a mark is called that was written on paper first."""

_ENDS = {"yes": DONE, "no": DROPPED, "": ""}


@dataclass
class MarkDesk:
    """One sitting: each row is on disk before the next is asked for.

    `clock` gives the instant at which a row is typed.
    """

    context: Context
    terminal: Terminal
    paper: PaperWeek
    clock: Callable[[], datetime]
    count: int = 0
    ticked: set[str] = field(default_factory=set)
    ended: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.text = MarkText(self.context, self.terminal)

    def go_through(self) -> None:
        """Ask for each row and list, then once about empty boxes; say at the end what was done."""
        self.text.opening(self.paper)
        try:
            self._each()
            self._ask_about_empty()
        except Stopped:
            self._end()
        except KeyboardInterrupt:
            self.terminal.say("")
            self._end()
            raise
        else:
            self._end()

    def _each(self) -> None:
        steps: list[PaperRow | PaperList] = [*self.paper.rows, *self.paper.lists]
        at = 0
        while at < len(steps):
            step = steps[at]
            if isinstance(step, PaperRow):
                at += self._row(step, at + 1, len(steps))
            else:
                at += self._list(step, at + 1, len(steps))
            at = max(at, 0)

    # Each step gives by how many to go on: 1, or -1 for back

    def _row(self, row: PaperRow, number: int, of: int) -> int:
        self.text.row(row, number, of)
        while True:
            self.text.boxes(row, self._held())
            given = self._answer()
            if given in ("", "<"):
                return -1 if given else 1
            try:
                values = row_values(given, row.asked, row.habit.kind)
            except RowMistake as mistake:
                self.text.mistake(mistake)
                continue
            days = {row.habit.cells[at - 1].day: value for at, value in values.items()}
            if self._write([(row.habit.id, day, value) for day, value in days.items()]):
                if is_ticked(given, row.habit.kind):
                    self.ticked.add(row.habit.id)
                self.text.boxes(row, self._held(), numbers=False)
                return 1

    def _list(self, listed: PaperList, number: int, of: int) -> int:
        left = (one for one in listed.items if one.id not in self.ended)
        items = dict(enumerate(left, 1))
        if not items:
            return 1
        while True:
            self.text.items(listed, items, self._held(), number, of)
            given = self._answer()
            if given in ("", "<"):
                return -1 if given else 1
            try:
                values = ticks(given, tuple(items))
            except RowMistake as mistake:
                self.text.mistake(mistake)
                continue
            if self._write([_said(items[at], listed.day, value) for at, value in values.items()]):
                self.ended |= {items[at].id for at, value in values.items() if items[at].is_task}
                return 1

    def _answer(self) -> str:
        """What was typed, after the notation has been shown as often as asked for."""
        while (given := line(self.terminal, "  > ")) == "?":
            for sentence in SIGNS:
                self.terminal.say(sentence)
        return given

    def _held(self) -> Mapping[tuple[str, date], Mark]:
        return latest_marks(self.context.files.marks)

    def _write(self, said: list[tuple[str, date, str]]) -> bool:
        """Writes what differs from what is recorded; False where it was not all taken."""
        held, now = self._held(), replace(self.context, now=self.clock())
        tasks = {one.id for one in self.context.files.tasks}
        marks = [
            by_hand(now, thing, day, value, device=DEVICE)
            for thing, day, value in said
            if thing in tasks or thing.startswith(TODO_ID) or value_held(held, thing, day) != value
        ]
        try:
            taken = take_marks(now, marks)
        except HouseholdError as error:
            self.terminal.complain(error.message)
            self.terminal.problems(error.problems)
            return False
        self.count += taken.new
        if taken.new:
            from weeksync.workflow.carry import again

            self.context = again(self.context)
        self.text.refused(taken)
        return not taken.refused

    def _empty(self) -> Iterator[tuple[str, date]]:
        """The boxes of days that are over in which a tick could have been, and nothing is.

        Not those of habits so many times a week: any of their days may stay empty.
        """
        held = self._held()
        for row in self.paper.rows:
            is_ticks = row.habit.kind is MarkKind.YES_NO or row.habit.id in self.ticked
            if is_ticks and row.habit.times_a_week is None:
                days = [row.habit.cells[at - 1].day for at in row.asked]
                yield from ((row.habit.id, day) for day in days if (row.habit.id, day) not in held)
        for one in self.paper.lists:
            lessons = [item.id for item in one.items if not item.is_task]
            yield from ((thing, one.day) for thing in lessons if (thing, one.day) not in held)

    def _ask_about_empty(self) -> None:
        empty = [one for one in self._empty() if one[1] < self.context.today]
        if not empty:
            return
        self.terminal.say("")
        self.terminal.say(
            counted(
                "{count} box for a tick is empty. What does that say?",
                "{count} boxes for ticks are empty. What does that say?",
                len(empty),
            )
        )
        if choose(self.terminal, MISSED_OR_NOT):
            self._write([(thing, day, "no") for thing, day in empty])

    def _end(self) -> None:
        self.terminal.say("")
        if not self.count:
            self.terminal.say(message("Nothing was marked; every file is as it was."))
            return
        self.terminal.say(
            counted("{count} mark, written down.", "{count} marks, written down.", self.count)
        )
        self.terminal.say(BUILD)


MISSED_OR_NOT = (
    (message("[m]issed"), True),
    (message("[n]ot recorded"), False),
)


def _said(item: PaperItem, day: date, value: str) -> tuple[str, date, str]:
    """A tick as a mark; of a task that it is done, a cross that it is dropped."""
    return (item.id, day, _ENDS[value] if item.is_task else value)
