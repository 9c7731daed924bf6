"""Expanded occurrences by span of days, page digests and small settings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from weeksync.errors import StoreDamaged
from weeksync.message import message
from weeksync.model.expanded import Change, KeptExpansion, Part
from weeksync.model.limits import Spent
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Problem, ProblemKind
from weeksync.store import Store
from weeksync.zones import zone

LONDON = zone("Europe/London")
START, END = date(2027, 3, 1), date(2027, 5, 1)
TODO = TodoItem("family", "home", "todo", "", "Buy seed", due=date(2027, 4, 2))
PROBLEM = Problem(ProblemKind.OBJECT, message("{uid} has no start", uid="x"))


def lesson(day: date, hours: int = 1, uid: str = "lesson") -> Occurrence:
    """A lesson at ten on that day."""
    start = datetime(day.year, day.month, day.day, 10, tzinfo=LONDON)
    return Occurrence(
        "family",
        "home",
        uid,
        f"{day:%Y%m%d}T100000Z",
        "Piano",
        start,
        start + timedelta(hours=hours),
        zone="Europe/London",
        categories=("music",),
        notes="blue book",
    )


WEEKLY = tuple(lesson(START + timedelta(weeks=number)) for number in range(8))
TRIP = Occurrence("family", "home", "trip", "", "Trip", date(2027, 3, 27), date(2027, 4, 3))


LESSONS = Part("home", "lesson", 0, START, END, occurrences=WEEKLY)
JOURNEY = Part("home", "trip", 1, START, END, occurrences=(TRIP,))
SEED = Part("home", "todo", 2, None, None, todos=(TODO,), problems=(PROBLEM,))


def digests(store: Store, *sources: str) -> tuple[dict[date, bytes], bytes]:
    """Those of the days of March and April, and that of what has no day."""
    found = store.day_digests(sources or ("family",), START, END)
    assert found is not None
    return found


def expansion(
    parts: Sequence[Part] = (LESSONS, JOURNEY, SEED),
    key: str = "key",
    spent: Spent = Spent(),  # noqa: B008
) -> KeptExpansion:
    """An expansion of March and April."""
    return KeptExpansion(key, (START, END), "Europe/London", tuple(parts), spent=spent)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A new store, open for writing, with an expansion of March and April."""
    with Store.open(tmp_path / "state", write=True) as opened:
        opened.save_expansion("family", expansion())
        yield opened


def test_the_whole_window_comes_back_in_order(store: Store) -> None:
    """Occurrences, to-dos, problems and what they cost are as they were saved."""
    assert store.load_expansion("family", "key", START, END) == (
        (*WEEKLY[:4], TRIP, *WEEKLY[4:]),
        (TODO,),
        (PROBLEM,),
        Spent(),
    )
    spent = Spent(occurrences=7, steps=40, entries=3)
    store.save_expansion("family", expansion([LESSONS], "dear", spent))
    assert store.load_expansion("family", "dear", START, END) == (tuple(WEEKLY), (), (), spent)


@pytest.mark.parametrize(
    ("start", "end", "expected"),
    [
        pytest.param(date(2027, 3, 8), date(2027, 3, 9), (WEEKLY[1],), id="a day"),
        pytest.param(date(2027, 3, 9), date(2027, 3, 15), (), id="between"),
        pytest.param(date(2027, 3, 29), date(2027, 4, 5), (TRIP, WEEKLY[4]), id="a week"),
        pytest.param(date(2027, 4, 2), date(2027, 4, 3), (TRIP,), id="last day of a trip"),
        pytest.param(date(2027, 4, 3), date(2027, 4, 4), (), id="the day after it"),
        pytest.param(date(2027, 3, 8), date(2027, 3, 8), (), id="no day"),
    ],
)
def test_a_span_of_days_is_read(
    store: Store, start: date, end: date, expected: tuple[Occurrence, ...]
) -> None:
    """Half-open: what touches a day of the span, long ones on each of their days."""
    found = store.load_expansion("family", "key", start, end)
    assert found is not None
    assert found[0] == expected


