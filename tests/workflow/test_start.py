"""The steps of a first evening: what is written, what is ticked, and what is said of a slip."""

from __future__ import annotations

import re
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from dateutil.rrule import rrulestr

from tests.support.households import CONFIG, NOW
from weeksync.household import DEFAULT_AREAS
from weeksync.language import Language
from weeksync.model.fields import Weekday
from weeksync.serve.desk import FormPage, GoTo, Sender, Unlock
from weeksync.workflow import start, start_forms, start_suggest
from weeksync.workflow.access import access_of
from weeksync.workflow.context import Context
from weeksync.workflow.new import default_areas, smallest_household
from weeksync.workflow.start_basics import NEW_ROWS
from weeksync.workflow.start_offers import WORKDAYS, days_of, rule_of
from weeksync.workflow.start_pocket import KEPT_SECONDS, MOST, Pocket
from weeksync.workflow.start_save import (
    AreaAnswer,
    BillAnswer,
    HabitAnswer,
    PersonAnswer,
    RoutineAnswer,
    save_areas,
    save_bills,
    save_habits,
    save_household,
    save_people,
    save_routines,
)
from weeksync.workflow.start_typed import bill_amount
from weeksync.workflow.undo import steps, take_back

HERE = Sender("", None)


def _toml(folder: Path, name: str = "config.toml") -> dict[str, Any]:
    return tomllib.loads((folder / name).read_text("utf-8"))


def _now(folder: Path) -> Context:
    return Context.read(folder, NOW)


@pytest.fixture
def fresh(tmp_path: Path) -> Path:
    """A household that nobody has answered a question for."""
    return smallest_household(tmp_path / "home", Language("en_GB"), NOW).folder


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A household that somebody has written by hand, with comments."""
    (tmp_path / "config.toml").write_text(f"# ours, by hand\n{CONFIG}# the end\n")
    return tmp_path


# What is written


def test_the_smallest_household_can_be_used_and_counts_as_unanswered(fresh: Path) -> None:
    """Its files have no mistake, and not one step is done."""
    context = _now(fresh)
    assert context.files.problems == ()
    assert set(start.course(context).states.values()) == {start.StepState.OPEN}
    assert start.course(context).next == "household"
    again = smallest_household(fresh, Language("de_AT"), NOW)
    assert again.config.household.locale == "en_GB"


def test_the_person_put_there_unasked_gets_name_and_id_of_who_it_is(fresh: Path) -> None:
    """The examples in the files then name that person, too."""
    context = _now(fresh)
    nobody = start.placeholder(context)
    assert nobody == context.first_person
    wrong = save_people(
        context, [PersonAnswer("Ines", id=nobody), PersonAnswer("Isa")], placeholder=nobody
    )
    assert wrong == ()
    people = _toml(fresh)["people"]
    assert [(one["id"], one.get("letter")) for one in people] == [("ines", None), ("isa", "Is")]
    assert '#person = "ines"' in (fresh / "tasks.toml").read_text()


def test_an_id_that_something_hangs_on_stays_when_the_name_is_given(fresh: Path) -> None:
    """A routine was written for the person before anybody said who it is."""
    nobody = start.placeholder(_now(fresh))
    meal = RoutineAnswer("Meal", "18:00-19:00", tuple(Weekday), (nobody,))
    assert save_routines(_now(fresh), [meal]) == ()
    assert save_people(_now(fresh), [PersonAnswer("Ines", id=nobody)], placeholder=nobody) == ()
    assert [(one["id"], one["name"]) for one in _toml(fresh)["people"]] == [(nobody, "Ines")]
    assert _now(fresh).files.problems == ()


def test_people_are_changed_added_and_taken_away_in_one_go_and_comments_stay(home: Path) -> None:
    """The first one is renamed, the second one goes, a third one comes."""
    answers = [
        PersonAnswer("Anna", id="ann"),
        PersonAnswer("", id="bo"),
        PersonAnswer("Juno", True),
    ]
    assert save_people(_now(home), answers) == ()
    text = (home / "config.toml").read_text()
    assert [one["name"] for one in _toml(home)["people"]] == ["Anna", "Juno"]
    assert _toml(home)["people"][1]["child"] is True
    assert text.startswith("# ours, by hand\n")
    assert "# the end\n" in text


def test_somebody_who_is_named_in_the_files_is_not_taken_away(home: Path) -> None:
    """Nothing is written then, not even what else was answered."""
    (home / "tasks.toml").write_text('format = 1\n[[tasks]]\ntitle = "Gate"\nperson = "bo"\n')
    before = (home / "config.toml").read_bytes()
    answers = [PersonAnswer("Anna", id="ann"), PersonAnswer("", id="bo")]
    wrong = save_people(_now(home), answers)
    assert [(one.row, one.key) for one in wrong] == [(1, "name")]
    assert "named elsewhere" in str(wrong[0].what)
    assert (home / "config.toml").read_bytes() == before


def test_a_household_without_anybody_is_refused(home: Path) -> None:
    """At least one person lives in it."""
    wrong = save_people(_now(home), [PersonAnswer("", id="ann"), PersonAnswer("", id="bo")])
    assert "at least one name" in str(wrong[0].what)


def test_a_mistake_names_the_answer_it_is_in(home: Path) -> None:
    """Of three areas the last one's letters are too many; nothing is written."""
    before = (home / "config.toml").read_bytes()
    answers = [
        AreaAnswer("Home", "H", "moss", "home"),
        AreaAnswer("Sea"),
        AreaAnswer("Hill", "HIL"),
    ]
    wrong = save_areas(_now(home), answers)
    assert [(one.row, one.key) for one in wrong] == [(2, "letter")]
    assert (home / "config.toml").read_bytes() == before


