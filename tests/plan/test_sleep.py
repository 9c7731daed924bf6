"""The sleep window: bedtimes before a first engagement, after nights, and what is said of it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.support.plans import CONFIG, at, config, files, planner, timed
from weeksync.model.engagement import SleepWindow
from weeksync.model.files import Routine
from weeksync.model.occurrence import Occurrence
from weeksync.model.week import IsoWeek


def windows(
    *occurrences: Occurrence,
    hours: float = 8,
    who: str = "dov",
    keys: dict[str, Any] | None = None,
    **parts: Any,
) -> tuple[SleepWindow, ...]:
    """The windows of 2027-W12 of one person who aims at so many hours."""
    people = [
        one | {"sleep_hours": hours} | (keys or {}) if one["id"] == who else one
        for one in CONFIG["people"]
    ]
    settings = config(people=people)
    plan = planner(files(settings, **parts), occurrences).week(IsoWeek(2027, 12)).plan
    assert plan is not None
    return plan.sleep


def event(start: str, minutes: int = 60, **keys: Any) -> Occurrence:
    """An event of Dov in March 2027, from a day and a time as `24 07:00`."""
    return timed(
        f"event {start}", at(f"2027-03-{start}"), minutes, **({"persons": ("dov",)} | keys)
    )


def told(found: tuple[SleepWindow, ...]) -> list[tuple[str, str]]:
    """(evening, bedtime) of each."""
    return [(f"{one.day:%a}", f"{one.bedtime:%a %H:%M}") for one in found]


@pytest.mark.parametrize(
    ("first", "wanted"),
    [
        (event("24 07:00"), [("Tue", "Tue 22:00")]),
        (event("24 07:00", travel_minutes=30), [("Tue", "Tue 21:30")]),
        (event("24 04:00"), [("Tue", "Tue 19:00")]),
        (event("24 10:30"), [("Tue", "Wed 01:30")]),
        (event("24 15:00"), []),
        (event("24 18:30"), []),
        (event("24 01:00"), []),
        (event("24 07:00", busy=False), []),
        (event("24 07:00", persons=("ines",)), []),
        (event("29 07:00"), [("Sun", "Sun 22:00")]),
        (event("22 07:00"), []),
    ],
    ids=lambda one: one.title if isinstance(one, Occurrence) else "",
)
def test_the_bedtime_before_a_first_engagement(
    first: Occurrence, wanted: list[tuple[str, str]]
) -> None:
    """Eight hours and one to get ready before it, where that lies before the morning.

    One that begins before 3 and is over by 5 o'clock is the end of the evening before. That of
    Monday belongs to the evening of Sunday, in the week before.
    """
    assert told(windows(first)) == wanted


def test_the_first_of_the_day_counts_and_routines_do() -> None:
    """A routine at 6:30 comes before the shift at 7."""
    early = Routine(id="goats", title="Goats", person="dov", hours="06:30-06:45")
    found = windows(event("24 07:00"), routines=(early,))
    assert [text for _, text in told(found)] == [
        "Mon 21:30", "Tue 21:30", "Wed 21:30", "Thu 21:30", "Fri 21:30", "Sat 20:30", "Sun 21:30",
    ]  # fmt: skip
    assert {(one.first.source, one.first.uid) for one in found} == {("", "goats")}


def test_a_night_worked_has_its_sleep_after_it() -> None:
    """Two nights of 12 hours: no bedtime on either evening, one between them, none after."""
    nights = event("26 19:00", 720), event("27 19:00", 660)
    assert told(windows(*nights)) == [("Fri", "Sat 10:00")]


@pytest.mark.parametrize(
    ("start", "minutes", "wanted"),
    [
        ("25 19:00", 8 * 60 - 1, "Thu 22:00"),
        ("25 19:00", 8 * 60, "Fri 10:00"),
        ("26 01:00", 8 * 60, "Fri 10:00"),
        ("26 02:01", 8 * 60, "Thu 17:01"),
    ],
)
def test_what_counts_as_a_night(start: str, minutes: int, wanted: str) -> None:
    """Three hours or more between midnight and 5 o'clock (Directive 2003/88/EC, Article 2; from
    memory): a shift to 2:59 does not, one to 3:00 does. Then a shift at 7, or one at 19, is next.
    """
    following = event("26 07:00") if minutes < 480 else event("26 19:00")
    found = dict(told(windows(event(start, minutes), following)))
    assert found["Thu"] == wanted


def test_room_is_told_where_it_is_too_little() -> None:
    """An evening until 23:30 before a shift at 7 leaves six and a half hours of eight."""
    late, shift = event("23 20:00", 210), event("24 07:00")
    (found,) = windows(late, shift)
    assert (told((found,)), found.room) == ([("Tue", "Tue 22:00")], 390)
    (enough,) = windows(event("23 20:00", 120), shift)
    assert enough.room is None
    after_night = windows(event("25 22:00", 540), event("26 12:00"))
    assert [one.room for one in after_night] == [4 * 60]


def test_the_clock_change_takes_its_hour() -> None:
    """In the night to 28 March eight hours of sleep begin an hour earlier by the clock."""
    assert told(windows(event("28 07:00"))) == [("Sat", "Sat 21:00")]


@pytest.mark.parametrize(
    ("hours", "who", "noted"),
    [(6.5, "dov", True), (6.99, "dov", True), (7, "dov", False), (8, "dov", False),
     (6.5, "juno", False)],
)  # fmt: skip
def test_a_note_with_its_source(hours: float, who: str, noted: bool) -> None:
    """Adults: 7 hours or more (Watson et al., J Clin Sleep Med 2015;11(6):591-592, read).

    Children's values depend on an age, which is not known: nothing is said.
    """
    (found,) = windows(event("24 07:00", persons=(who,)), hours=hours, who=who)
    assert (found.note is not None) is noted
    if found.note is not None:
        assert "2015;11(6):591–592" in str(found.note)
        assert f"{hours:g}" in str(found.note)
        assert not {"should", "must", "too"} & set(str(found.note).lower().split())


def test_who_has_no_window() -> None:
    """Who wrote down no hours, and who lives in another zone."""
    assert windows(event("24 07:00"), keys={"sleep_hours": None}) == ()
    assert windows(event("24 07:00"), keys={"time_zone": "America/St_Johns"}) == ()


def test_a_window_before_what_is_only_for_some_is_theirs() -> None:
    """It would tell when that begins."""
    (found,) = windows(event("24 07:00", only_for=("dov",)))
    assert found.only_for == ("dov",)
