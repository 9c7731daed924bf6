"""What needs lead time: when it is listed, and in which order."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest

from tests.support.plans import LONDON, all_day, at, config, timed
from weeksync.model.config import Preparation
from weeksync.model.files import Appointment
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import PlanTask
from weeksync.model.week_plan import ComingUp
from weeksync.plan.assign import preparing
from weeksync.plan.coming_up import MOST, LookAhead, reach
from weeksync.plan.local_days import LocalDays

MONDAY = date(2027, 3, 22)
SIX_WEEKS = timedelta(weeks=6)


def listed(
    *occurrences: Occurrence, weeks: int = 0, tasks: tuple[PlanTask, ...] = (), **rule: Any
) -> list[ComingUp]:
    """What is listed for the week of 22 March 2027 or so many later, by one rule of `prepare`."""
    settings = config(rules=[{"calendar": "home"} | rule] if rule else [])
    prepare = preparing(settings)
    asked = LookAhead(occurrences, tasks, prepare, LocalDays(LONDON), SIX_WEEKS)
    first = MONDAY + timedelta(weeks=weeks)
    return list(asked.within(first, first + timedelta(days=6)))


def days(found: list[ComingUp]) -> list[tuple[str, str]]:
    """(day to begin, own day) of each, as 03-22."""
    return [(f"{one.begin:%m-%d}", f"{one.day:%m-%d}") for one in found]


PARCEL: dict[str, Any] = {"prepare": [{"what": "Post the parcel", "days": 21}]}


@pytest.mark.parametrize(
    ("weeks", "is_listed"),
    [(-4, False), (-3, True), (0, True), (3, True), (4, False)],
    ids=["seven-weeks-before", "six-weeks", "three-weeks", "its-own-week", "afterwards"],
)
def test_a_birthday_is_listed_for_six_weeks(weeks: int, is_listed: bool) -> None:
    """A parcel to be posted three weeks before 14 April, on 24 March, passed or not."""
    birthday = all_day("Nana's birthday", date(2027, 4, 14), persons=("ines",), area="home")
    found = listed(birthday, weeks=weeks, **PARCEL)
    wanted = ComingUp(date(2027, 4, 14), date(2027, 3, 24), "Nana's birthday", "Post the parcel",
                      ("ines",), "home")  # fmt: skip
    assert found == ([wanted] if is_listed else [])


def test_a_longer_lead_than_the_look_ahead_is_listed_in_time() -> None:
    """Something to be begun 60 days before is listed in the week of that day all the same."""
    trip = all_day("Trip", MONDAY + timedelta(days=62))
    keys: dict[str, Any] = {"prepare": [{"what": "Apply for passes", "days": 60}]}
    assert days(listed(trip, **keys)) == [("03-24", "05-23")]
    assert listed(trip, weeks=-1, **keys) == []


def test_a_short_lead_waits_for_its_week() -> None:
    """Baking the day before is no news a month ahead."""
    stall = timed("Stall", at("2027-04-10 07:30"))
    keys: dict[str, Any] = {"prepare": [{"what": "Bake", "days": 1}]}
    assert listed(stall, **keys) == []
    assert days(listed(stall, weeks=2, **keys)) == [("04-09", "04-10")]


def weekly(title: str, first: date, times: int) -> list[Occurrence]:
    """A weekly event, each time with an identity of its own."""
    dates = (first + timedelta(weeks=week) for week in range(times))
    return [all_day(title, day, identity=day.isoformat()) for day in dates]


def test_of_a_weekly_event_a_week_lists_its_own() -> None:
    """Jars ordered nine days before each Saturday: this week those for Saturday next week."""
    stalls = weekly("Stall", date(2027, 3, 20), 12)
    keys: dict[str, Any] = {"prepare": [{"what": "Order jars", "days": 9}]}
    assert days(listed(*stalls, **keys)) == [("03-25", "04-03")]


def test_of_a_recurring_event_with_none_this_week_the_last_passed_or_the_next_is_listed() -> None:
    """Every four weeks from 24 April, two weeks ahead: announced once, then reminded of."""
    stays = [all_day("Fair", date(2027, 4, 24) + timedelta(weeks=by), identity=str(by))
             for by in (0, 4, 8)]  # fmt: skip
    keys: dict[str, Any] = {"prepare": [{"what": "Book the van", "days": 14}]}
    assert days(listed(*stays, **keys)) == [("04-10", "04-24")]
    assert days(listed(*stays, weeks=3, **keys)) == [("04-10", "04-24")]


def test_several_preparations_are_listed_each() -> None:
    """By the day to begin, what has passed first."""
    keys: dict[str, Any] = {
        "title": "fair",
        "prepare": [{"what": "Bake", "days": 1}, {"what": "Order jars", "days": 10}],
    }
    found = listed(
        timed("Spring fair", at("2027-03-27 09:00")), timed("Other", at("2027-03-27 09:00")), **keys
    )
    assert [(one.what, one.begin.day) for one in found] == [("Order jars", 17), ("Bake", 26)]


def test_tasks_with_lead_days_are_listed_until_they_are_due() -> None:
    """A form that takes ten days in the post; a task without lead days is no matter of this."""
    form = PlanTask("form", "Form", due=date(2027, 4, 6), lead_days=10, persons=("ines",))
    plain = PlanTask("plain", "Plain", due=date(2027, 4, 6))
    undated = PlanTask("undated", "Undated", lead_days=10)
    found = listed(tasks=(form, plain, undated))
    assert found == [
        ComingUp(date(2027, 4, 6), date(2027, 3, 27), "Form", persons=("ines",), task="form")
    ]
    assert listed(weeks=3, tasks=(form,)) == []


def test_the_last_rule_says_it_and_an_appointment_says_it_itself() -> None:
    """A later rule without `prepare` takes nothing away."""
    settings = config(rules=[
        {"calendar": "home", "prepare": [{"what": "a", "days": 1}]},
        {"title": "fair", "prepare": [{"what": "b", "days": 2}]},
        {"title": "fair", "area": "stall"},
    ])  # fmt: skip
    own = Appointment(
        id="fair", title="Fair", start=MONDAY, prepare=(Preparation(what="c", days=3),)
    )
    prepare = preparing(settings, (own,))
    assert [one.what for one in prepare(all_day("Fair", MONDAY))] == ["b"]
    assert [one.what for one in prepare(all_day("Stall", MONDAY))] == ["a"]
    by_hand = all_day("Fair", MONDAY, source="")
    assert [one.what for one in prepare(by_hand)] == ["b"]
    assert [one.what for one in preparing(settings, (own,))(
        all_day("Other title", MONDAY, source="", uid="fair"))] == ["c"]  # fmt: skip


def test_a_journal_is_not_announced() -> None:
    """An entry of a diary that a rule happens to match stays where it is."""
    assert listed(all_day("Diary", date(2027, 4, 14), journal=True), **PARCEL) == []


def test_what_is_reserved_stays_so() -> None:
    """The persons who may see a thing may see what comes before it, and nobody else."""
    (found,) = listed(all_day("Present", date(2027, 4, 14), only_for=("ines",)), **PARCEL)
    assert found.only_for == ("ines",)


def test_the_list_has_an_end() -> None:
    """Of very many the most pressing are listed."""
    found = listed(*(all_day(f"{n}", date(2027, 4, 12)) for n in range(100)), **PARCEL)
    assert len(found) == MOST


def test_how_far_occurrences_are_needed() -> None:
    """As far as the look-ahead, or the longest preparation where that is longer."""
    ahead = timedelta(weeks=6)
    assert reach([], ahead) == ahead
    assert reach([Preparation(what="x", days=60)], ahead) == timedelta(days=60)