def test_several_spans_are_read_at_once_and_what_touches_two_of_them_once(store: Store) -> None:
    """In the order of time, and without the notes, which a plan does not show."""
    spans = [(date(2027, 4, 2), date(2027, 4, 3)), (date(2027, 3, 8), date(2027, 3, 9))]
    spans.append((date(2027, 3, 31), date(2027, 4, 1)))
    expected = tuple(replace(one, notes="") for one in (WEEKLY[1], TRIP))
    assert store.load_spans("family", "key", spans) == expected
    assert store.load_spans("family", "another key", spans) is None
    assert store.load_spans("family", "key", [*spans, (END, END + timedelta(days=1))]) is None


def test_a_span_is_read_without_the_rows_of_other_days(store: Store) -> None:
    """A row of another day that cannot be read does not matter until it is asked for."""
    store.connection.execute("UPDATE occurrence SET start = 'x' WHERE identity = ?", ("",))
    assert store.load_expansion("family", "key", date(2027, 3, 8), date(2027, 3, 9)) is not None
    with pytest.raises(StoreDamaged, match=r"weeksync pull --rebuild"):
        store.load_expansion("family", "key", START, END)


@pytest.mark.parametrize("text", ["", "x", "[1", "[1]"])
@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE detail SET payload = ?",
        "UPDATE todo SET payload = ?",
        "UPDATE part_problem SET payload = ?",
        "UPDATE expansion SET problems = ?",
    ],
    ids=["detail", "to-do", "problems of a part", "problems"],
)
def test_text_that_is_none_of_ours_is_damage(store: Store, statement: str, text: str) -> None:
    """Whatever stands where our text should be, the answer is a sentence with a way out."""
    store.connection.execute(statement, (text,))
    with pytest.raises(StoreDamaged, match=r"weeksync pull --rebuild"):
        store.load_expansion("family", "key", START, END)


@pytest.mark.parametrize(
    ("source", "key", "start", "end"),
    [
        pytest.param("family", "other", START, END, id="another key"),
        pytest.param("stall", "key", START, END, id="another source"),
        pytest.param("family", "key", START - timedelta(days=1), END, id="a day before"),
        pytest.param("family", "key", START, END + timedelta(days=1), id="a day after"),
    ],
)
def test_what_is_not_stored_is_none(
    store: Store, source: str, key: str, start: date, end: date
) -> None:
    """Valid only for the same key and days inside the stored window."""
    assert store.load_expansion(source, key, start, end) is None


def test_an_expansion_replaces_the_one_before(store: Store) -> None:
    """One window a source is kept; nothing of the old one is left behind."""
    first = replace(LESSONS, occurrences=WEEKLY[:1])
    store.save_expansion("family", expansion([first], "new"))
    assert store.load_expansion("family", "key", START, END) is None
    assert store.load_expansion("family", "new", START, END) == ((WEEKLY[0],), (), (), Spent())
    for table in ("part", "occurrence", "detail", "todo", "part_problem"):
        (count,) = store.connection.execute(f"SELECT count(*) FROM {table}").fetchone()  # noqa: S608
        assert count == (0 if table in {"todo", "part_problem"} else 1)


def test_a_part_is_replaced_alone(store: Store) -> None:
    """What is kept of the others stays; in the end all is as if it had been saved at once."""
    moved = replace(TRIP, start=date(2027, 4, 10), end=date(2027, 4, 12))
    parts = [LESSONS, replace(JOURNEY, occurrences=(moved,))]
    spent = Spent(9, 8, 7)
    change = Change((START, END), spent, (), (parts[1],), frozenset({("home", "todo")}))
    store.update_expansion("family", change)
    found = store.load_expansion("family", "key", START, END)
    sums = digests(store)
    store.save_expansion("family", expansion(parts, spent=spent))
    assert found == store.load_expansion("family", "key", START, END)
    assert sums == digests(store)


