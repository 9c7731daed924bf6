"""Check-ins taken into the household: whose, for which day, and what two devices make of one."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tests.support.households import NOW, write_household
from weeksync.errors import UsageError
from weeksync.workflow import Context, shown
from weeksync.workflow.check_in import held_entry, take

TODAY = date(2027, 3, 24)
GIVEN = {"day": "2027-03-24", "feeling": "light", "energy": 4, "why": "slept", "seen": ""}


def household(folder: Path) -> Context:
    """Ann and Bo, on Wednesday morning."""
    write_household(folder)
    return Context.read(folder, NOW)


def test_a_check_in_is_in_the_week_of_its_day(tmp_path: Path) -> None:
    """Of the person who wrote it; without a day it is today's; it is there to be changed."""
    context = household(tmp_path)
    assert take(context, "ann", GIVEN).saved
    assert take(context, "bo", {"feeling": "tired"}).saved
    spread, _ = shown(Context.read(tmp_path, NOW), "this")
    assert [(one.person, one.feeling, one.energy) for one in spread.days[2].check_ins] == [
        ("ann", "light", 4),
        ("bo", "tired", None),
    ]
    entry = held_entry(context, "ann", TODAY)
    assert (entry.fields.why, entry.day) == ("slept", TODAY)
    assert take(context, "ann", GIVEN | {"feeling": "", "seen": entry.seen}).saved
    assert held_entry(context, "ann", TODAY).fields.feeling == ""


def test_a_second_device_loses_nothing(tmp_path: Path) -> None:
    """The answer holds what stands there, says where the other words are, and both are shown."""
    context = household(tmp_path)
    take(context, "ann", GIVEN)
    other = take(context, "ann", GIVEN | {"feeling": "heavy", "gratitude": "rain"})
    assert not other.saved
    assert other.held["feeling"] == "light"
    assert "both are kept" in str(other.text)
    spread, _ = shown(Context.read(tmp_path, NOW), "this")
    [one] = spread.days[2].check_ins
    assert one.feeling == "light"
    assert "Feeling: heavy" in one.text
    assert "Grateful for: rain" in one.text
    assert take(context, "ann", GIVEN | {"feeling": "both", "seen": other.seen}).saved


@pytest.mark.parametrize(
    ("other", "said"),
    [
        ({"day": "2027-03-25"}, "day = 2027-03-25 has not come yet"),
        ({"day": "2027-02-20"}, "day = 2027-02-20 lies more than 31 days back"),
        ({"day": "../../x"}, 'day = "../../x" is no date'),
        ({"day": 7}, "day and seen are texts"),
        ({"seen": 1}, "day and seen are texts"),
        ({"mood": "x"}, "a check-in has no mood"),
    ],
)
def test_what_cannot_be_is_refused(tmp_path: Path, other: dict[str, object], said: str) -> None:
    """A day to come or long gone, what is no day, an unknown field: nothing is written."""
    context = household(tmp_path)
    with pytest.raises(UsageError) as error:
        take(context, "ann", GIVEN | other)
    assert str(error.value).startswith(said)
    assert not (tmp_path / "check-ins").exists()


def test_nobody_of_the_household_writes_none(tmp_path: Path) -> None:
    """A person config.toml does not know, a path among them."""
    context = household(tmp_path)
    for nobody in ("zed", "", "../ann"):
        with pytest.raises(UsageError, match="it has: ann, bo"):
            take(context, nobody, GIVEN)


def test_the_oldest_day_is_a_month_back(tmp_path: Path) -> None:
    """31 days, and no more."""
    assert take(household(tmp_path), "ann", GIVEN | {"day": "2027-02-21"}).saved
