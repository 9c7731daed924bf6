"""The keyboard side of `weeksync carry`: one task after the other, and what becomes of each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import field
from datetime import date

from weeksync.cli.choices import Stopped, choose, line
from weeksync.cli.plan_words import Words, wrapped
from weeksync.cli.terminal import Terminal
from weeksync.errors import EditRefused, UsageError
from weeksync.lazy import dataclass
from weeksync.message import Message, counted, message
from weeksync.model.fields import DayPart
from weeksync.workflow import Context, carry
from weeksync.workflow.carry import LeftOver, Part, Waiting
from weeksync.workflow.spans import day_named

_Decide = Callable[[LeftOver], Message | None]

PARTS = (
    (message("[m]orning"), DayPart.MORNING),
    (message("[a]fternoon"), DayPart.AFTERNOON),
    (message("[e]vening"), DayPart.EVENING),
    (message("[n]one in particular"), None),
)


def how_many(left: Waiting) -> Message:
    """How many tasks are left over, and how many are to be decided about."""
    due = sum(one.due for one in left.tasks)
    if not left.tasks:
        return message("Nothing is left over from past weeks.")
    if not due:
        return counted(
            "{count} task is left over; none has been carried so long that it must be decided.",
            "{count} tasks are left over; none has been carried so long that it must be decided.",
            len(left.tasks),
        )
    return counted(
        "{count} task is to be decided about, of {all} left over.",
        "{count} tasks are to be decided about, of {all} left over.",
        due,
        all=len(left.tasks),
    )


@dataclass
class Desk:
    """One sitting at the keyboard: each decision is on disk before the next is asked for."""

    context: Context
    terminal: Terminal
    left: Waiting
    person: str | None
    decided: list[Message] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.words = Words(self.context)

    def go_through(self) -> None:
        """Ask about each task; what was decided is said at the end, however that comes."""
        self.terminal.say(how_many(self.left))
        try:
            self._each()
        except Stopped:
            self._end()
        except KeyboardInterrupt:
            self.terminal.say("")
            self._end()
            raise
        else:
            self._end()

    def _each(self) -> None:
        names = [one.task.id for one in self.left.tasks]
        for number, name in enumerate(names, 1):
            one = next((found for found in self.left.tasks if found.task.id == name), None)
            if one is not None:
                self._show(one, number, len(names))
                self._decide(one)

    def _show(self, one: LeftOver, number: int, of: int) -> None:
        say, words = self.terminal.say, self.words
        say("")
        for text in wrapped(one.task.title, f"{number}/{of}  ", "     "):
            say(text)
        for text in wrapped(words.facts(one.task), "     "):
            say(text)
        for text in wrapped(self._room(one), "     "):
            say(text)

    def _room(self, one: LeftOver) -> str:
        """Where the week has room for it, and why there, or why nowhere."""
        if one.proposed is None:
            return ""
        reason, where = self.words.text(one.proposed.reason), self.words.pieces(one.pieces)
        if where:
            return self.words.text(message("room: {where} ({reason})", where=where, reason=reason))
        return self.words.text(message("no room in this week: {reason}", reason=reason))

    def _decide(self, one: LeftOver) -> None:
        while True:
            decide = choose(self.terminal, self._choices(one))
            if decide is None:
                return
            try:
                done = decide(one)
            except EditRefused as refused:
                self.terminal.complain(refused.message)
                self.terminal.problems(refused.problems)
                self._read_again()
                return
            except UsageError as error:
                self.terminal.complain(error.message)
                continue
            if done is not None:
                self.decided.append(done)
                self.terminal.say("  " + self.words.text(done))
                self._read_again()
                return

    def _choices(self, one: LeftOver) -> list[tuple[Message, _Decide | None]]:
        """What can become of it; None leaves it as it is."""
        found: list[tuple[Message, _Decide | None]] = [(message("[d]o it"), self._do)]
        if one.in_file and not one.repeats:
            found.append((message("[s]plit it"), self._split))
            found.append((message("[g]ive it a date"), self._give_date))
        if one.in_file:
            found.append((message("d[r]op it"), self._drop))
        return [*found, (message("[l]eave it"), None), (message("s[t]op"), _stop)]

    def _read_again(self) -> None:
        self.context = carry.again(self.context)
        left = self.left
        self.left = carry.waiting(self.context, left.week, self.person, ending=left.ending)

    # Each decision: what it says when it is done, None where it was thought better of

    def _do(self, one: LeftOver) -> Message | None:
        self._show_days(one)
        given = line(self.terminal, "  " + self.words.text(self._which_day(one)))
        if not given and one.pieces:
            carry.do_as_proposed(self.context, one)
            return message(
                "“{title}”: {where}", title=one.task.title, where=self.words.pieces(one.pieces)
            )
        if not given:
            return None
        day = self._day(given)
        part = choose(self.terminal, PARTS)
        carry.do(self.context, one, day, part)
        return message("“{title}”: {where}", title=one.task.title, where=self.words.day(day))

    def _which_day(self, one: LeftOver) -> Message:
        if one.pieces:
            return message("Which day? (Enter: where there is room) > ")
        return message("Which day? (Enter: back) > ")

    def _show_days(self, one: LeftOver) -> None:
        for number, day in enumerate(self.left.days, 1):
            loads = [
                f"{self.words.person(load.person)}: {self.words.load(load)}"
                for load in (self.left.loads.get((name, day)) for name in one.task.persons)
                if load is not None
            ]
            self.terminal.say(f"  {number}  {self.words.day(day):<11}  {'; '.join(loads)}".rstrip())

    def _day(self, given: str) -> date:
        """A day by its number in the list, or by name; UsageError where it is none to come."""
        if given.isdecimal() and 0 < int(given) <= len(self.left.days):
            return self.left.days[int(given) - 1]
        day = day_named(given, self.context)
        if day < self.context.today:
            raise UsageError(message("{day} is over", day=day.isoformat()))
        return day

    def _give_date(self, one: LeftOver) -> Message | None:
        question = message("Which day? as 2 Apr, Fri or 2027-04-02 (Enter: back) > ")
        given = line(self.terminal, "  " + self.words.text(question))
        if not given:
            return None
        day = self._day(given)
        carry.give_date(self.context, one, day)
        return message("“{title}”: has a date, {day}", title=one.task.title, day=day.isoformat())

    def _split(self, one: LeftOver) -> Message | None:
        self.terminal.say(message("  Into which tasks? Two at least; an empty line ends the list."))
        parts = self._parts()
        if len(parts) < 2:
            self.terminal.say(message("  Nothing was split."))
            return None
        carry.split(self.context, one, parts)
        titles = self.words.quoted(part.title for part in parts)
        return message("“{title}”: split into {titles}", title=one.task.title, titles=titles)

    def _parts(self) -> Sequence[Part]:
        parts: list[Part] = []
        while True:
            title = line(self.terminal, self.words.text(message("  Title > ")))
            if not title:
                return parts
            parts.append(Part(title[:300], self._estimate()))

    def _estimate(self) -> int | None:
        while True:
            given = line(self.terminal, self.words.text(message("  Minutes (Enter: unknown) > ")))
            if not given:
                return None
            if given.isdecimal() and 0 < int(given) <= 24 * 60:
                return int(given)
            self.terminal.say(message("  write a number of minutes, at most 1440"))

    def _drop(self, one: LeftOver) -> Message | None:
        if one.repeats and not choose(
            self.terminal,
            ((message("[e]nd it, with all later times"), True), (message("[b]ack"), False)),
        ):
            return None
        carry.drop(self.context, one)
        return message("“{title}”: dropped", title=one.task.title)

    def _end(self) -> None:
        say = self.terminal.say
        say("")
        if not self.decided:
            say(message("Nothing was decided; every file is as it was."))
            return
        say(
            counted(
                "{count} decision, written down:",
                "{count} decisions, written down:",
                len(self.decided),
            )
        )
        for done in self.decided:
            for text in wrapped(self.words.text(done), "  ", "    "):
                say(text)
        still = sum(one.due for one in self.left.tasks)
        if still:
            say(
                counted(
                    "{count} task still waits for a decision.",
                    "{count} tasks still wait for a decision.",
                    still,
                )
            )


def _stop(one: LeftOver) -> Message | None:
    raise Stopped