def test_new_areas_get_letters_and_colours_that_none_other_has(home: Path) -> None:
    """Home has H and moss already."""
    assert save_areas(_now(home), [AreaAnswer("Health"), AreaAnswer("Hill")]) == ()
    areas = _toml(home)["areas"]
    assert len({one["letter"].casefold() for one in areas}) == 3
    assert len({one["colour"] for one in areas}) == 3


def test_a_zone_that_is_none_is_told_by_its_key(home: Path) -> None:
    """As `weeksync check` would."""
    wrong = save_household(_now(home), {"time_zone": "Europe/Londn"})
    assert [(one.key, str(one.remedy)) for one in wrong] == [
        ("time_zone", "did you mean Europe/London?")
    ]


def test_routines_habits_and_bills_get_ids_and_the_currency_its_place(home: Path) -> None:
    """The second bill is in another currency than the file's."""
    run = RoutineAnswer("School run", "08:15-08:45", WORKDAYS, ("ann", "bo"))
    assert save_routines(_now(home), [run]) == ()
    walk = HabitAnswer("A walk", "bo", days_of("tuesday"))
    assert save_habits(_now(home), [walk, HabitAnswer("Read", "ann")]) == ()
    assert save_bills(_now(home), [BillAnswer("Rent", date(2027, 4, 1), amount=95000)], "GBP") == ()
    assert save_bills(_now(home), [BillAnswer("Paper", date(2027, 4, 2), "year")], "EUR") == ()
    files = _now(home).files
    assert files.problems == ()
    assert (files.routines[0].days, files.routines[0].person) == (WORKDAYS, ("ann", "bo"))
    assert [one.order for one in files.habits] == [10, 20]
    assert files.habits[0].days == (Weekday.TUESDAY,)
    assert (files.currency, files.bills[0].currency, files.bills[1].currency) == (
        "GBP",
        None,
        "EUR",
    )
    assert all(one["id"] for one in _toml(home, "money.toml")["bills"])


RULES = {
    ("month", date(2027, 1, 31)): ["2027-01-31", "2027-02-28", "2027-03-31", "2027-04-30"],
    ("month", date(2027, 3, 24)): ["2027-03-24", "2027-04-24", "2027-05-24", "2027-06-24"],
    ("quarter", date(2027, 11, 30)): ["2027-11-30", "2028-02-29", "2028-05-30", "2028-08-30"],
    ("year", date(2028, 2, 29)): ["2028-02-29", "2029-02-28", "2030-02-28", "2031-02-28"],
    ("four-weeks", date(2027, 3, 26)): ["2027-03-26", "2027-04-23", "2027-05-21", "2027-06-18"],
}
"""Counted by hand on a calendar."""


