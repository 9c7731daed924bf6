"""What has changed in a week since it was last printed or confirmed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from datetime import date

from weeksync.model.money_item import MoneyKind
from weeksync.model.snapshot import LineKind, Snapshot, SnapshotLine
from weeksync.model.spread import Spread
from weeksync.model.week_plan import Change, ChangeKind
from weeksync.plan.snapshot import lines, order, task_key

_MONEY = {kind.value: kind for kind in MoneyKind}
_KINDS = list(ChangeKind)

_Pair = tuple[SnapshotLine, SnapshotLine]
_Lines = list[SnapshotLine]


def changes(
    snapshot: Snapshot,
    spread: Spread,
    is_done: Callable[[str, date], bool] = lambda task, day: False,
) -> tuple[Change, ...]:
    """The differences of a week from its snapshot, by day.

    A line is the same where its key is; where the keys are new, as when a whole series was moved,
    the lines of one recurring event are taken for each other in order of their days. A task that
    is done (`is_done`, asked with its id and day) is no change: somebody marked it. Lines that
    other persons may see than before are never taken for the same, so that nothing is told to
    the wrong ones. What is only proposed is no part of it: a proposal tells its own differences.
    """
    old, new = _without_equals(*(map(_decided, (snapshot.lines, lines(spread)))))
    pairs, old, new = _paired(old, new, lambda one: one.key)
    more, old, new = _paired(old, new, lambda one: one.series or one.key)
    done = {task_key(task): task for task in _tasks_of(old)}
    gone = [one for one in old if one.key not in done or not is_done(done[one.key], one.day)]
    found = [_pair(*pair) for pair in (*pairs, *more)]
    found += [_single(ChangeKind.GONE, one) for one in gone]
    found += [_single(ChangeKind.NEW, one) for one in new]
    return tuple(sorted(found, key=_order))


def _decided(found: Iterable[SnapshotLine]) -> _Lines:
    return [one for one in found if one.kind is not LineKind.PROPOSED]


def _tasks_of(old: Iterable[SnapshotLine]) -> Iterator[str]:
    return (one.key.partition("|")[2] for one in old if one.kind is LineKind.TASK)


def _without_equals(
    old: Iterable[SnapshotLine], new: Iterable[SnapshotLine]
) -> tuple[_Lines, _Lines]:
    """What is left of both when lines that are the same in every point are taken out."""
    held: dict[Hashable, _Lines] = defaultdict(list)
    for one in old:
        held[_place(one)].append(one)
    left = []
    for one in new:
        same = held.get(_place(one))
        if same is not None and one in same:
            same.remove(one)
        else:
            left.append(one)
    return [one for group in held.values() for one in group], left


def _place(line: SnapshotLine) -> Hashable:
    """Nearly all of a line that tells it apart; a whole one takes long to hash."""
    return line.key, line.day, line.start, line.title


def _paired(
    old: Sequence[SnapshotLine],
    new: Sequence[SnapshotLine],
    key: Callable[[SnapshotLine], str],
) -> tuple[list[_Pair], _Lines, _Lines]:
    """(pairs of lines with one key, the old ones left over, the new ones left over).

    Of several with one key those of one day belong together first, then the others in order.
    """

    def whole(one: SnapshotLine) -> Hashable:
        return key(one), one.kind, one.only_for

    same, old, new = _matched(old, new, lambda one: (whole(one), one.day))
    moved, old, new = _matched(old, new, whole)
    return [*same, *moved], old, new


def _matched(
    old: Iterable[SnapshotLine],
    new: Iterable[SnapshotLine],
    key: Callable[[SnapshotLine], Hashable],
) -> tuple[list[_Pair], _Lines, _Lines]:
    waiting: dict[Hashable, _Lines] = defaultdict(list)
    for one in sorted(old, key=order, reverse=True):  # the first one is the last, to be taken
        waiting[key(one)].append(one)
    pairs: list[_Pair] = []
    left: _Lines = []
    for one in sorted(new, key=order):
        found = waiting.get(key(one))
        if found:
            pairs.append((found.pop(), one))
        else:
            left.append(one)
    return pairs, [one for group in waiting.values() for one in group], left


def _pair(was: SnapshotLine, now: SnapshotLine) -> Change:
    moved = (was.day, was.start, was.part) != (now.day, now.start, now.part)
    return Change(
        kind=ChangeKind.MOVED if moved else ChangeKind.CHANGED,
        day=now.day,
        title=now.title,
        before=text(was),
        after=text(now),
        persons=now.persons,
        money=_MONEY.get(now.kind.value),
        only_for=now.only_for,
        was=was,
        now=now,
    )


def _single(kind: ChangeKind, line: SnapshotLine) -> Change:
    is_new = kind is ChangeKind.NEW
    return Change(
        kind=kind,
        day=line.day,
        title=line.title,
        before="" if is_new else text(line),
        after=text(line) if is_new else "",
        persons=line.persons,
        money=_MONEY.get(line.kind.value),
        only_for=line.only_for,
        was=None if is_new else line,
        now=line if is_new else None,
    )


def text(line: SnapshotLine) -> str:
    """A line as plain text: `2027-03-22 10:30-11:15 Call with Nana Brice, at home`."""
    days = line.day.isoformat()
    if line.until is not None:
        days = f"{days}/{line.until.isoformat()}"
    times = "-".join(time for time in (line.start, line.end) if time)
    if line.end and not line.start:
        times = f"-{line.end}"
    part = line.part.value if line.part is not None else ""
    due = f"({line.due.isoformat()})" if line.due is not None else ""
    words = ", ".join(one for one in (line.title, line.text) if one)
    sure = "?" if line.tentative else ""
    return " ".join(one for one in (days, times, part, words, due, sure) if one)


def _order(one: Change) -> tuple[object, ...]:
    line = one.now or one.was
    return (one.day, order(line) if line is not None else (), _KINDS.index(one.kind), one.before)
