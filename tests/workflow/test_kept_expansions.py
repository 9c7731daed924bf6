"""What is kept of expansions and brought up to date is what expanding everything would give."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.support.edited_calendars import FIRST, Calendars, apply
from tests.support.households import NOW, write_household
from weeksync.calendar import Expansion
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.day_digests import day_digests
from weeksync.workflow.gather import gather, window_of, with_days, without_events
from weeksync.workflow.kept_expansions import KeptExpansions

SOURCES = ("family", "school")
CONFIG = "".join(f'\n[[calendars]]\nid = "{one}"\npath = "{one}"\n' for one in SOURCES)
TIGHT = "\n[limits]\noccurrences_per_source = 400\noccurrences_per_run = 420\n"
RULES = """
[[rules]]
calendar = "school"
person = "bo"
area = "home"
travel_minutes = 20

[[rules]]
title = "i"
person = ["ann", "bo"]
away = true
"""
LENGTH = timedelta(weeks=20)


def read(folder: Path, more: str = "") -> Context:
    """The household of these calendars."""
    return Context.read(write_household(folder, CONFIG + more), NOW)


@pytest.fixture(scope="module")
def context(tmp_path_factory: pytest.TempPathFactory) -> Context:
    """The household with the limits that are usual."""
    return read(tmp_path_factory.mktemp("usual"))


@pytest.fixture(scope="module")
def ruled(tmp_path_factory: pytest.TempPathFactory) -> Context:
    """The household with somebody whose the events are."""
    return read(tmp_path_factory.mktemp("ruled"), RULES)


@pytest.fixture(scope="module")
def tight(tmp_path_factory: pytest.TempPathFactory) -> Context:
    """The household with limits that are soon reached."""
    return read(tmp_path_factory.mktemp("tight"), TIGHT)


@contextmanager
def opened() -> Iterator[Store]:
    """An empty store, open for writing."""
    with TemporaryDirectory() as folder, Store.open(Path(folder) / "state", write=True) as store:
        yield store


Told = list[tuple[str, str, str, str, str]]


def told(found: list[tuple[str, Expansion]]) -> Told:
    """Every field of every record, with zones and folds, which equality passes over."""
    return [
        (
            source,
            "\n".join(f"{one!r} {one.start.fold if hasattr(one.start, 'fold') else ''}"
                      for one in expansion.occurrences),
            "\n".join(map(repr, expansion.todos)),
            "\n".join(map(repr, expansion.problems)),
            repr(expansion.spent),
        )
        for source, expansion in found
    ]  # fmt: skip


def kept(context: Context, store: Store, window: tuple[date, date]) -> Told:
    """What the store keeps of a window, each source in its order."""
    found = KeptExpansions(context, store, window).all()
    return told([(source.id, expansion) for source, expansion in found])


def cold(context: Context, store: Store, window: tuple[date, date]) -> tuple[Told, object]:
    """What a store gives in which nothing was ever kept, and its digests."""
    with opened() as other:
        for source in SOURCES:
            raw = {(one.collection, one.name): one.content for one in store.objects(source)}
            apply(other, source, raw, NOW)
        found = kept(context, other, window)
        KeptExpansions(context, other, window).settle()
        return found, other.day_digests(SOURCES, *window)


def begun(context: Context, seed: int, *, odd: bool) -> None:
    """Each source is expanded as soon as it is stored, as a first night does; one changes then."""
    random = Random(seed)
    calendars = Calendars(random, odd)
    calendars.begin(SOURCES)
    window = FIRST, FIRST + LENGTH
    sources = list(context.config.calendars)
    random.shuffle(sources)
    with opened() as store:
        expansions = KeptExpansions(context, store, window)
        assert expansions.is_new
        calendars.pull(store, context.now)
        for source in sources:
            expansions.begin(source)
        if random.random() < 0.3:
            calendars.edit()
            calendars.pull(store, context.now)
        found = told([(source.id, one) for source, one in expansions.all()])
        whole, digests = cold(context, store, window)
        assert found == whole
        KeptExpansions(context, store, window).settle()
        assert store.day_digests(SOURCES, *window) == digests


def edited_until_it_differs(context: Context, seed: int, *, odd: bool) -> None:
    """Edit calendars and move the window, some times; after each the kept is as the cold."""
    random = Random(seed)
    calendars = Calendars(random, odd)
    calendars.begin(SOURCES)
    start = FIRST
    with opened() as store:
        for _ in range(5):
            calendars.pull(store, context.now)
            window = start, start + LENGTH
            KeptExpansions(context, store, window).settle()
            whole, digests = cold(context, store, window)
            assert kept(context, store, window) == whole
            assert store.day_digests(SOURCES, *window) == digests
            for _ in range(random.choice((0, 1, 1, 2))):
                calendars.edit()
            start += timedelta(weeks=random.choice((0, 0, 0, 1, 1, 5, -2)))
            context = replace(context, now=context.now + timedelta(days=random.choice((0, 1, 7))))


patient = settings(
    max_examples=8,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)


@patient
@given(seed=st.integers(0, 10**9))
def test_kept_and_edited_is_as_expanded_anew(context: Context, seed: int) -> None:
    """Changed, added, deleted, moved, renamed, a window that rolls on: all fields, all in order."""
    edited_until_it_differs(context, seed, odd=False)


@patient
@given(seed=st.integers(0, 10**9))
def test_what_is_odd_is_as_expanded_anew(context: Context, seed: int) -> None:
    """With zone rules of their own and UIDs that are two things besides."""
    edited_until_it_differs(context, seed, odd=True)


@patient
@given(seed=st.integers(0, 10**9))
def test_what_meets_the_limits_is_as_expanded_anew(tight: Context, seed: int) -> None:
    """What is near goes first, whatever was kept before."""
    edited_until_it_differs(tight, seed, odd=False)


@patient
@given(seed=st.integers(0, 10**9), odd=st.booleans())
def test_what_is_begun_in_a_pull_is_as_expanded_afterwards(
    context: Context, tight: Context, seed: int, odd: bool
) -> None:
    """In whatever order the calendars come, and where limits make one hang on another."""
    begun(context, seed, odd=odd)
    begun(tight, seed, odd=odd)


def rows(store: Store) -> dict[str, int]:
    """UID → the row of its part in the database."""
    return dict(store.connection.execute("SELECT uid, id FROM part"))


SINGLE = "BEGIN:VEVENT\nUID:{uid}\nDTSTART:{day:%Y%m%d}T100000Z\nSUMMARY:{title}\nEND:VEVENT\n"


def texts(titles: dict[str, str]) -> dict[tuple[str, str], bytes]:
    """One file with an event each week from FIRST on, and one with a to-do."""
    events = "".join(
        SINGLE.format(uid=uid, title=title, day=FIRST + timedelta(weeks=number))
        for number, (uid, title) in enumerate(titles.items())
    )
    files = {"a.ics": events, "b.ics": "BEGIN:VTODO\nUID:todo\nSUMMARY:Seed\nEND:VTODO\n"}
    return {
        ("files", name): f"BEGIN:VCALENDAR\n{body}END:VCALENDAR\n".encode()
        for name, body in files.items()
    }


WINDOW = FIRST, FIRST + LENGTH
CURE = f"""\
format = 1

