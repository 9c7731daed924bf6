"""Weeks and spans as people name them."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from tests.support.households import NOW, write_household
from weeksync.errors import UsageError
from weeksync.model.week import IsoWeek, Month
from weeksync.workflow.context import Context
from weeksync.workflow.spans import day_named, span_named, week_ahead, week_ending, week_named


@pytest.fixture
def context(tmp_path: Path) -> Context:
    """A household on Wednesday 2027-03-24."""
    return Context.read(write_household(tmp_path), NOW)


@pytest.mark.parametrize(
    ("text", "week"),
    [
        ("this", "2027-W12"),
        ("next", "2027-W13"),
        ("last", "2027-W11"),
        ("2027-W12", "2027-W12"),
        ("2026-w53", "2026-W53"),
        ("2026-12-31", "2026-W53"),  # ISO 8601: the Thursday of 2026-W53
        ("29 Dec", "2026-W53"),  # the nearest 29 December lies in the year before
        ("29 Jun", "2027-W26"),
        ("Dec 29", "2026-W53"),
        ("29 December 2027", "2027-W52"),
        ("today", "2027-W12"),
    ],
)
def test_a_week_is_named_as_people_do(context: Context, text: str, week: str) -> None:
    """By word, by ISO 8601 week, or by a day in it."""
    assert week_named(text, context) == IsoWeek.parse(week)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "2027-W60",
        "2027-02-30",
        "31 Feb",
        "soon",
        "2025-W53",
        "0001-W01",
        "9999-W52",
        "9999-12-31",
        "99999999999999999999999 Mar",
    ],
)
def test_what_names_no_week_is_wrong_use(context: Context, text: str) -> None:
    """The message shows what would."""
    with pytest.raises(UsageError, match="names no week; write this, next"):
        week_named(text, context)


def test_german_months_are_understood_in_a_german_household(tmp_path: Path) -> None:
    """Month names are those of the household's language."""
    folder = write_household(tmp_path)
    config = folder / "config.toml"
    config.write_text(config.read_text().replace("en_GB", "de_DE"))
    context = Context.read(folder, NOW)
    assert week_named("29. Dezember 2027", context) == IsoWeek(2027, 52)


def test_a_span_is_a_week_a_month_or_two_days(context: Context) -> None:
    """`FROM/TO` as ISO 8601 writes an interval; here both days belong to it."""
    assert span_named("next", context) == IsoWeek(2027, 13)
    assert span_named("2027-03", context) == Month(2027, 3)
    days = (date(2027, 3, 22), date(2027, 4, 4))
    assert span_named("2027-03-22/2027-04-04", context) == days
    assert span_named("2027-W12/2027-W13", context) == days
    assert span_named("2027-03/24 Apr", context) == (date(2027, 3, 1), date(2027, 4, 24))


@pytest.mark.parametrize(
    "text",
    [
        "2027-03-22/2027-03-21",
        "2027-03-22/",
        "a/b",
        "2000-01-01/2027-01-01",
        "0001-01-01/0001-01-31",
        "9999-12",
        "0001-01",
    ],
)
def test_a_span_that_is_none_is_wrong_use(context: Context, text: str) -> None:
    """Backwards, half, or absurdly long."""
    with pytest.raises(UsageError):
        span_named(text, context)


def test_in_a_household_whose_week_starts_on_sunday_the_spread_bears_its_thursdays_week(
    tmp_path: Path,
) -> None:
    """Sunday 2027-03-28 opens the spread of 2027-W13 where weeks start on Sunday."""
    folder = write_household(tmp_path)
    config = folder / "config.toml"
    config.write_text(
        config.read_text().replace("[[people]]", 'first_weekday = "sunday"\n\n[[people]]', 1)
    )
    context = Context.read(folder, datetime(2027, 3, 28, 12, tzinfo=UTC))
    assert week_named("this", context) == IsoWeek(2027, 13)
    assert context.rule.days(IsoWeek(2027, 13))[0] == date(2027, 3, 28)


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("wed", date(2027, 3, 24)),
        ("Tuesday", date(2027, 3, 30)),
        ("tomorrow", date(2027, 3, 25)),
        ("yesterday", date(2027, 3, 23)),
        ("2 Apr", date(2027, 4, 2)),
        ("10 Jan", date(2028, 1, 10)),
        ("23 Mar 2027", date(2027, 3, 23)),
        ("2027-03-01", date(2027, 3, 1)),
    ],
)
def test_a_day_to_come_is_named_as_people_do(context: Context, text: str, day: date) -> None:
    """By weekday, word, day and month, or ISO 8601; without a year it lies ahead."""
    assert day_named(text, context) == day


@pytest.mark.parametrize("text", ["", "w", "soon", "31 Feb", "2027-02-30"])
def test_what_names_no_day_is_wrong_use(context: Context, text: str) -> None:
    """The message says how to write one."""
    with pytest.raises(UsageError, match="names no day"):
        day_named(text, context)


def test_weekdays_are_those_of_the_households_language(tmp_path: Path) -> None:
    """As `Do` for Donnerstag."""
    folder = write_household(tmp_path)
    config = folder / "config.toml"
    config.write_text(config.read_text().replace("en_GB", "de_AT"))
    context = Context.read(folder, NOW)
    assert day_named("do", context) == day_named("Donnerstag", context) == date(2027, 3, 25)


@pytest.mark.parametrize(
    ("locale", "examples"),
    [("en_GB", ("2027-03-24", "24 Mar", "Wed")), ("de_DE", ("2027-03-24", "24. März", "Mi"))],
)
def test_what_the_message_says_to_write_is_understood(
    tmp_path: Path, locale: str, examples: tuple[str, ...]
) -> None:
    """In the language of the household, which has its own names of days and months."""
    folder = write_household(tmp_path)
    config = folder / "config.toml"
    config.write_text(config.read_text().replace("en_GB", locale))
    context = Context.read(folder, NOW)
    with pytest.raises(UsageError) as wrong:
        day_named("never", context)
    told = context.language.text(wrong.value.message)
    for example in examples:
        assert example in told
        assert day_named(example, context) == date(2027, 3, 24)


@pytest.mark.parametrize(
    ("day", "ending", "ahead"),
    [
        ("2027-03-22", "2027-W11", "2027-W12"),
        ("2027-03-25", "2027-W11", "2027-W12"),
        ("2027-03-26", "2027-W12", "2027-W13"),
        ("2027-03-28", "2027-W12", "2027-W13"),
        ("2027-03-29", "2027-W12", "2027-W13"),
    ],
    ids=["Monday", "Thursday", "Friday", "Sunday", "the Monday after"],
)
def test_from_friday_on_the_week_is_the_coming_one(
    context: Context, day: str, ending: str, ahead: str
) -> None:
    """Where none is named, the week planned always follows the week looked back on."""
    context = replace(context, now=datetime.fromisoformat(f"{day}T17:00:00+00:00"))
    assert (str(week_ending(context)), str(week_ahead(context))) == (ending, ahead)
