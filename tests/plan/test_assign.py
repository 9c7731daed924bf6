"""Whose an event is: the calendar says, and rules say better."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from tests.support.plans import at, config, timed, todo
from weeksync.model.occurrence import Occurrence
from weeksync.plan import assign_todos
from weeksync.plan.assign import assign

CALENDARS = [
    {"id": "home", "path": "home.ics", "person": "ines", "area": "home"},
    {"id": "rota", "path": "rota.ics", "person": ["dov"]},
    {"id": "open", "path": "open.ics"},
]


def assigned(one: Occurrence, *rules: dict[str, Any]) -> Occurrence:
    """The one occurrence with calendars and rules applied."""
    (found,) = assign([one], config(calendars=CALENDARS, rules=list(rules)))
    return found


def test_a_calendar_says_whose_and_where_it_belongs() -> None:
    """One person or several; a calendar that says nothing changes nothing."""
    start = at("2027-03-22 10:00")
    home, rota, free = (timed("x", start, source=name) for name in ("home", "rota", "open"))
    assert (assigned(home).persons, assigned(home).area) == (("ines",), "home")
    assert (assigned(rota).persons, assigned(rota).area) == (("dov",), None)
    assert assigned(free) is free


@pytest.mark.parametrize(
    ("rule", "matches"),
    [
        ({"title": "PELL"}, True),
        ({"title": "pel"}, True),
        ({"title": "Juno"}, False),
        ({"category": "family"}, True),
        ({"category": "fam"}, False),
        ({"attendee": "Nana@Saltmere.invalid"}, True),
        ({"attendee": "mailto:nana@saltmere.invalid"}, True),
        ({"attendee": "saltmere.invalid"}, False),
        ({"calendar": "home"}, True),
        ({"calendar": "rota"}, False),
        ({"calendar": "home", "title": "choir", "category": "FAMILY"}, True),
        ({"calendar": "rota", "title": "choir"}, False),
    ],
)
def test_every_condition_given_must_hold(rule: dict[str, Any], matches: bool) -> None:
    """Titles by a part of them, categories and addresses whole, all in whatever case."""
    one = timed(
        "Choir - Pell",
        at("2027-03-24 18:30"),
        categories=("Family", "MUSIC"),
        attendees=("nana@saltmere.invalid",),
    )
    assert (assigned(one, rule | {"person": "pell"}).persons == ("pell",)) is matches


def test_a_letter_with_its_accent_apart_is_the_same_letter() -> None:
    """Calendars write é as one character or as two; people see one."""
    one = timed("Cafe\u0301 with Ines", at("2027-03-24 10:00"))
    assert assigned(one, {"title": "CAFÉ", "area": "stall"}).area == "stall"


def test_a_later_rule_wins_key_by_key() -> None:
    """What the later rule does not say stays as the earlier one said it."""
    one = timed("Shift at the stall", at("2027-03-24 10:00"))
    found = assigned(
        one,
        {"title": "shift", "person": ["dov", "ines"], "area": "home", "travel_minutes": 20},
        {"title": "stall", "area": "stall", "away": True},
        {"title": "nothing of it", "person": "juno"},
    )
    assert found.persons == ("dov", "ines")
    assert (found.area, found.travel_minutes, found.away) == ("stall", 20, True)


def test_a_rule_can_say_that_it_is_nobody_s() -> None:
    """An empty list of persons is a statement, too."""
    one = timed("Bins", at("2027-03-24 10:00"))
    assert assigned(one, {"title": "bins", "person": []}).persons == ()


def test_an_appointment_says_itself_whose_it_is() -> None:
    """Rules only fill what the appointment leaves open."""
    own = timed("Stall permit", at("2027-04-07 11:00"), source="", persons=("ines",), area="home")
    rule = {"title": "permit", "person": "dov", "area": "stall", "travel_minutes": 15}
    found = assigned(own, rule)
    assert (found.persons, found.area, found.travel_minutes) == (("ines",), "home", 15)
    bare = replace(own, persons=(), area=None)
    assert (assigned(bare, rule).persons, assigned(bare, rule).area) == (("dov",), "stall")


def test_what_was_assigned_before_does_not_stand_in_the_way() -> None:
    """A kept occurrence of a calendar follows the configuration of today."""
    assert assigned(timed("x", at("2027-03-22 10:00"), persons=("dov",))).persons == ("ines",)


def test_order_is_kept_and_twice_is_as_once() -> None:
    """Assigning again changes nothing."""
    settings = config(calendars=CALENDARS, rules=[{"title": "b", "person": "juno"}])
    made = [timed(name, at("2027-03-24 10:00")) for name in "cab"]
    once = assign(made, settings)
    assert [one.title for one in once] == ["c", "a", "b"]
    assert assign(once, settings) == once


def test_to_dos_are_assigned_by_the_same_rules() -> None:
    """They have no attendees, so a rule that asks for one never matches."""
    settings = config(
        calendars=CALENDARS,
        rules=[
            {"title": "form", "person": "pell"},
            {"attendee": "a@b.invalid", "person": "juno"},
        ],
    )
    found = assign_todos([todo("Choir form", due=date(2027, 3, 24)), todo("Jars")], settings)
    assert [(one.persons, one.area) for one in found] == [
        (("pell",), "home"),
        (("ines",), "home"),
    ]