@pytest.mark.parametrize(("given", "days"), RULES.items(), ids=str)
def test_a_day_that_a_month_lacks_is_its_last_one(given: tuple[str, date], days: list[str]) -> None:
    """The rules as RFC 5545 has them, read by dateutil."""
    from datetime import datetime

    every, first = given
    found = rrulestr(rule_of(every, first), dtstart=datetime(first.year, first.month, first.day))
    assert [f"{one:%Y-%m-%d}" for one, _ in zip(found, range(4), strict=False)] == days


@pytest.mark.parametrize("text", ["-5", "much", "1e9"])
def test_what_cannot_be_paid_is_no_amount_of_a_bill(text: str) -> None:
    """Below zero nothing is to be paid; how amounts are typed is `read_amount`'s."""
    with pytest.raises(ValueError, match=re.escape(text)):
        bill_amount(text, "GBP", Language("en_GB"))


def test_the_currency_is_that_of_the_region_until_the_file_has_one(home: Path) -> None:
    """CLDR: pounds in the United Kingdom."""
    assert start_suggest.currency(_now(home).files) == "GBP"


def test_the_proposed_zone_is_that_of_the_machine_if_there_is_such_a_place(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """TZ as POSIX writes it; one that is no place is passed over."""
    monkeypatch.setenv("TZ", ":Pacific/Chatham")
    assert start_suggest.time_zone() == "Pacific/Chatham"
    monkeypatch.setenv("TZ", "UTC0")
    assert "/" in start_suggest.time_zone()


def test_the_region_is_proposed_from_the_zone_and_the_language_gets_it() -> None:
    """Countries by zone.tab of the IANA database; a language that CLDR has not there is English."""
    assert [start_suggest.region_of(one) for one in ("Europe/London", "Europe/Vienna", "UTC")] == [
        "GB",
        "AT",
        "",
    ]
    assert start_suggest.locale_for(Language("de"), "AT") == "de_AT"
    assert start_suggest.locale_for(Language("de_CH"), "AT") == "de_CH"
    assert start_suggest.locale_for(Language("en"), "") == "en_GB"


def test_the_areas_to_begin_with_have_letters_of_their_own_in_every_language() -> None:
    """Ids and colours are the same in all, so that a household can change its language."""
    for locale in ("en_GB", "de_AT", "ar_EG"):
        areas = default_areas(Language(locale))
        assert [one.id for one in areas] == ["home", "family", "health", "work", "learning"]
        assert len({one.letter.casefold() for one in areas}) == 5
    assert default_areas(Language("en_GB")) == DEFAULT_AREAS


# The pages


def _seen(context: Context, step: str) -> dict[str, tuple[str, ...]]:
    """The hidden fields of a page."""
    page = start_forms.show(context, step, {}, HERE)
    assert isinstance(page, FormPage)
    found = re.findall(r'name="(seen\.[^"]+)" value="([^"]*)"', page.content.decode())
    return {name: (value,) for name, value in found}


def _household(name: str, **more: str) -> dict[str, tuple[str, ...]]:
    values = {
        "name": name,
        "time_zone": "Europe/London",
        "locale": "en_GB",
        "region": "GB-ENG",
        "first_weekday": "",
        "do": "save",
        **more,
    }
    return {key: (value,) for key, value in values.items()}


def test_each_step_is_written_at_once_and_ticked_and_can_be_taken_back(fresh: Path) -> None:
    """The next step follows; the undo brings the file back byte for byte."""
    before = (fresh / "config.toml").read_bytes()
    answer = start_forms.take(
        _now(fresh), "household", _household("Marlowick") | _seen(_now(fresh), "household"), HERE
    )
    assert answer == GoTo("/start/people")
    assert _toml(fresh)["household"]["name"] == "Marlowick"
    assert start.course(_now(fresh)).states["household"] is start.StepState.DONE
    last = steps(_now(fresh))[0]
    assert str(last.what) == "Saved: The household"
    take_back(_now(fresh), last.token)
    assert (fresh / "config.toml").read_bytes() == before


def test_a_step_is_left_out_and_come_back_to(fresh: Path) -> None:
    """Left out, it is no longer the next one; gone through, it is done."""
    assert start_forms.take(_now(fresh), "household", {"do": ("leave",)}, HERE) == GoTo(
        "/start/people"
    )
    course = start.course(_now(fresh))
    assert course.states["household"] is start.StepState.LEFT
    start.mark_done(_now(fresh), "household")
    assert start.course(_now(fresh)).states["household"] is start.StepState.DONE


def test_what_was_changed_meanwhile_is_shown_beside_what_was_typed(fresh: Path) -> None:
    """By hand, between the page and its answer: nothing is written, and nothing is lost."""
    fields = _household("Marlowick") | _seen(_now(fresh), "household")
    path = fresh / "config.toml"
    changed = path.read_text().replace('name = "Our household"', 'name = "The Mill"')
    path.write_text(changed)
    answer = start_forms.take(_now(fresh), "household", fields, HERE)
    assert isinstance(answer, FormPage)
    assert answer.status == 409
    text = answer.content.decode()
    assert 'value="Marlowick"' in text
    assert "The Mill" in text
    assert path.read_text() == changed
    again = _household("Marlowick") | _seen(_now(fresh), "household")
    assert start_forms.take(_now(fresh), "household", again, HERE) == GoTo("/start/people")


def test_a_slip_keeps_what_was_typed_and_is_told_beside_its_field(home: Path) -> None:
    """An empty name, with the zone already changed."""
    fields = _household("", time_zone="Europe/Lisbon") | _seen(_now(home), "household")
    answer = start_forms.take(_now(home), "household", fields, HERE)
    assert isinstance(answer, FormPage)
    assert answer.status == 422
    text = answer.content.decode()
    assert 'href="#f-name"' in text
    assert 'aria-invalid="true"' in text
    assert re.search(r'<option value="Europe/Lisbon" selected', text)
    assert _toml(home)["household"]["time_zone"] == "Europe/London"


def test_a_bill_without_a_day_is_asked_for_it(home: Path) -> None:
    """And one with an amount that is none, for that; nothing is written of either."""
    fields = {"rent-take": ("yes",), "rent-amount": ("much",), "currency": ("GBP",)}
    answer = start_forms.take(_now(home), "bills", fields, HERE)
    assert isinstance(answer, FormPage)
    text = answer.content.decode()
    assert 'href="#f-rent-first"' in text
    assert 'href="#f-rent-amount"' in text
    assert not (home / "money.toml").exists()


def test_a_step_sent_with_nothing_in_it_counts_as_left_out(home: Path) -> None:
    """Nothing was ticked, so nothing is done."""
    assert start_forms.take(_now(home), "habits", {"do": ("save",)}, HERE) == GoTo("/start/bills")
    assert start.course(_now(home)).states["habits"] is start.StepState.LEFT


def test_on_a_tablet_it_is_for_somebody_with_a_pin(home: Path) -> None:
    """Files and passwords are asked for here; and no timer is set from afar."""
    tablet = Sender("kitchen", None)
    assert start_forms.show(_now(home), "", {}, tablet) == Unlock()
    assert start_forms.take(_now(home), "people", {}, tablet) == Unlock()
    page = start_forms.show(_now(home), "nightly", {}, Sender("kitchen", "ann"))
    assert isinstance(page, FormPage)
    assert b'value="set"' not in page.content


def test_amounts_that_stand_there_and_what_is_for_one_only_are_on_no_page(home: Path) -> None:
    """The lists of what is there have titles, and only those for everybody."""
    (home / "money.toml").write_text(
        'format = 1\ncurrency = "GBP"\n[[bills]]\ntitle = "Rent"\namount = 123456\n'
        'first = 2027-04-01\n[[bills]]\ntitle = "A present"\nfirst = 2027-04-01\n'
        'only_for = ["ann"]\n'
    )
    page = start_forms.show(_now(home), "bills", {}, HERE)
    assert isinstance(page, FormPage)
    text = page.content.decode()
    assert "Rent" in text
    assert "1234" not in text
    assert "A present" not in text


def test_a_pin_is_given_to_somebody_who_has_none_and_not_changed_here(home: Path) -> None:
    """Typed twice; on this page nobody is asked who they are."""

    def given(pin: str, again: str, sender: Sender = HERE) -> FormPage | GoTo | Unlock | None:
        fields = {"do": ("pin",), "person": ("ann",), "pin": (pin,), "again": (again,)}
        return start_forms.take(_now(home), "devices", fields, sender)

    for pin, again, place in (("2468", "2469", "again"), ("24", "24", "pin")):
        answer = given(pin, again)
        assert isinstance(answer, FormPage)
        assert f'href="#f-{place}"' in answer.content.decode()
        assert pin not in answer.content.decode().replace("2027", "")
    assert given("2468", "2468", Sender("kitchen", "ann")) == GoTo("/start/devices")
    assert access_of(_now(home)).pins() == frozenset()
    assert given("2468", "2468") == GoTo("/start/devices")
    assert access_of(_now(home)).try_pin("ann", "2468").right
    answer = given("1357", "1357")
    assert isinstance(answer, FormPage)
    assert "weeksync pin" in answer.content.decode()
    assert not access_of(_now(home)).try_pin("ann", "1357").right


def test_a_code_lets_a_tablet_in_and_the_home_is_let_in_only_where_that_is_ticked(
    home: Path,
) -> None:
    """The code stands on the page, and config.toml gets its host; the undo takes that back."""

    def made(**more: str) -> str:
        values = {"do": "code", "device": "hall", **more}
        fields = {name: (value,) for name, value in values.items()}
        answer = start_forms.take(_now(home), "devices", fields, HERE)
        assert isinstance(answer, FormPage)
        return answer.content.decode()

    before = (home / "config.toml").read_bytes()
    made()
    assert (home / "config.toml").read_bytes() == before
    text = made(home="yes")
    assert _toml(home)["serve"] == {"host": "0.0.0.0"}
    assert "/sign-in" in text
    code = re.findall(r"<pre dir=\"ltr\">([^<]+)</pre>", text)[0]
    assert access_of(_now(home)).redeem(code, "pages") is not None
    take_back(_now(home), steps(_now(home))[0].token)
    assert (home / "config.toml").read_bytes() == before


def test_there_is_no_page_for_a_step_that_there_is_none_of(home: Path) -> None:
    """And nothing is taken there."""
    assert start_forms.show(_now(home), "elsewhere", {}, HERE) is None
    assert start_forms.take(_now(home), "elsewhere", {}, HERE) is None


def test_a_household_written_by_hand_begins_with_what_it_lacks(home: Path) -> None:
    """Who it is and where is answered; routines are the first thing to add."""
    assert start.course(_now(home)).next == "routines"
    page = start_forms.show(_now(home), "people", {}, HERE)
    assert isinstance(page, FormPage)
    assert page.content.decode().count('type="text"') == 2 + NEW_ROWS


def test_what_is_tried_out_is_kept_for_half_an_hour_and_not_more(home: Path) -> None:
    """The password goes with it; of too many the oldest goes."""
    clock = [0.0]
    pocket = Pocket(now=lambda: clock[0])
    (home / "a.ics").write_text("BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n")
    token = pocket.ask(_now(home), "a.ics", "", "secret")
    one = pocket.get(token)
    assert one is not None
    assert one.ready.wait(30)
    assert "secret" not in repr(one)
    clock[0] = KEPT_SECONDS + 1
    assert pocket.get(token) is None
    several = [pocket.ask(_now(home), "a.ics", "", "") for _ in range(MOST + 1)]
    assert pocket.get(several[0]) is None
    assert pocket.get(several[-1]) is not None
