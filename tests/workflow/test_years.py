"""Years and searching over a household that has closed its weeks for more than a year."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from benchmarks.ten_years import CLOSED, NOW, write_ten_years
from weeksync.cli import main
from weeksync.errors import UsageError
from weeksync.household import keep_closed
from weeksync.model.spread import Priority
from weeksync.model.week import IsoWeek
from weeksync.workflow.close import reopen_week
from weeksync.workflow.context import Context
from weeksync.workflow.find import find
from weeksync.workflow.own_on_demand import page_for
from weeksync.workflow.year_gists import Gists
from weeksync.workflow.years import common_year, weeks_of, whole_year, year_planner, years_of

WEEKS = 66
"""Back to 2025-W51."""


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The household; nothing is kept in short yet."""
    return write_ten_years(tmp_path_factory.mktemp("years") / "home", WEEKS)


@pytest.fixture
def context(written: Path, tmp_path: Path) -> Context:
    """A copy that a test may change."""
    home = Path(shutil.copytree(written, tmp_path / "home"))
    return Context.read(home, NOW, give_ids=False)


def anew(context: Context) -> Context:
    """As another run finds it."""
    return replace(context)


def year(context: Context, number: int) -> list[IsoWeek]:
    """The closed weeks on the page of a year."""
    found = whole_year(context, year_planner(context), Gists(context), number)
    assert [one.week for one in found.weeks] == list(weeks_of(number))
    return [one.week for one in found.weeks if one.closed]


def test_a_year_has_all_its_weeks_closed_or_not(context: Context) -> None:
    """2026 has 53 weeks, 2027 has 52 (ISO 8601); closed ones come from their records."""
    days = context.rule.days(CLOSED)
    assert years_of(context, days[0], days[-1]) == (2025, 2026, 2027)
    assert len(year(context, 2025)) == 2
    assert len(year(context, 2026)) == 53
    assert year(context, 2027) == [IsoWeek(2027, number) for number in range(1, 12)]


def test_no_record_is_read_twice(context: Context, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second run opens the records to see that they are the same, and understands none."""
    first = Gists(context).weeks(2026)
    again = anew(context)
    monkeypatch.setattr(
        type(again.archive), "__getitem__", lambda *_: pytest.fail("a record was read again")
    )
    assert Gists(again).weeks(2026) == first


def test_what_is_reopened_and_closed_again_is_read_anew(context: Context) -> None:
    """Its old title is found no more, its new one is; only that week has changed."""
    week = IsoWeek(2026, 10)
    before = Gists(context).weeks(2026)
    closed = context.archive[week]
    reopen_week(anew(context), week)
    assert week not in Gists(anew(context)).weeks(2026)
    days = (replace(closed.spread.days[0], priorities=(Priority("Zither strings"),)),)
    spread = replace(closed.spread, days=(*days, *closed.spread.days[1:]), notes="")
    assert find(anew(context), "zither").count == 0
    assert keep_closed(context.folder, replace(closed, spread=spread)) is not None
    assert [hit.week for hit in find(anew(context), "ZITHER strings").hits] == [week]
    assert Gists(anew(context)).weeks(2026).keys() == before.keys()


@pytest.mark.parametrize("damage", [b"", b"{", b'{"format": 2, "weeks": {"2026-W10": 3}}', b"[]"])
def test_a_damaged_file_in_short_is_as_none(context: Context, damage: bytes) -> None:
    """It is made again from the records."""
    first = Gists(context).weeks(2026)
    place = context.state / "years" / "2026.json"
    place.write_bytes(damage)
    assert Gists(anew(context)).weeks(2026) == first
    assert json.loads(place.read_bytes())["weeks"].keys() == {str(week) for week in first}


def test_a_damaged_record_leaves_the_others(context: Context) -> None:
    """Its week is shown as it is planned, and the problem is told with its place."""
    (context.folder / "archive" / "2026-W10.json").write_text("{", "utf-8")
    fresh = anew(context)
    assert IsoWeek(2026, 10) not in year(fresh, 2026)
    assert len(year(fresh, 2026)) == 52
    assert [one.place.file for one in fresh.archive.problems] == ["archive/2026-W10.json"]


def test_where_nothing_can_be_kept_it_is_found_all_the_same(
    context: Context, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder that may only be read is as good."""

    def refused(*_: object, **__: object) -> None:
        raise OSError

    monkeypatch.setattr("weeksync.workflow.year_gists.replace_file", refused)
    assert find(context, "café").count > 0
    assert not list((context.state / "years").glob("*.json"))


def test_the_newest_weeks_come_first_and_all_words_have_to_be_there(context: Context) -> None:
    """Accents and capitals aside; in a week the later day first."""
    found = find(context, "CAFE table")
    assert found.count == len(found.hits) > 5
    order = [(hit.week, hit.text.day or hit.week.monday - timedelta(1)) for hit in found.hits]
    assert order == sorted(order, reverse=True)
    for hit in found.hits:
        assert "the café table" in hit.text.text
    for nothing in ("", "  ", "́"):
        with pytest.raises(UsageError, match="say what is looked for"):
            find(context, nothing)
    with pytest.raises(UsageError, match="more than 200 signs"):
        find(context, "a" * 201)


def test_nobody_finds_another_s(context: Context) -> None:
    """Without a person only what is on common pages; the letter drawer is only for Ines."""
    assert find(context, "letter drawer").count > 0
    assert find(context, "letter drawer", "ines").count > 0
    assert find(context, "letter drawer", "dov").count == 0
    assert find(context, "letter drawer", None).count == 0
    assert all(hit.text.common for hit in find(context, "the", None).hits)
    with pytest.raises(UsageError):
        find(context, "letter", "nobody")


def test_on_demand_the_page_of_a_year_is_the_person_s(context: Context) -> None:
    """Amounts and health on one's own, never another's; a year without a page has none."""
    page = page_for(context, "ines", "year-2026.html", {})
    assert page is not None
    assert b"letter drawer" in page
    assert b"164.00" in page
    other = page_for(context, "dov", "year-2026.html", {})
    assert other is not None
    assert b"letter drawer" not in other
    assert b"Long walk" in other
    assert page_for(context, "ines", "year-1999.html", {}) is None
    whole = whole_year(context, year_planner(context), Gists(context), 2026)
    shared = common_year(whole)
    assert not any(week.money for week in shared.weeks)
    assert not any(one.health or one.only_for for week in shared.weeks for one in week.habits)


def test_find_at_the_keyboard(context: Context, capsys: pytest.CaptureFixture[str]) -> None:
    """A line a hit, or JSON; nothing found is no mistake."""
    where = ["--household", str(context.folder), "--now", NOW.isoformat()]
    assert main(["find", "cafe", "TABLE", *where]) == 0
    said = capsys.readouterr().out
    count = find(context, "cafe table").count
    assert said.splitlines()[-1] == f"{count} found"
    assert len(said.splitlines()) == count + 1
    assert main(["find", "café table", "--json", "--person", "dov", *where]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["kind"], found["words"]) == ("weeksync.found", ["cafe", "table"])
    assert found["count"] == len(found["hits"]) <= count
    assert main(["find", "quagga", *where]) == 0
    assert capsys.readouterr().out == "0 found\n"
    assert main(["find", "?!", *where]) == 0
    assert main(["find", "a", "--person", "nobody", *where]) == 2
