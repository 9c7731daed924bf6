"""Expanded occurrences by span of days, page digests and small settings."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from weeksync.errors import StoreDamaged
from weeksync.message import message
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


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A new store, open for writing, with an expansion of March and April."""
    with Store.open(tmp_path / "state", write=True) as opened:
        opened.save_expansion("family", "key", START, END, (*WEEKLY, TRIP), [TODO], [PROBLEM])
        yield opened


def test_the_whole_window_comes_back_in_order(store: Store) -> None:
    """Occurrences, to-dos, problems and what they cost are as they were saved."""
    assert store.load_expansion("family", "key", START, END) == (
        (*WEEKLY, TRIP),
        (TODO,),
        (PROBLEM,),
        Spent(),
    )
    spent = Spent(occurrences=7, steps=40, entries=3)
    store.save_expansion("family", "dear", START, END, WEEKLY, [], [], spent)
    assert store.load_expansion("family", "dear", START, END) == (tuple(WEEKLY), (), (), spent)


@pytest.mark.parametrize(
    ("start", "end", "expected"),
    [
        pytest.param(date(2027, 3, 8), date(2027, 3, 9), (WEEKLY[1],), id="a day"),
        pytest.param(date(2027, 3, 9), date(2027, 3, 15), (), id="between"),
        pytest.param(date(2027, 3, 29), date(2027, 4, 5), (WEEKLY[4], TRIP), id="a week"),
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
        "UPDATE expansion SET problems = ?",
    ],
    ids=["detail", "to-do", "problems"],
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
    store.save_expansion("family", "new", START, END, [WEEKLY[0]], [], [])
    assert store.load_expansion("family", "key", START, END) is None
    assert store.load_expansion("family", "new", START, END) == ((WEEKLY[0],), (), (), Spent())
    for table in ("occurrence", "detail", "todo"):
        (count,) = store.connection.execute(f"SELECT count(*) FROM {table}").fetchone()  # noqa: S608
        assert count == (0 if table == "todo" else 1)


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
        store.save_expansion("stall", "key", START, END, WEEKLY, [], [])
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
