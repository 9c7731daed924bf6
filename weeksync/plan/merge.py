"""One event in two calendars, shown once; what is cancelled, left out.

Two entries are the same occurrence where UID (RFC 5545 section 3.8.4.7) and RECURRENCE-ID
(3.8.4.4) are the same. Where an entry has no RECURRENCE-ID its start stands in for it, so the
single copy of one instance of a series finds its series; that of its latest revision, since a
higher SEQUENCE obsoletes what was there before, at whatever time (RFC 5546 section 2.1.5). Of the
same the higher SEQUENCE (3.8.7.4) wins, then the later stamp, then the source that comes first.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import TypeVar

from weeksync.model.occurrence import Occurrence, TodoItem, says_public
from weeksync.model.spread import LeftOut, LeftOutReason

_Key = tuple[bool, str, str]


def merge(
    occurrences: Iterable[Occurrence], order: Sequence[str]
) -> tuple[tuple[Occurrence, ...], tuple[LeftOut, ...]]:
    """(what is shown, what is left out and why), both in the order they came.

    `order` lists the ids of the sources, most trusted first. The one that is shown has the
    persons of all copies and names the other sources in `also_in`. Appointments of the
    household are never the same as a calendar's event: their ids are made by other rules.
    """
    ranks = {source: rank for rank, source in enumerate(order)}
    occurrences = tuple(occurrences)
    latest = _latest(occurrences)
    several = Counter(one.uid for one in occurrences)
    groups: dict[_Key, list[Occurrence]] = {}
    for place, one in enumerate(occurrences):
        alone = several[one.uid] == 1
        key = (False, one.uid, "") if alone else _key(latest(one), place)
        groups.setdefault(key, []).append(one)
    shown: list[Occurrence] = []
    left_out: list[LeftOut] = []
    for group in groups.values():
        winner = _winner(group, ranks)
        left_out += [LeftOut(one, LeftOutReason.SAME) for one in group if one is not winner]
        if winner.cancelled:
            left_out.append(LeftOut(winner, LeftOutReason.CANCELLED))
        else:
            shown.append(_united(winner, group, ranks))
    return tuple(shown), tuple(left_out)


def merge_todos(todos: Iterable[TodoItem], order: Sequence[str]) -> tuple[TodoItem, ...]:
    """The to-dos without the copies of one in two calendars, by the same rules."""
    ranks = {source: rank for rank, source in enumerate(order)}
    held: dict[tuple[str, str], TodoItem] = {}
    for place, todo in enumerate(todos):
        key = (todo.uid or f"\0{place}", todo.identity)
        other = held.get(key)
        held[key] = (
            todo if other is None else _kept_back(_winner([other, todo], ranks), other, todo)
        )
    return tuple(held.values())


def _kept_back(winner: TodoItem, *copies: TodoItem) -> TodoItem:
    """The to-do as private as the most private of its copies, which are not told of later."""
    back = (one.classification for one in copies if not says_public(one.classification))
    strictest = next(back, winner.classification)
    if strictest == winner.classification:
        return winner
    return replace(winner, classification=strictest)


def _latest(occurrences: Iterable[Occurrence]) -> Callable[[Occurrence], Occurrence]:
    """What gives the latest revision of an entry without RECURRENCE-ID, which may be itself."""
    found: dict[tuple[bool, str], Occurrence] = {}
    for one in occurrences:
        key = one.source == "", one.uid
        if not one.identity and (key not in found or one.sequence > found[key].sequence):
            found[key] = one

    def latest(one: Occurrence) -> Occurrence:
        if one.identity or not one.uid:
            return one
        other = found[one.source == "", one.uid]
        return other if other.sequence > one.sequence else one

    return latest


def _key(one: Occurrence, place: int) -> _Key:
    if not one.uid:  # nothing says that two entries without a UID are one
        return False, f"\0{place}", ""
    return one.source == "", one.uid, one.identity or _as_identity(one.start)


def _as_identity(start: datetime | date) -> str:
    if not isinstance(start, datetime):
        return start.isoformat().replace("-", "")
    try:
        utc = start.astimezone(UTC).replace(tzinfo=None)
    except OverflowError:  # at the ends of the calendar there is no UTC; none is looked for
        return start.isoformat()
    return utc.isoformat(timespec="seconds").replace("-", "").replace(":", "") + "Z"


C = TypeVar("C", Occurrence, TodoItem)


def _winner(group: list[C], ranks: dict[str, int]) -> C:
    if len(group) == 1:
        return group[0]
    return max(group, key=lambda one: (one.sequence, one.stamp, -_rank(one.source, ranks)))


def _rank(source: str, ranks: dict[str, int]) -> int:
    return ranks.get(source, len(ranks))


def _united(winner: Occurrence, group: list[Occurrence], ranks: dict[str, int]) -> Occurrence:
    if len(group) == 1:
        return winner
    others = sorted(
        (one for one in group if one is not winner), key=lambda one: _rank(one.source, ranks)
    )
    persons = dict.fromkeys(winner.persons)
    sources: dict[str, None] = {}
    for one in others:
        persons.update(dict.fromkeys(one.persons))
        sources[one.source] = None
    sources.pop(winner.source, None)
    return replace(winner, persons=tuple(persons), also_in=tuple(sources))
