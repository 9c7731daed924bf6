"""No text of a household reaches a shared week unless a rule lets exactly that text through."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.redact.reading import Read, everything, files_of
from tests.support.canary import NO_WORD
from tests.support.canary_calendars import EVENTS, OPEN_EVENTS, TODOS, title
from tests.support.canary_fill import texts_of, values_of
from tests.support.canary_rules import (
    APPOINTMENTS,
    HABITS,
    LEVELS,
    OPEN_HABITS,
    TASKS,
    RuleSet,
    may_be_seen,
)
from weeksync.model.household import HouseholdFiles
from weeksync.model.shared import SharedWeek, ShownAs
from weeksync.model.spread import CellState, Day, Spread
from weeksync.redact import Sources, redact

WITHOUT_WORDS = {
    "HouseholdFiles.currency": "a code of ISO 4217",
    "HouseholdFiles.digests": "digests of files",
    "Mark.value": "a figure, or one of a few words",
    "CheckIn.energy": "a number",
    "ReviewAnswer.week": "a week",
    "Snapshot.week": "a week",
    "SnapshotLine.start": "a time",
    "SnapshotLine.end": "a time",
    "Place.file": "the name of a file of ours",
    "Occurrence.identity": "the time that names an instance",
    "Occurrence.zone": "a name of the IANA database",
    "Occurrence.classification": "CLASS",
    "Occurrence.stamp": "a time",
    "OtherClock.zone": "a name of the IANA database",
    "PlanTask.classification": "CLASS",
    "HabitCell.value": "a figure, or one of a few words",
    "LessonItem.value": "a figure, or one of a few words",
    "BreakItem.start": "a time",
    "MoneyItem.currency": "a code of ISO 4217",
}
"""Texts of records in which no word of anybody stands, and why."""

level = st.sampled_from(LEVELS)
stands = st.sampled_from(["", "word", "area", "busy"])


def some(names: object) -> st.SearchStrategy[tuple[tuple[str, str], ...]]:
    """Some of these, each with what stands in place of its title."""
    each = st.tuples(st.sampled_from(sorted(names)), stands)  # type: ignore[call-overload]
    return st.lists(each, unique_by=lambda one: one[0], max_size=9).map(tuple)


rule_sets = st.builds(
    RuleSet,
    persons=st.sampled_from(["left out", "roles"]),
    times=st.sampled_from(["left out", "day part", "rounded", "exact"]),
    dates=st.sampled_from(["left out", "week"]),
    tasks=level,
    busy_times=st.booleans(),
    calendars=st.tuples(level, level),
    words=st.tuples(st.booleans(), st.booleans()),
    share_tasks=level,
    areas=st.tuples(level, level, level),
    area_words=st.tuples(*[st.booleans()] * 3),
    rules=st.tuples(*[st.tuples(level, st.booleans())] * 2),
    events=st.frozensets(st.sampled_from(sorted(EVENTS))),
    todos=st.frozensets(st.sampled_from(sorted(TODOS))),
    appointments=some(APPOINTMENTS),
    entries=some([f"task {one}" for one in TASKS] + [f"habit {one}" for one in HABITS]),
)
ALL = RuleSet(
    persons="roles",
    times="exact",
    dates="week",
    tasks="title",
    busy_times=True,
    calendars=("title", "title"),
    words=(True, True),
    share_tasks="title",
    areas=("title", "title", "title"),
    rules=(("title", True), ("title", True)),
    events=frozenset(EVENTS),
    todos=frozenset(TODOS),
    appointments=tuple((one, "") for one in APPOINTMENTS),
    entries=tuple((f"task {one}", "") for one in TASKS)
    + tuple((f"habit {one}", "") for one in HABITS),
)
"""Everything that can be said, said."""


def test_nothing_is_the_default(canary: Read) -> None:
    """Where nothing is released, seven empty days are all there is."""
    shared = canary.redacted(RuleSet()).shared
    assert canary.canary.found_in(everything(shared)) == {}
    assert shared == SharedWeek("en", tuple(replace(day) for day in shared.days))
    assert [day.weekday for day in shared.days] == list(range(7))
    assert not any(day.events or day.tasks for day in shared.days)


@settings(max_examples=150)
@given(rules=rule_sets)
def test_no_word_is_seen_that_no_rule_lets_through(canary: Read, rules: RuleSet) -> None:
    """Under any rule set: titles, areas and words that are released, and no other text."""
    found = canary.canary.found_in(everything(canary.redacted(rules).shared))
    most = may_be_seen(canary.canary.words, rules)
    assert {place for word, place in found.items() if word not in most} == set()


def test_what_is_never_shared_is_not_though_everything_is_released(canary: Read) -> None:
    """Every title of every kind released, every rule at title: what is private stays away."""
    words = canary.canary.words
    found = set(canary.canary.found_in(everything(canary.redacted(ALL).shared)).values())
    titles = {title("event", one) for one in OPEN_EVENTS} | {
        *(title("todo", one) for one in ("done", "due")),
        *(f"appointment {one}.title" for one in ("timed", "free", "several days at home")),
        *(f"task {one}.title" for one in ("done", "placed")),
        *(f"habit {one}.title" for one in OPEN_HABITS),
    }
    seen_areas = {f"area {at}.name" for at in range(3)}
    assert found == titles | seen_areas | {"role 0", "role 1"}
    assert {words.places[word] for word in may_be_seen(words, ALL)} >= found


def test_what_is_let_through_is_said_to_the_audit(canary: Read) -> None:
    """The audit is told exactly the texts of the household that stand on the page."""
    redacted = canary.redacted(ALL)
    found = canary.canary.found_in(everything(redacted.shared))
    assert redacted.let_through == set(found)


def test_every_text_of_the_household_files_has_a_word(canary: Read) -> None:
    """A text that is added to a record of the files needs a word in the canary household."""
    full = canary.said(ALL).files
    assert _without_word(canary, (files_of(canary), full), HouseholdFiles) == set()


def test_every_text_of_a_spread_has_a_word(canary: Read) -> None:
    """A text that is added to a record of the week needs a word in the canary household."""
    sources = canary.sources
    assert _without_word(canary, (sources.spread, sources.around), Spread) == set()


def _without_word(canary: Read, values: object, kind: type) -> set[str]:
    filled = {
        place for place, text in values_of(values) if canary.canary.found_in(text.replace("-", ""))
    }
    return texts_of(kind) - filled - set(WITHOUT_WORDS) - set(NO_WORD)


@settings(max_examples=40)
@given(rules=rule_sets, seed=st.integers(0, 2**16))
def test_order_and_number_of_hidden_things_tell_nothing(
    canary: Read, rules: RuleSet, seed: int
) -> None:
    """Without what is hidden, and with the rest in any order, the shared week is the same."""
    sources = canary.said(rules)
    redacted = redact(sources)
    shown = {(one.title, one.kind) for one in redacted.decisions if one.shown_as != "nothing"}
    titles = {title for title, _ in shown}
    order = random.Random(seed)

    def only_shown(day: Day) -> Day:
        events = [one for one in day.occurrences if one.occurrence.title in titles]
        tasks = [one for one in day.tasks if one.title in titles]
        order.shuffle(events)
        order.shuffle(tasks)
        return Day(day.date, day.week, day.minutes, occurrences=tuple(events), tasks=tuple(tasks))

    days = [only_shown(day) for day in sources.spread.days]
    order.shuffle(days)
    rows = [row for row in sources.spread.habits if row.title in titles]
    order.shuffle(rows)
    less = Spread(sources.spread.week, tuple(days), habits=tuple(rows))
    again = redact(Sources(less, sources.files, sources.tz, sources.around)).shared
    assert replace(again, busy=None) == replace(redacted.shared, busy=None)


@settings(max_examples=20)
@given(times=st.sampled_from(["left out", "day part"]), again=st.integers(1, 4))
def test_how_many_there_were_is_not_told(canary: Read, times: str, again: int) -> None:
    """Things of one look on one day stand there once, however many there are."""
    rules = replace(ALL, times=times, events=frozenset(), words=(False, False), todos=frozenset())
    rules = replace(rules, rules=((None, False), (None, False)))
    sources = canary.said(rules)
    days = tuple(
        replace(day, occurrences=day.occurrences * again, tasks=day.tasks * again)
        for day in sources.spread.days
    )
    more = replace(sources, spread=replace(sources.spread, days=days))
    assert redact(more).shared.days == redact(sources).shared.days


@pytest.mark.parametrize(
    "state", [CellState.MISSED, CellState.NOT_RECORDED, CellState.NOT_DUE, CellState.OPEN]
)
def test_a_pause_looks_like_a_blank(canary: Read, state: CellState) -> None:
    """A paused day, and one that was missed, not recorded or not due, are the same to see."""
    sources = canary.said(ALL)

    def without_pauses(spread: Spread) -> Spread:
        rows = tuple(
            replace(
                row,
                cells=tuple(
                    cell._replace(state=state) if cell.state is CellState.PAUSED else cell
                    for cell in row.cells
                ),
            )
            for row in spread.habits
        )
        return replace(spread, habits=rows)

    paused = [cell for row in sources.spread.habits for cell in row.cells]
    assert CellState.PAUSED in {cell.state for cell in paused}
    other = replace(sources, spread=without_pauses(sources.spread))
    assert redact(other).shared == redact(sources).shared


def test_a_released_habit_has_a_row_in_a_week_without_it(canary: Read) -> None:
    """That a row is missing would tell of a pause, of an end, or of a beginning."""
    sources = canary.said(ALL)
    without = replace(sources, spread=replace(sources.spread, habits=()))
    rows = redact(without).shared.habits
    assert {row.label for row in rows} == {row.label for row in redact(sources).shared.habits}
    assert not any(any(row.marked) for row in rows)


def test_everything_of_the_week_has_its_decision(canary: Read) -> None:
    """`share --explain` lists each thing, what it is shown as, and why."""
    decisions = canary.redacted(ALL).decisions
    spread = canary.sources.spread
    told = {one.title for one in decisions}
    there = {one.occurrence.title for day in spread.days for one in day.occurrences}
    there |= {task.title for day in spread.days for task in day.tasks}
    there |= {item.title for day in spread.days for item in day.money}
    there |= {row.title for row in spread.habits} | {
        one.occurrence.title for one in spread.left_out
    }
    assert there <= told
    assert all(str(one.why) for one in decisions)
    hidden = [one for one in decisions if one.shown_as is ShownAs.NOTHING]
    assert len(hidden) > 20
    assert not any(one.label for one in hidden)