[[appointments]]
id = "appointment-cure"
title = "Cure"
start = {FIRST}
end = {FIRST + timedelta(weeks=6)}
"""


def test_only_what_changed_is_expanded(context: Context) -> None:
    """One event of thirty in one file: the rows of all others are those that were there."""
    titles = {f"uid-{number}": "Choir" for number in range(30)}
    with opened() as store:
        apply(store, "family", texts(titles), NOW)
        KeptExpansions(context, store, WINDOW).settle()
        before = rows(store)
        apply(store, "family", texts(titles | {"uid-3": "Violin"}), NOW)
        KeptExpansions(context, store, WINDOW).settle()
        after = rows(store)
    assert {uid for uid in before if before[uid] != after[uid]} == {"uid-3"}


def test_a_window_that_rolls_on_is_extended(context: Context) -> None:
    """What lies in both windows keeps its rows; to-dos have no day and are made anew."""
    titles = {f"uid-{number}": "Choir" for number in range(30)}
    week = timedelta(weeks=1)
    with opened() as store:
        apply(store, "family", texts(titles), NOW)
        KeptExpansions(context, store, WINDOW).settle()
        before = rows(store)
        KeptExpansions(context, store, (WINDOW[0] + week, WINDOW[1] + week)).settle()
        after = rows(store)
    assert before.keys() - after.keys() == {"uid-0"}
    assert after.keys() - before.keys() == {"uid-21"}
    stay = before.keys() & after.keys()
    assert {uid for uid in stay if before[uid] != after[uid]} <= {
        "uid-1",
        "uid-19",
        "uid-20",
        "todo",
    }


def test_another_week_of_today_changes_nothing_where_all_has_room(context: Context) -> None:
    """What is near only matters where not everything can be shown."""
    with opened() as store:
        apply(store, "family", texts({"uid": "Choir"}), NOW)
        KeptExpansions(context, store, WINDOW).settle()
        before = rows(store)
        later = replace(context, now=NOW + timedelta(weeks=3))
        KeptExpansions(later, store, WINDOW).settle()
        assert rows(store) == before


def test_a_part_of_the_window_is_read_alone(context: Context, tmp_path: Path) -> None:
    """A week of a kept window is read without the rows of other weeks, and nothing is written."""
    titles = {f"uid-{number}": "Choir" for number in range(30)}
    week = FIRST + timedelta(weeks=4)
    first, last = week, week + timedelta(days=6)
    with Store.open(tmp_path, write=True) as store:
        apply(store, "family", texts(titles), NOW)
        KeptExpansions(context, store, WINDOW).settle()
        whole = gather(context, store, first, last).planner.week(context.rule.week_of(week))
        far = "first_day < '2027-01-15' OR first_day > '2027-05-01'"
        store.connection.execute(f"UPDATE occurrence SET start = 'x' WHERE {far}")  # noqa: S608
        part = gather(context, store, first, last).planner.week(context.rule.week_of(week))
        assert part == whole
        assert store.expansion_heads()["family"].window == WINDOW
    with Store.open(tmp_path, write=False) as reading:
        assert (
            gather(context, reading, first, last).planner.week(context.rule.week_of(week)) == whole
        )


@patient
@given(seed=st.integers(0, 10**9), odd=st.booleans())
def test_several_parts_at_once_are_as_the_whole_window(
    ruled: Context, seed: int, odd: bool
) -> None:
    """Two stretches of days with one between them that nobody asks for."""
    context = ruled
    random = Random(seed)
    calendars = Calendars(random, odd)
    calendars.begin(SOURCES)
    week = timedelta(weeks=1)
    first, last = FIRST, FIRST + 18 * week - timedelta(days=1)
    early = FIRST + random.randrange(6) * week
    late = early + random.randrange(2, 9) * week
    with opened() as store:
        calendars.pull(store, context.now)
        day_digests(context, store, first, last)
        bare = without_events(context, store, first)
        asked = [(late, late + timedelta(days=13)), (early, early + timedelta(days=6))]
        found = with_days(context, store, bare, asked).planner
        whole = gather(context, store, first, last, notes=False).planner
    for one in (early, late, late + week):
        name = context.rule.week_of(one)
        assert repr(found.week(name)) == repr(whole.week(name))
        assert bare.planner.week(name) == bare.planner.with_events((), ()).week(name)


def test_what_was_entered_by_hand_and_reaches_into_two_parts_is_there_once(tmp_path: Path) -> None:
    """Six weeks of a cure, of which the first and the last week are planned."""
    folder = write_household(tmp_path, CONFIG)
    (folder / "appointments.toml").write_text(CURE, encoding="utf-8")
    context = Context.read(folder, NOW)
    asked = [(FIRST + timedelta(weeks=by), FIRST + timedelta(days=6, weeks=by)) for by in (0, 5)]
    with opened() as store:
        for source in SOURCES:
            apply(store, source, texts({}), NOW)
        day_digests(context, store, FIRST, FIRST + LENGTH)
        bare = without_events(context, store, FIRST)
        found = with_days(context, store, bare, asked)
    for first, _ in asked:
        (cure,) = found.planner.day(first + timedelta(days=1)).occurrences
        assert cure.occurrence.title == "Cure"
    assert found.left_out == ()


def test_a_look_at_other_days_leaves_what_is_kept(context: Context) -> None:
    """A week of another year is expanded for itself; the kept window is worth more."""
    with opened() as store:
        apply(store, "family", texts({"uid": "Choir"}), NOW)
        KeptExpansions(context, store, WINDOW).settle()
        before = rows(store)
        far = FIRST + timedelta(weeks=200)
        assert kept(context, store, (far, far + timedelta(weeks=1)))[0][1] == ""
        assert (rows(store), store.expansion_heads()["family"].window) == (before, WINDOW)


def test_digests_tell_the_days_of_a_change(context: Context) -> None:
    """They are of the days that are read; a change of an event and of a to-do show apart."""
    titles = {f"uid-{number}": "Choir" for number in range(30)}
    first, last = WINDOW[0], WINDOW[1] - timedelta(days=1)
    with opened() as store:
        for source in SOURCES:
            apply(store, source, texts(titles if source == "family" else {}), NOW)
        before = day_digests(context, store, first, last)
        apply(store, "family", texts(titles | {"uid-3": "Violin"}), NOW)
        event = day_digests(context, store, first, last)
        done = texts(titles | {"uid-3": "Violin"})
        done["files", "b.ics"] = done["files", "b.ics"].replace(b"Seed", b"Soil")
        apply(store, "family", done, NOW)
        todo = day_digests(context, store, first, last)
    assert (min(before.days), max(before.days) + timedelta(days=1)) == window_of(
        context, first, last
    )
    assert [day for day in before.days if before.days[day] != event.days[day]] == [
        FIRST + timedelta(weeks=3)
    ]
    assert (before.rest == event.rest, event.days == todo.days) == (True, True)
    assert event.rest != todo.rest
