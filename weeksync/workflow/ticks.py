"""What was said here of to-dos that lie on a server: which lists take it, and what waits.

A tick is a mark like every other: the latest one holds. The journal `sent/` says which to-do its
id stands for, and what became of it; what the journal does not settle waits.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from weeksync.errors import HouseholdError
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import CalendarSource
from weeksync.model.fields import TODO_ID
from weeksync.model.household import Mark
from weeksync.model.marking import DONE
from weeksync.model.occurrence import TodoItem
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.sent import Sent, SentStep, Tick
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.zones import first_instant

COMPLETED = "COMPLETED"
LATELY = timedelta(days=7)

Lists = frozenset[tuple[str, str]]
"""(source, collection) of the lists that are written to."""


@dataclass(frozen=True, slots=True)
class Waiting:
    """A tick that waits: its mark, and which to-do it is for; `ours` is the COMPLETED that we wrote
    to it before, "" for none."""

    mark: Mark
    place: Sent
    ours: str

    @property
    def done(self) -> bool:
        """Whether it is to be completed; else it is to be open again."""
        return self.mark.value == DONE

    def line(self, step: SentStep, at: datetime, **more: object) -> Sent:
        """A line of the journal about it."""
        said = replace(
            self.place,
            at=at,
            step=step,
            day=self.mark.day,
            value=self.mark.value,
            made=self.mark.counts_from,
            properties={},
            tag_before="",
            tag_after="",
            guard="",
        )
        return replace(said, **more)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Ledger:
    """The journal as it stands, by the ids of to-dos."""

    places: Mapping[str, Sent]
    settled: frozenset[tuple[str, datetime]]
    completed: Mapping[str, str]
    """The COMPLETED that we wrote and did not take back."""
    last: Mapping[str, Sent]

    @classmethod
    def of(cls, lines: Iterable[Sent]) -> Ledger:
        """What all the lines come to."""
        places: dict[str, Sent] = {}
        settled: set[tuple[str, datetime]] = set()
        completed: dict[str, str] = {}
        last: dict[str, Sent] = {}
        for line in lines:
            places[line.id] = last[line.id] = line
            if line.step.settles:
                settled.add((line.id, line.made))
            if line.properties.get(COMPLETED):
                completed[line.id] = line.properties[COMPLETED]
            elif line.step in {SentStep.WRITTEN, SentStep.ALREADY, SentStep.ANEW}:
                completed.pop(line.id, None)
        return cls(places, frozenset(settled), completed, last)

    def waits(self, mark: Mark) -> bool:
        """Whether the mark is still to be written; an untick only where we had written a tick."""
        if (mark.id, mark.counts_from) in self.settled:
            return False
        return mark.value == DONE or mark.id in self.completed


def tick_lists(context: Context, store: Store) -> Lists:
    """The lists that are written to, as far as they have been pulled."""
    return frozenset(
        (source.id, name)
        for source in context.config.calendars
        if source.tick_todos
        for name, title in store.collections(source.id).items()
        if not source.tick_only or title in source.tick_only
    )


def latest_ticks(marks: Iterable[Mark]) -> dict[str, Mark]:
    """The mark that holds for each to-do: the latest made; of equals the last in the files."""
    held: dict[str, Mark] = {}
    for mark in marks:
        if mark.id.startswith(TODO_ID) and (
            mark.id not in held or mark.counts_from >= held[mark.id].counts_from
        ):
            held[mark.id] = mark
    return held


def waiting(context: Context, store: Store) -> tuple[Waiting, ...]:
    """The ticks that wait for a list that is switched on, in the order they were made.

    One for a list that its server has no longer is among them, so that it is told.
    """
    lists = tick_lists(context, store)
    marks = latest_ticks(context.files.marks) if lists else {}
    if not marks:
        return ()
    ledger = Ledger.of(_sent(context))
    there = {source: set(store.collections(source)) for source, _ in lists}
    found = [
        Waiting(mark, place, ledger.completed.get(mark.id, ""))
        for mark in marks.values()
        if (place := ledger.places.get(mark.id)) is not None and ledger.waits(mark)
    ]
    found = [
        one
        for one in found
        if (one.place.source, one.place.collection) in lists
        or one.place.collection not in there.get(one.place.source, {one.place.collection})
    ]
    return tuple(sorted(found, key=lambda one: (one.mark.counts_from, one.mark.id)))


def _sent(context: Context) -> tuple[Sent, ...]:
    """The journal of what was written to servers; few households have one."""
    from weeksync.household.sent import read_sent

    return read_sent(context.folder)


def waiting_lines(context: Context, store: Store) -> list[Message]:
    """How many ticks wait for each source that is written to, and how many were written lately."""
    from weeksync.workflow import tick_words

    try:
        waits = Counter(one.place.source for one in waiting(context, store))
        written = Counter(
            line.source
            for line in (_sent(context) if tick_lists(context, store) else ())
            if line.step is SentStep.WRITTEN and line.at > context.now - LATELY
        )
    except HouseholdError:  # told by `tick_problems`
        return []
    lines: list[Message] = []
    for source in context.config.calendars:
        if waits[source.id]:
            lines.append(tick_words.waits(source, waits[source.id]))
        if written[source.id]:
            lines.append(tick_words.were_written(source, written[source.id], LATELY.days))
    return lines


def with_ticks(context: Context, store: Store, todos: tuple[TodoItem, ...]) -> tuple[TodoItem, ...]:
    """To-dos of the calendars as they stand with what was ticked here."""
    lists = tick_lists(context, store)
    if not lists:
        return todos
    from weeksync.plan.ticked import ticked

    marks = latest_ticks(context.files.marks)
    try:
        ledger = Ledger.of(_sent(context) if marks else ())
    except HouseholdError:  # told by `tick_problems`; pages are made all the same
        return todos
    ticks = {
        mark.id: Tick(mark.day, mark.value == DONE, ledger.waits(mark), mark.id in ledger.completed)
        for mark in marks.values()
    }
    return ticked(todos, lists, ticks)


def completed_at(context: Context, mark: Mark) -> datetime:
    """The instant that COMPLETED gets: when it was ticked, in whole seconds.

    Of what was ticked afterwards for an earlier day only the day is known: its last second.
    """
    made = mark.counts_from.replace(microsecond=0)
    if made.astimezone(context.tz).date() == mark.day:
        return made
    return first_instant(mark.day + timedelta(days=1), context.tz) - timedelta(seconds=1)


def tick_problems(context: Context, store: Store) -> tuple[Problem, ...]:
    """Names in `tick_only` that no calendar of the source has, and a journal that is unreadable."""
    found: list[Problem] = []
    if any(source.tick_todos for source in context.config.calendars):
        try:
            _sent(context)
        except HouseholdError as error:
            found += error.problems
    for source in context.config.calendars:
        titles = set(store.collections(source.id).values()) if source.tick_only else set()
        strange = [name for name in source.tick_only if titles and name not in titles]
        if strange:
            found.append(_unknown(source, strange[0], titles))
    return tuple(found)


def _unknown(source: CalendarSource, name: str, titles: Iterable[str]) -> Problem:
    return Problem(
        ProblemKind.MISTAKE,
        message("tick_only names “{name}”, and this source has no such calendar", name=name),
        Place("config.toml", source=source.id),
        message("write one of {known}", known=", ".join(sorted(titles))),
    )
