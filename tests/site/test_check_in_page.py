"""The form of a check-in: what is on it, filled in or empty, and what its script weighs."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tests.support import sample_week
from tests.support.strict_html import Found, read_html
from weeksync.model.check_in import MOST_SIGNS, CheckInFields
from weeksync.model.household import CheckIn
from weeksync.site import check_in_page, own_pages

HOSTILE = '</textarea><script>alert(1)</script>"><img src=x onerror=alert(1)>{{ 7 * 7 }}'
NAMES = ["day", "feeling", "energy", "why", "help", "gratitude"]


def fields(content: bytes) -> dict[str, list[Found]]:
    """The fields of the form by name; the page is without a fault."""
    read = read_html(content)
    assert read.faults == []
    found: dict[str, list[Found]] = {}
    for one in read.elements:
        if "name" in one.attributes and one.tag in {"input", "textarea"}:
            found.setdefault(one.attributes["name"], []).append(one)
    return found


def test_the_empty_form_asks_five_questions_and_none_must_be_answered() -> None:
    """With the day and whose it is; the same on every day it is built."""
    found = fields(own_pages(sample_week.inputs())["check-in.html"])
    assert set(found) == {"person", *NAMES}
    assert len(found["energy"]) == 5
    every = [one for several in found.values() for one in several]
    assert not any("required" in one.attributes for one in every)
    assert not any("checked" in one.attributes for one in found["energy"])
    assert {key: found[key][0].attributes["maxlength"] for key in MOST_SIGNS} == {
        key: str(most) for key, most in MOST_SIGNS.items()
    }
    later = replace(sample_week.inputs(), today=date(2027, 5, 1))
    assert own_pages(later)["check-in.html"] == own_pages(sample_week.inputs())["check-in.html"]


def test_a_form_filled_in_is_of_its_person_and_escapes_what_stands_there() -> None:
    """What was written stands in the fields as it is, with the digest that goes back."""
    said = CheckInFields(HOSTILE, 2, HOSTILE, "\nhelp\n", HOSTILE)
    day = date(2027, 3, 24)
    content = check_in_page(sample_week.inputs(), "ines", day, said, "a1b2")
    found = fields(content)
    assert set(found) == set(NAMES)
    assert found["feeling"][0].text.strip("\n") == HOSTILE
    # The first newline in a textarea is dropped (HTML, 13.1.2.5): ours comes before the text's.
    assert found["help"][0].text == "\n\nhelp\n"
    [checked] = [one for one in found["energy"] if "checked" in one.attributes]
    assert checked.attributes["value"] == "2"
    assert found["day"][0].attributes["value"] == "2027-03-24"
    assert b'data-seen="a1b2" data-person="ines"' in content
    assert b"<script>alert" not in content


@pytest.mark.parametrize(
    ("region", "numbers"),
    [("GB-ENG", ["111", "999"]), ("DE-BY", ["112"]), ("US", ["911"]), ("", []), ("ZZ", [])],
)
def test_whom_to_turn_to_stands_there_whatever_is_written(region: str, numbers: list[str]) -> None:
    """With the numbers of the region where they are known, else without one."""
    inputs = sample_week.inputs()
    home = replace(inputs.config.household, region=region)
    inputs = replace(inputs, config=replace(inputs.config, household=home))
    told = []
    for said in (CheckInFields(), CheckInFields("dark", 1, "all", "nothing", "")):
        content = check_in_page(inputs, "ines", date(2027, 3, 24), said).decode()
        told.append(content.partition('<aside class="turn-to">')[2].partition("</aside>")[0])
    assert told[0] == told[1]
    assert "This is no medical advice" in told[0]
    assert [one for one in ("111", "112", "911", "999") if one in told[0]] == numbers


def test_a_check_in_that_says_nothing_any_more_is_not_shown() -> None:
    """All its fields were taken out; one with a text below is there."""
    inputs = sample_week.inputs()
    week = inputs.own_weeks[1]
    day = replace(
        week.days[0],
        check_ins=(CheckIn(week.days[0].date, "dov"), CheckIn(week.days[0].date, "ines", text="x")),
    )
    shown = replace(week, days=(day, *(replace(one, check_ins=()) for one in week.days[1:])))
    page = own_pages(replace(inputs, own_weeks=(shown,)))["2027-W12.html"].decode()
    assert page.count('<article class="check-in">') == 1
    assert '<a href="check-in.html">' in page


def test_the_script_is_on_this_page_alone_and_small() -> None:
    """At most 4,000 bytes as delivered."""
    made = own_pages(sample_week.inputs())
    assert len(made["check_in.js"]) <= 4_000
    with_it = [name for name, content in made.items() if b'src="check_in.js"' in content]
    assert with_it == ["check-in.html"]
