"""What an evening of planning writes into household files: one spot, and not a byte beside it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from weeksync import demo
from weeksync.errors import EditRefused
from weeksync.household import evening_edits, read_household
from weeksync.household.evening_edits import OwnWords
from weeksync.model.chosen import LighterWeek
from weeksync.model.fields import Weekday
from weeksync.model.money import Paid
from weeksync.model.week import IsoWeek

W12, W13, W20 = (IsoWeek.parse(f"2027-W{number}") for number in (12, 13, 20))


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """The demo household."""
    return demo.copy_to(tmp_path / "home")


def added(before: str, after: str) -> list[str]:
    """The lines of `after` that `before` has not; all of `before` must still be there in order."""
    lines = iter(after.splitlines())
    found = []
    for wanted in before.splitlines():
        for line in lines:
            if line == wanted:
                break
            found.append(line)
        else:
            raise AssertionError(f"gone: {wanted}")
    return [line for line in [*found, *lines] if line]


def test_a_cell_is_written_into_its_row_and_a_new_row_is_made(home: Path) -> None:
    """Rows keep their form; a row that nobody had yet comes last."""
    path = home / "weeks" / "2027-W13.toml"
    before = path.read_text("utf-8")
    cells = {
        ("Meals", Weekday.TUESDAY): 'Pie "of the house"',
        ("Baking", Weekday.FRIDAY): "Rye",
        ("Baking", Weekday.MONDAY): "",
    }
    evening_edits.write_own_words(home, W13, OwnWords(cells))
    assert added(before, path.read_text("utf-8")) == [
        'tuesday = "Pie \\"of the house\\""',
        "[[rows]]",
        'title = "Baking"',
        'cells = { friday = "Rye" }',
    ]


def test_a_cell_that_says_something_else_by_now_is_left(home: Path) -> None:
    """Nothing of the same form is written then."""
    path = home / "weeks" / "2027-W13.toml"
    before = path.read_bytes()
    words = OwnWords(
        {("Meals", Weekday.MONDAY): "Soup", ("Meals", Weekday.TUESDAY): "Pie"},
        {("Meals", Weekday.MONDAY): "What I saw"},
    )
    with pytest.raises(EditRefused, match="2027-W13"):
        evening_edits.write_own_words(home, W13, words)
    assert path.read_bytes() == before


def test_an_emptied_cell_is_taken_away(home: Path) -> None:
    """An empty cell says nothing, and so it does not stand in the file."""
    seen = {("Meals", Weekday.MONDAY): "What is left of Sunday"}
    words = OwnWords({("Meals", Weekday.MONDAY): ""}, seen)
    evening_edits.write_own_words(home, W13, words)
    (meals,) = read_household(home).weeks[W13].rows
    assert set(meals.cells) == {Weekday.WEDNESDAY}


@pytest.mark.parametrize("week", [W12, W13, W20], ids=["lines", "one line", "no file yet"])
def test_notes_are_written_in_lines(home: Path, week: IsoWeek) -> None:
    """Whatever stands there: several lines, one, or no file."""
    held = read_household(home).weeks.get(week)
    text = 'One "quoted" line\n\n- a \\ backslash\n- the end'
    stood = held.notes if held else ""
    evening_edits.write_own_words(home, week, OwnWords(notes=(stood, text)))
    now = read_household(home).weeks[week]
    assert now.notes == text
    if held is not None:
        assert replace(now, notes=held.notes) == held


def test_lighter_days_are_added_once_and_taken_away(home: Path) -> None:
    """The file is as it was then."""
    path = home / "weeks" / "2027-W13.toml"
    before = path.read_bytes()
    lighter = LighterWeek(
        person="dov", start=date(2027, 3, 29), end=date(2027, 3, 30), reason="after the nights"
    )
    for _ in range(2):
        evening_edits.add_lighter(home, W13, lighter)
    assert read_household(home).weeks[W13].lighter == (lighter,)
    evening_edits.take_lighter(home, W13, lighter)
    assert path.read_bytes().strip() == before.strip()
    with pytest.raises(EditRefused):
        evening_edits.take_lighter(home, W13, lighter)


def test_one_priority_of_two_is_taken_off_a_day(home: Path) -> None:
    """The other stays."""
    evening_edits.take_priority(home, W12, date(2027, 3, 22), "order-jars")
    days = {one.date: one.priorities for one in read_household(home).weeks[W12].days}
    assert days[date(2027, 3, 22)] == ("stall-stock-count",)
    with pytest.raises(EditRefused):
        evening_edits.take_priority(home, W12, date(2027, 3, 22), "order-jars")


def test_what_is_settled_stands_there_once_until_it_is_asked_again(home: Path) -> None:
    """In the file of the week that it is about."""
    evening_edits.settle(home, W12, ["marks", "task:gate-latch", "marks"])
    evening_edits.settle(home, W12, ["marks"])
    assert [one.what for one in read_household(home).weeks[W12].settled] == [
        "marks",
        "task:gate-latch",
    ]
    evening_edits.unsettle(home, W12, ["marks"])
    assert [one.what for one in read_household(home).weeks[W12].settled] == ["task:gate-latch"]


def test_a_payment_is_written_behind_the_others_of_its_bill(home: Path) -> None:
    """With its amount where that differed; a bill that has changed meanwhile is left."""
    bill = next(one for one in read_household(home).bills if one.id == "water-bill")
    path = home / "money.toml"
    before = path.read_text("utf-8")
    paid = Paid(due=date(2027, 3, 26), on=date(2027, 3, 28), amount=3999)
    evening_edits.pay(home, bill, paid)
    now = next(one for one in read_household(home).bills if one.id == "water-bill")
    assert now.paid == (*bill.paid, paid)
    assert len(path.read_text("utf-8")) - len(before) < 70
    with pytest.raises(EditRefused, match="Water"):
        evening_edits.pay(home, bill, paid)


def test_the_first_payment_of_a_bill_begins_its_list(home: Path) -> None:
    """Nobody has paid it yet."""
    bill = next(one for one in read_household(home).bills if not one.paid)
    evening_edits.pay(home, bill, Paid(due=bill.first, on=bill.first))
    now = next(one for one in read_household(home).bills if one.id == bill.id)
    assert [one.due for one in now.paid] == [bill.first]


def test_a_lesson_gets_a_day_to_be_made_up_on(home: Path) -> None:
    """Behind the days that it has, or as its first one."""
    for name in ("juno-maths", "pell-english"):
        lesson = next(one for one in read_household(home).lessons if one.id == name)
        evening_edits.make_up(home, lesson, date(2027, 3, 31))
        now = next(one for one in read_household(home).lessons if one.id == name)
        assert now.make_up == (*lesson.make_up, date(2027, 3, 31))
