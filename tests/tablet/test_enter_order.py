"""The page for entering a week has the rows, boxes and lists of `weeksync mark`, in its order."""

from __future__ import annotations

import json
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from tests.cli.test_mark_desk import MONDAY_AFTER
from weeksync import demo
from weeksync.cli import main

TODAY = MONDAY_AFTER[:10]
WEEKS = [f"2027-W{number:02}" for number in range(7, 14)]


class Rows(HTMLParser):
    """The rows and lists of a page as they follow each other."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[tuple[str, str, str, list[tuple[str, str]]]] = []
        self.lists: list[tuple[str, list[tuple[str, str, bool]]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Rows, their boxes, lists and their items."""
        found = {name: value or "" for name, value in attrs}
        if "data-row" in found:
            self.rows.append((found["data-row"], found["data-person"], found["data-kind"], []))
        elif "data-list" in found:
            self.lists.append((found["data-list"], []))
        elif "data-date" in found and "data-number" in found:
            self.rows[-1][3].append((found["data-date"], found["data-value"]))
        elif "data-number" in found:
            is_task = "data-task" in found
            self.lists[-1][1].append((found["data-id"], found["data-value"], is_task))


@pytest.fixture(scope="module")
def household(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo with its marks, built on the Monday after the week it plays in."""
    home = demo.copy_to(tmp_path_factory.mktemp("order") / "home")
    assert main(["build", "--household", str(home), "--now", MONDAY_AFTER]) in {0, 1}
    return home


def on_page(home: Path, week: str) -> Rows:
    """What the page of one's own tree has."""
    rows = Rows()
    rows.feed((home / "output" / "own" / f"enter-{week}.html").read_text("utf-8"))
    return rows


def at_terminal(home: Path, week: str, capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    """What `weeksync mark WEEK --json` has."""
    capsys.readouterr()
    assert main(["mark", week, "--json", "--household", str(home), "--now", MONDAY_AFTER]) == 0
    record: dict[str, Any] = json.loads(capsys.readouterr().out)
    return record


@pytest.mark.parametrize("week", WEEKS)
def test_rows_and_their_boxes_stand_in_the_same_order(
    household: Path, week: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With what is recorded; days to come wait on the page for their day."""
    come = [
        (thing, person, kind, [box for box in boxes if box[0] <= TODAY])
        for thing, person, kind, boxes in on_page(household, week).rows
    ]
    assert [row for row in come if row[3]] == [
        (
            row["id"],
            row["person"],
            row["kind"],
            [(box["day"], box["value"]) for box in row["boxes"]],
        )
        for row in at_terminal(household, week, capsys)["habits"]
    ]


@pytest.mark.parametrize("week", WEEKS)
def test_lists_of_the_days_stand_in_the_same_order(
    household: Path, week: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Lessons, then tasks; last what has no day."""
    assert [one for one in on_page(household, week).lists if one[0] <= TODAY] == [
        (
            one["shown_on"] or "",
            [(item["id"], item["value"], item["is_task"]) for item in one["items"]],
        )
        for one in at_terminal(household, week, capsys)["lists"]
    ]


def test_a_habit_done_often_enough_keeps_all_its_boxes(household: Path) -> None:
    """The page shows marks; they take no box from a habit so many times a week."""
    rows = {row[0]: row[3] for row in on_page(household, "2027-W11").rows}
    marked = [thing for thing, boxes in rows.items() if any(value == "yes" for _, value in boxes)]
    assert "long-walk" in marked
    assert len(rows["long-walk"]) >= 5


def test_its_scripts_stay_small(household: Path) -> None:
    """As they are delivered; only these pages load them."""
    site = household / "output" / "site"
    assert (site / "enter.js").stat().st_size <= 7000
    assert (site / "paper_rows.js").stat().st_size <= 4000
    loading = {path.name for path in site.glob("*.html") if "enter.js" in path.read_text("utf-8")}
    assert loading == {path.name for path in site.glob("enter-*.html")}
