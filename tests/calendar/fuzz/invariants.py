"""What holds of every answer, whatever the bytes were."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from tests.calendar.fuzz.case import SMALL, Case
from tests.calendar.support import LONDON
from weeksync.calendar import Expansion, index_object, report
from weeksync.calendar.window import Window
from weeksync.model.limits import ExpandLimits
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem
from weeksync.model.pulled import IndexedObject, RawObject

_UNREADABLE = report.unreadable("", "", "", "").what.text
LONGEST_SENTENCE = 1_000
"""Characters of a problem: what a calendar says in it is shortened."""


def holds(case: Case) -> None:
    """The index and the expansion of a case are what they say they are."""
    indexed, problems = index_object("test", RawObject("a.ics", "", case.content))
    index_is_sound(indexed)
    found = case.base
    problems_tell((*problems, *found.problems))
    lines_are_there(case.content, (*problems, *found.problems))
    expansion_is_sound(found, case.base_window, LONDON, SMALL)
    bounds_hold(indexed, found)


def expansion_is_sound(
    found: Expansion, window: Window, tz: ZoneInfo, limits: ExpandLimits
) -> None:
    """Occurrences lie in the window, in order and within the budget; problems can be told."""
    for one in found.occurrences:
        times_are_sound(one, window, tz)
    moments = [_place(one, tz) for one in found.occurrences]
    assert moments == sorted(moments), "occurrences are not in order"
    names = Counter(
        (one.journal, one.collection, one.uid, one.identity) for one in found.occurrences
    )
    twice = [name for name, times in names.items() if times > 1]
    assert not twice, f"two occurrences are called the same: {twice[:3]}"
    budget_holds(found, limits)
    for todo in found.todos:
        todo_is_sound(todo, tz)


def times_are_sound(one: Occurrence, window: Window, tz: ZoneInfo) -> None:
    """Both times are of the household's zone, or both are days, and they lie in the window."""
    shown = f"{one.uid!r} {one.start} to {one.end}"
    assert _kind(one.start, tz) == _kind(one.end, tz), f"mixed times: {shown}"
    assert window.meets(one.start, one.end), f"outside the window: {shown}"
    if one.all_day:
        assert one.start < one.end, f"a whole-day one that takes no day: {shown}"
    start, end = one.bounds(tz)
    assert start <= end, f"ends before it starts: {shown}"


def _kind(moment: datetime | date, tz: ZoneInfo) -> str:
    if not isinstance(moment, datetime):
        return "day"
    assert moment.tzinfo is tz, f"a time of another zone: {moment!r}"
    return "time"


def _place(one: Occurrence, tz: ZoneInfo) -> tuple[date, bool, datetime]:
    if isinstance(one.start, datetime):
        return one.start.date(), True, one.start.astimezone(UTC)
    return one.start, False, datetime.min.replace(tzinfo=UTC)


def budget_holds(found: Expansion, limits: ExpandLimits) -> None:
    """There is no more of one UID, and no more at all, than the limits say."""
    assert len(found.occurrences) + len(found.todos) <= limits.per_source, "collection too full"
    events = Counter((one.journal, one.uid) for one in found.occurrences)
    todos = Counter(one.uid for one in found.todos)
    most = max([0, *events.values(), *todos.values()])
    assert most <= limits.per_uid, f"{most} of one UID"


def todo_is_sound(one: TodoItem, tz: ZoneInfo) -> None:
    """Its times are of the household's zone, its numbers in their ranges."""
    for moment in (one.start, one.due):
        if moment is not None:
            _kind(moment, tz)
    assert 0 <= one.priority <= 9, f"priority {one.priority}"
    assert 0 <= one.percent <= 100, f"percent {one.percent}"


def problems_tell(problems: Iterable[Problem]) -> None:
    """Each problem says where and what, in one line that a page can bear, and what to do."""
    for problem in problems:
        told = str(problem)
        assert str(problem.place).strip(), f"a problem without a place: {told}"
        assert str(problem.what).strip(), "a problem that says nothing"
        assert problem.remedy is not None, f"a problem without a remedy: {told}"
        assert len(told) <= LONGEST_SENTENCE, f"a problem of {len(told)} characters: {told[:200]}"
        assert "\n" not in told, f"a problem of several lines: {told!r}"
        # The reader catches what nobody thought of; here it is to be thought of.
        assert problem.what.text != _UNREADABLE, f"something was raised: {told}"


def lines_are_there(content: bytes, problems: Iterable[Problem]) -> None:
    """A line that a problem names is one of the text."""
    # UTF-16 may hold these two bytes in other characters: more lines, never fewer.
    most = content.count(b"\n") + content.count(b"\r") + 1
    for problem in problems:
        line = problem.place.line
        assert line is None or 1 <= line <= most, f"there is no such line: {problem}"


def index_is_sound(indexed: IndexedObject) -> None:
    """Groups are told apart by UID, and none is empty."""
    uids = [group.uid for group in indexed.groups]
    assert len(set(uids)) == len(uids), "two groups of one UID"
    assert all(uids), "a group without a name"
    assert all(group.components > 0 for group in indexed.groups), "a group of nothing"


def bounds_hold(indexed: IndexedObject, found: Expansion) -> None:
    """Everything found belongs to a group of the index and lies within its days."""
    groups = {group.uid: group for group in indexed.groups}
    everything: list[Occurrence | TodoItem] = [*found.occurrences, *found.todos]
    for one in everything:
        assert one.uid in groups, f"{one.uid!r} is in no group of the index"
        group = groups[one.uid]
        times = (one.start, one.end) if isinstance(one, Occurrence) else (one.start, one.due)
        days = [_day(moment) for moment in times if moment is not None]
        shown = f"{one.uid!r} on {days} outside {group.first_day} to {group.last_day}"
        if days and group.first_day is not None:
            assert group.first_day <= max(days), shown
        if days and group.last_day is not None:
            assert group.last_day >= min(days), shown
        if isinstance(one, Occurrence):
            assert group.first_day is None or group.first_day <= min(days), shown
            assert group.last_day is None or group.last_day >= max(days), shown


def _day(moment: datetime | date) -> date:
    return moment.date() if isinstance(moment, datetime) else moment
