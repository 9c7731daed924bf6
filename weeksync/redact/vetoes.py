"""What is never shared of events and to-dos, whatever a rule says, and whichever copy says it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from weeksync.message import Message, message
from weeksync.model.occurrence import Occurrence, says_public
from weeksync.model.spread import LeftOutReason, PlanTask, Spread

AWAY = message("it is an absence, and those are never shared")
ONLY_FOR = message("it is only for some at home")
CLASSIFIED = message("its calendar calls it private")
JOURNAL = message("journals are never shared")
CANCELLED = message("it was called off")
MAY_BE_AWAY = message(
    "it takes more than a day and may be an absence: nothing says away = false of it"
)

Key = tuple[str, str]


class Copies:
    """The occurrences of a week as they are known, to find every copy of one.

    Copies are those that lie in other calendars, those of the week as it is read today beside a
    closed one, and what was left out as the same. An event of which one copy is private is.
    """

    def __init__(self, spreads: Iterable[Spread]) -> None:
        self._by_uid: dict[Key, list[Occurrence]] = {}
        self._todos: dict[Key, list[PlanTask]] = {}
        for spread in spreads:
            for one in _occurrences(spread):
                if one.uid:
                    self._by_uid.setdefault(_key(one), []).append(one)
            for task in _tasks(spread):
                self._todos.setdefault((task.source, task.uid or task.id), []).append(task)

    def of(self, one: Occurrence) -> tuple[Occurrence, ...]:
        """It and its copies: of the same UID, and of the same time where both say which."""
        others = self._by_uid.get(_key(one), ()) if one.uid else ()
        return (one, *(other for other in others if _may_be_same(one, other)))

    def of_series(self, one: Occurrence) -> tuple[Occurrence, ...]:
        """It and all known instances of its UID, at whatever times they are by now."""
        return (one, *(self._by_uid.get(_key(one), ()) if one.uid else ()))

    def of_todo(self, task: PlanTask) -> tuple[PlanTask, ...]:
        """It and the same to-do as it is read today."""
        return (task, *self._todos.get((task.source, task.uid or task.id), ()))


def _key(one: Occurrence) -> Key:
    """An appointment is never the same as a calendar's event, and calendars share their UIDs."""
    return ("appointment" if one.source == "" else "calendar", one.uid)


def _may_be_same(one: Occurrence, other: Occurrence) -> bool:
    return not one.identity or not other.identity or one.identity == other.identity


def _occurrences(spread: Spread) -> Iterator[Occurrence]:
    for day in spread.days:
        yield from (one.occurrence for one in day.occurrences)
    yield from (one.occurrence for one in spread.left_out if one.reason is LeftOutReason.SAME)


def _tasks(spread: Spread) -> Iterator[PlanTask]:
    for day in spread.days:
        yield from day.tasks
    yield from spread.undated


def veto(copies: Iterable[Occurrence], series: Iterable[Occurrence]) -> Message | None:
    """Why something with these copies is never shared; None where that is not so.

    CLASS by RFC 5545 section 3.8.1.3: what is not known is treated as PRIVATE. The section says,
    too, that CLASS enforces nothing: that it is missing, or PUBLIC, is no consent. It counts for
    the whole `series`: one that was made private since a week was closed may have moved, too.
    """
    copies, series = tuple(copies), tuple(series)
    if any(one.away for one in copies):
        return AWAY
    if any(one.only_for for one in series):
        return ONLY_FOR
    if not all(says_public(one.classification) for one in series):
        return CLASSIFIED
    if any(one.journal for one in copies):
        return JOURNAL
    return CANCELLED if copies[0].cancelled else None


def veto_of_todo(copies: Iterable[PlanTask]) -> Message | None:
    """The same of a to-do; one whose CLASS nobody kept (in an old closed week) is private."""
    copies = tuple(copies)
    if any(one.only_for for one in copies):
        return ONLY_FOR
    known = [one.classification for one in copies if one.classification is not None]
    return None if known and all(map(says_public, known)) else CLASSIFIED
