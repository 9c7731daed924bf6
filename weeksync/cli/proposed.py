"""The proposed week as lines: by person and day, with a reason for each task."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from weeksync.cli.plan_words import Words, wrapped
from weeksync.language.plan_sentences import PlanSentences
from weeksync.message import Message, counted, message
from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import DayLoad, Move, Piece, ProposedTask, Standing
from weeksync.workflow import Context
from weeksync.workflow.placing import Chosen
from weeksync.workflow.propose import Proposed, is_open, minutes_with, stood_on
from weeksync.workflow.under_way import still_plannable

_SIGNS = {Standing.CHOSEN: " ", Standing.PLACED: "+", Standing.LATE: "!", Standing.UNPLACED: " "}


def proposal_lines(context: Context, found: Proposed) -> Iterator[str]:
    """The whole proposal, at most 80 columns wide."""
    page = _Page(context, found)
    yield page.heading()
    yield from page.people()
    yield from page.unplaced()
    yield from page.priorities()
    yield from page.habits()
    yield from page.breaks()


def difference_lines(context: Context, found: Proposed) -> Iterator[str]:
    """What taking the proposal would change, one task a paragraph."""
    yield from _Page(context, found).differences()


def choice_lines(context: Context, found: Proposed, chosen: Chosen) -> Iterator[str]:
    """What is about to be written."""
    words = Words(context)
    for put in chosen.puts:
        for place in put.places:
            start = words.language.time(place.start) if place.start is not None else ""
            when = f"  {words.day(place.date)} {start}"
            text = words.text(
                counted(
                    "{title}, {count} minute",
                    "{title}, {count} minutes",
                    place.minutes or 0,
                    title=put.task.title,
                )
            )
            yield from wrapped(text, f"{when:<22}", " " * 22)
    titles = {one.task: one.title for one in found.proposal.priorities}
    for day, task in chosen.priorities:
        text = words.text(message("priority: {title}", title=titles[task]))
        yield from wrapped(text, f"{'  ' + words.day(day):<22}", " " * 22)
    for pause in chosen.breaks:
        when = f"  {words.day(pause.date)} {words.language.time(pause.start)}"
        text = words.text(
            counted(
                "break: {what}, {count} minute",
                "break: {what}, {count} minutes",
                pause.minutes,
                what=pause.what or "–",
            )
        )
        who = words.letters([pause.person] if pause.person else [])
        yield from wrapped(text + who, f"{when:<22}", " " * 22)


def carried_lines(context: Context, carried: Mapping[str, Sequence[PlanTask]]) -> Iterator[str]:
    """The tasks about to be put on days that have been carried, by the file that counts it."""
    words = Words(context)
    for file, tasks in carried.items():
        line = message("To be written into {file}, so that the count goes on:", file=file)
        yield words.text(line)
        for task in tasks:
            weeks = counted("carried {count} week", "carried {count} weeks", task.carried)
            yield from wrapped(f"{task.title}: {words.text(weeks)}", "  ", "    ")


class _Page:
    def __init__(self, context: Context, found: Proposed) -> None:
        self.context = context
        self.words = Words(context)
        self.say = PlanSentences(context.config, context.language)
        self.found = found
        self.proposal = found.proposal

    def heading(self) -> str:
        since = self.proposal.since.astimezone(self.context.tz)
        days = [day.date for day in self.found.spread.days]
        first = max(days[0], since.date())
        clock = self.words.language.time(since) if first == since.date() else ""
        return self.words.text(
            message(
                "Proposed for {week}, from {day} {time}",
                week=str(self.found.week),
                day=self.words.day(first),
                time=clock,
            )
        ).rstrip()

    def people(self) -> Iterator[str]:
        loads = self.found.spread.plan.loads if self.found.spread.plan is not None else ()
        for person in dict.fromkeys(load.person for load in loads):
            yield ""
            yield self.words.person(person)
            for load in loads:
                if load.person == person and load.day >= self.context.today:
                    yield from self._day(load)
        legend = message("+ proposed, ! proposed and late; what has no sign was chosen")
        yield ""
        yield self.words.text(legend)

    def _day(self, load: DayLoad) -> Iterator[str]:
        here = [
            (piece, one)
            for one in self.proposal.tasks
            if one.person == load.person
            for piece in one.pieces
            if piece.start.date() == load.day
        ]
        yield from wrapped(
            self._minutes(load, here), f"  {self.words.day(load.day):<12} ", " " * 15
        )
        for piece, one in sorted(here, key=lambda pair: pair[0].start.timestamp()):
            times = self.words.language.times(piece.start, piece.end)
            sign = _SIGNS[one.standing]
            yield from wrapped(one.title, f"   {sign} {times:<15}  ", " " * 22)
            if one.standing is not Standing.CHOSEN and piece == one.pieces[0]:
                yield from wrapped(self.words.text(one.reason), " " * 22)

    def _minutes(self, load: DayLoad, here: Sequence[tuple[Piece, ProposedTask]]) -> str:
        with_it = minutes_with(self.context, self.found, load)
        parts = [self.words.load(load, still_plannable(self.context, load))]
        if with_it != load.planned or any(is_open(one) for _, one in here):
            parts.append(
                self.words.text(message("{minutes} with what is proposed", minutes=with_it))
            )
        if load.over:
            tasks = (self.found.tasks.get(task) for task in load.to_move)
            titles = [task.title for task in tasks if task is not None]
            parts.append(self.say.too_much(load.over, titles))
        return ", ".join(parts)

    def unplaced(self) -> Iterator[str]:
        plan = self.found.spread.plan
        planned = {load.person for load in plan.loads} if plan is not None else set()
        without = [
            one
            for one in self.proposal.tasks
            if not one.pieces and (one.standing is not Standing.CHOSEN or one.person in planned)
        ]
        yield from self._section(
            message("Without a place"),
            [(f"{one.title}{self._whose(one)}", self.words.text(one.reason)) for one in without],
        )

    def _whose(self, one: ProposedTask) -> str:
        return self.words.letters([one.person] if one.person else [])

    def priorities(self) -> Iterator[str]:
        yield from self._section(
            message("Priorities"),
            [
                (f"{self.words.day(one.day)}  {one.title}", self.words.text(one.reason))
                for one in self.proposal.priorities
            ],
        )

    def habits(self) -> Iterator[str]:
        lines = []
        for one in self.proposal.habits:
            days = self._days(one.days)
            title = f"{one.title}{self.words.letters([one.person])}: {days}"
            lines.append((title, self.words.text(one.reason)))
        yield from self._section(message("Habits"), lines)

    def breaks(self) -> Iterator[str]:
        lines = [
            (
                f"{self.words.day(one.start.date())} {self.words.language.time(one.start)}  "
                f"{one.what}{self.words.letters([one.person])}",
                self.words.text(one.reason),
            )
            for one in self.proposal.breaks
        ]
        yield from self._section(message("Breaks"), lines)

    def _days(self, days: Sequence[date]) -> str:
        return self.words.language.listed([self.words.day(day) for day in days])

    def _section(self, title: Message, lines: Sequence[tuple[str, str]]) -> Iterator[str]:
        if not lines:
            return
        yield ""
        yield self.words.text(title)
        for line, reason in lines:
            yield from wrapped(line, "  ", "    ")
            yield from wrapped(reason, "    ")

    # What would change

    def differences(self) -> Iterator[str]:
        found = [one for one in self.found.moves if one.before or one.after]
        if not found:
            yield self.words.text(message("Nothing would change."))
            return
        yield self.words.text(message("What would change"))
        for move in found:
            yield from wrapped(move.title, "  ", "    ")
            yield from wrapped(self.words.text(self._move(move)), "    ")

    def _move(self, move: Move) -> Message:
        after = self.words.pieces(move.after)
        if move.before and not move.after:
            return message("{before}: no place any more", before=self.words.pieces(move.before))
        if move.before:
            return message(
                "{after}, in place of {before}", after=after, before=self.words.pieces(move.before)
            )
        stood = stood_on(self.found.spread, move.task, self.context.today)
        if stood:
            return message("{after}; it was left on {days}", after=after, days=self._days(stood))
        return message("{after}, new", after=after)
