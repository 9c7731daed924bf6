"""What stands on the screen while a week is entered from paper: rows, boxes, lists."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from weeksync.cli.plan_words import Words, wrapped
from weeksync.cli.terminal import Terminal
from weeksync.message import Message, counted, message
from weeksync.model.fields import MarkKind
from weeksync.model.household import Mark
from weeksync.model.mark_rows import NOTED, RowMistake
from weeksync.model.paper_week import PaperItem, PaperList, PaperRow
from weeksync.workflow import Context
from weeksync.workflow.close import kept_but_closed
from weeksync.workflow.mark import Taken
from weeksync.workflow.paper_week import PaperWeek, value_held

_SIGNS = {"yes": "x", "no": "/", "": "·"}
_WIDTH = 7

Held = Mapping[tuple[str, date], Mark]


class MarkText:
    """Writes to a terminal, in its language."""

    def __init__(self, context: Context, terminal: Terminal) -> None:
        self._terminal = terminal
        self._words = Words(context)

    def opening(self, paper: PaperWeek) -> None:
        """Which week it is, and how to find out how rows are typed."""
        days = self._words.language.span(paper.days[0], paper.days[-1])
        self._terminal.say(message("{week}, {days}", week=str(paper.week), days=days))
        self._terminal.say(message("?: how rows are typed; Ctrl-D: stop"))

    def row(self, row: PaperRow, number: int, of: int) -> None:
        """The title of a habit, whose it is, and what is noted."""
        self._terminal.say("")
        for text in wrapped(self.title(row), f"{number}/{of}  ", "     "):
            self._terminal.say(text)

    def title(self, row: PaperRow) -> str:
        """`Stretch at the window · Ines · minutes`."""
        habit = row.habit
        unit = "" if habit.kind is MarkKind.SCALE else habit.unit
        what = unit or self._words.text(NOTED[habit.kind])
        return " · ".join((habit.title, self._words.person(habit.person), what))

    def boxes(self, row: PaperRow, held: Held, *, numbers: bool = True) -> None:
        """The days with their numbers, and under each what is recorded."""
        names, values = [], []
        for number, cell in enumerate(row.habit.cells, 1):
            name = self._words.language.weekday(cell.day.weekday(), "abbreviated")
            value = value_held(held, row.habit.id, cell.day)
            is_asked = number in row.asked
            names.append(f"{number} {name}" if is_asked else "")
            values.append(_SIGNS.get(value, value) if is_asked or value else "")
        if numbers:
            self._terminal.say(_columns(names))
        self._terminal.say(_columns(values))

    def items(
        self,
        listed: PaperList,
        items: Mapping[int, PaperItem],
        held: Held,
        number: int,
        of: int,
    ) -> None:
        """A day with its lessons and tasks, numbered."""
        title = (
            self._words.day(listed.shown_on)
            if listed.shown_on is not None
            else self._words.text(message("Without a day"))
        )
        self._terminal.say("")
        self._terminal.say(f"{number}/{of}  {title}")
        for at, item in items.items():
            value = "" if item.is_task else value_held(held, item.id, listed.day)
            who = self._words.person(item.person) if item.person else ""
            text = " · ".join(filter(None, (item.title, who)))
            for part in wrapped(text, f"  {at:>2} {_SIGNS.get(value, value)} ", "       "):
                self._terminal.say(part)

    def whole(self, paper: PaperWeek, held: Held) -> None:
        """Every row and list with what is recorded, and how many boxes are empty."""
        of = len(paper.rows) + len(paper.lists)
        for number, row in enumerate(paper.rows, 1):
            self.row(row, number, of)
            self.boxes(row, held)
        for number, listed in enumerate(paper.lists, len(paper.rows) + 1):
            self.items(listed, dict(enumerate(listed.items, 1)), held, number, of)
        self._terminal.say("")
        self._terminal.say(how_many_boxes(paper, held))

    def mistake(self, mistake: RowMistake) -> None:
        """Why what was typed is no row, and what to type."""
        for sentence in filter(None, (mistake.said, mistake.remedy)):
            self._terminal.say("  " + self._words.text(sentence))

    def refused(self, taken: Taken) -> None:
        """What was not written, and why; and what was, and does not count yet."""
        for one in taken.refused:
            for sentence in filter(None, (one.what, one.remedy)):
                self._terminal.say("  " + self._words.text(sentence))
        for week in taken.closed:
            self._terminal.say("  " + self._words.text(kept_but_closed(week)))


def _columns(cells: list[str]) -> str:
    return ("     " + "".join(f"{cell:<{_WIDTH}}" for cell in cells)).rstrip()


def how_many_boxes(paper: PaperWeek, held: Held) -> Message:
    """How many boxes of the rows are empty yet."""
    empty = sum(
        not value_held(held, row.habit.id, row.habit.cells[number - 1].day)
        for row in paper.rows
        for number in row.asked
    )
    return counted("{count} box is empty.", "{count} boxes are empty.", empty)