def test_only_the_days_of_what_changed_have_another_digest(store: Store) -> None:
    """A lesson that is called otherwise touches its own day, a trip each of its days."""
    before, rest = digests(store)
    other = replace(WEEKLY[0], title="Violin")
    change = Change(
        (START, END),
        Spent(),
        (),
        (replace(LESSONS, occurrences=(other, *WEEKLY[1:])),),
        frozenset({("home", "trip")}),
    )
    store.update_expansion("family", change)
    after, same_rest = digests(store)
    assert rest == same_rest
    assert [day for day in before if before[day] != after[day]] == [
        START,
        *(date(2027, 3, 27) + timedelta(days=day) for day in range(7)),
    ]


def test_a_uid_in_two_sources_is_read_and_digested_together(store: Store) -> None:
    """Which copy counts is told from all of them, wherever they lie."""
    copy = replace(TRIP, source="stall", start=date(2027, 3, 2), end=date(2027, 3, 3))
    part = replace(JOURNEY, occurrences=(copy,))
    store.save_expansion("stall", expansion([part]))
    day = date(2027, 3, 2)
    found = store.load_expansion("family", "key", day, day + timedelta(days=1))
    assert found is not None
    assert found[0] == (TRIP,)
    before, _ = digests(store, "family", "stall")
    again = replace(part, occurrences=(replace(copy, sequence=2),))
    store.update_expansion("stall", Change((START, END), Spent(), (), (again,), frozenset()))
    after, _ = digests(store, "family", "stall")
    assert [one for one in before if before[one] != after[one]] == [
        day,
        *(date(2027, 3, 27) + timedelta(days=day) for day in range(7)),
    ]


def test_digests_are_those_of_one_window(store: Store) -> None:
    """Of other days than those that are kept there are none."""
    assert store.day_digests(["family"], START, END + timedelta(days=1)) is None
    assert store.day_digests(["family", "stall"], START, END) is None


def test_what_a_series_shares_is_stored_once(store: Store) -> None:
    """Eight lessons and a trip have two details."""
    assert store.connection.execute("SELECT count(*) FROM detail").fetchone() == (2,)


def test_rows_of_other_records_are_not_read(store: Store) -> None:
    """Where another weeksync's records had other fields, the rows count as not stored."""
    store.connection.execute("UPDATE expansion SET key = 'feed0123feed0123 key'")
    assert store.load_expansion("family", "key", START, END) is None


def test_rows_in_a_zone_that_is_gone_are_not_read(store: Store) -> None:
    """Zone data without the household's zone gives no rows rather than wrong ones."""
    store.connection.execute("UPDATE expansion SET zone = 'Mars/Olympus'")
    assert store.load_expansion("family", "key", START, END) is None


def test_occurrences_of_another_source_are_refused(store: Store) -> None:
    """The source of a row is that of its expansion; the old expansion stays."""
    with pytest.raises(ValueError, match="in the expansion of"):
        store.save_expansion("stall", expansion([LESSONS]))
    assert store.load_expansion("stall", "key", START, END) is None


def test_page_digests_are_replaced_as_a_whole(store: Store) -> None:
    """A page that is no more has no digest."""
    assert store.page_digests() == {}
    store.save_page_digests({"index.html": "a", "2027/w12.html": "b"})
    store.save_page_digests({"index.html": "c"})
    assert store.page_digests() == {"index.html": "c"}


def test_settings_are_small_texts(store: Store) -> None:
    """None where nothing was set; the last one counts."""
    assert store.get("style") is None
    store.set("style", "a")
    store.set("style", "b")
    assert store.get("style") == "b"


def test_notes_are_left_out_where_nobody_reads_them(store: Store) -> None:
    """Everything else of the occurrences is the same."""
    whole = store.load_expansion("family", "key", START, END)
    bare = store.load_expansion("family", "key", START, END, notes=False)
    assert whole is not None
    assert bare is not None
    assert {one.notes for one in whole[0]} == {"blue book", ""}
    assert bare[0] == tuple(replace(one, notes="") for one in whole[0])
    assert bare[1:] == whole[1:]
