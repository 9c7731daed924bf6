"""Who may speak about sharing, who is heard, and what then stands on the page."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Any

import pytest

from tests.redact.weeks import decision, labels, on_page, settings, shared, spread_of
from tests.support.plans import LONDON, at, files, mark, timed, todo
from weeksync.model.config import Person
from weeksync.model.files import Appointment, Habit, Pause, Task
from weeksync.model.shared import Redacted, SharedArea, ShownAs
from weeksync.model.sharing_settings import Sharing
from weeksync.model.spread import LeftOut, LeftOutReason, PlanTask
from weeksync.redact import Sources, redact
from weeksync.redact.week import without_region

HOME = SharedArea("Home", "H", "moss")
SWIM = timed("Swim", at("2027-03-16 10:00"), area="home", persons=("ines", "pell"))
AREA = {"id": "home", "name": "Home", "colour": "moss", "letter": "X"}


def seen(
    calendar: dict[str, Any] | None = None,
    area: dict[str, Any] | None = None,
    rules: tuple[dict[str, Any], ...] = (),
    **sharing: Any,
) -> tuple[str, str]:
    """(as what, what stands there) of Swim by what calendar, area and rules say."""
    said = settings(
        calendars=(calendar or {},), areas=[AREA | (area or {})], rules=rules, **sharing
    )
    found = on_page(shared(said, [SWIM]))
    return (found[0].shown_as.value, found[0].label) if found else ("nothing", "")


OPEN = {"share": "title"}
RELEASED: dict[str, Any] = {"released": ("Swim",)}


def test_each_level_shows_no_more_than_it_says() -> None:
    """The title, a word in its place, the area, that somebody is busy, nothing."""
    assert seen(OPEN, **RELEASED) == ("title", "Swim")
    assert seen({"share": "word", "share_as": "Club"}, **RELEASED) == ("word", "Club")
    assert seen({"share": "area"}, **RELEASED) == ("area", "Home")
    assert seen({"share": "busy"}, **RELEASED) == ("busy", "")
    assert seen({"share": "nothing"}, **RELEASED) == ("nothing", "")
    assert seen(**RELEASED) == ("nothing", "")


def test_a_title_that_is_not_released_gives_way_to_word_or_area() -> None:
    """Titles are released one by one, word for word, whatever calendar and rules say."""
    assert seen(OPEN) == ("area", "Home")
    assert seen(OPEN | {"share_as": "Club"}) == ("word", "Club")
    assert seen(OPEN, released=("Swim with Juno",)) == ("area", "Home")
    assert seen(OPEN, released=("Swi",)) == ("area", "Home")


def test_what_is_shown_is_spelt_as_the_household_released_it() -> None:
    """A feed that spells a title otherwise, or hides something in its spacing, is not repeated."""
    said = settings(calendars=(OPEN,), released=("Swim with friends",))
    odd = timed("SWIM \t with  friends", at("2027-03-16 10:00"))
    assert labels(shared(said, [odd])) == ["Swim with friends"]
    hidden = timed("Swim with fri\u200bends", at("2027-03-16 10:00"))
    assert labels(shared(said, [hidden])) == [""]


def test_a_rule_speaks_in_place_of_the_calendar() -> None:
    """It may say more and less; the last one that matches is heard, key by key."""
    more = {"title": "swim", "share": "title"}
    less = {"title": "swim", "share": "nothing"}
    assert seen({"share": "nothing"}, rules=(more,), **RELEASED) == ("title", "Swim")
    assert seen(OPEN, rules=(less,), **RELEASED) == ("nothing", "")
    assert seen(OPEN, rules=(less, more), **RELEASED) == ("title", "Swim")
    assert seen(OPEN, rules=(more, less), **RELEASED) == ("nothing", "")
    word = {"title": "swim", "share_as": "Club"}
    assert seen({"share": "word", "share_as": "x"}, rules=(word,)) == ("word", "Club")
    assert seen(OPEN, rules=({"title": "piano", "share": "nothing"},), **RELEASED)[0] == "title"


@pytest.mark.parametrize("level", ["nothing", "busy", "area", "word", "title"])
def test_of_calendar_and_area_the_one_that_says_less_is_heard(level: str) -> None:
    """Whichever of the two says more; an area that alone speaks lets through what it says."""
    word = {"share_as": "Club"}
    by_calendar = seen({"share": level} | word, {"share": "title"}, **RELEASED)
    by_area = seen(OPEN | word, {"share": level}, **RELEASED)
    assert by_calendar == by_area
    assert by_calendar[0] == level
    alone = seen(None, {"share": level}, **RELEASED)
    assert alone[0] == {"word": "area"}.get(level, level)


def test_an_area_has_its_own_word_and_letter_for_shared_pages() -> None:
    """Its name at home and the letter of its pages are not told."""
    said = settings(
        calendars=({"share": "area"},), areas=[AREA | {"name": "Ines's den", "share_as": "House"}]
    )
    found = shared(said, [SWIM])
    assert found.shared.areas == (SharedArea("House", "H", "moss"),)
    assert labels(found) == ["House"]


def test_an_event_in_two_calendars_shows_the_least_that_is_said_of_it() -> None:
    """The other calendar says nothing of sharing: that is nothing."""
    copy = LeftOut(timed("Swim", at("2027-03-16 10:00"), source="club"), LeftOutReason.SAME)
    alone = settings(calendars=(OPEN,), **RELEASED)
    both = settings(calendars=(OPEN, {"share": "busy"}), **RELEASED)
    assert labels(shared(alone, [SWIM])) == ["Swim"]
    assert on_page(shared(alone, [SWIM], left_out=[copy])) == []
    found = on_page(shared(both, [SWIM], left_out=[copy]))
    assert [one.shown_as for one in found] == [ShownAs.BUSY]


def test_a_calendar_that_is_gone_lets_nothing_through() -> None:
    """Its events are in a closed week; nobody says any more that they may be shared."""
    said = settings(areas=[AREA | {"share": "title"}], **RELEASED)
    gone = timed("Swim", at("2027-03-16 10:00"), area="home", source="old")
    assert on_page(shared(said, [gone])) == []
    assert "no longer in config.toml" in str(decision(shared(said, [gone]), "Swim").why)


def test_persons_stand_as_roles_or_not_at_all() -> None:
    """Only where roles are switched on, and only persons that have one; each word once."""
    people = (
        Person(id="ines", name="Ines", role="parent"),
        Person(id="dov", name="Dov", role="parent"),
        Person(id="pell", name="Pell", letter="Q"),
    )
    both = timed("Swim", at("2027-03-16 10:00"), persons=("dov", "ines", "pell"))
    out = replace(settings(calendars=({"share": "busy"},)), people=people)
    said = replace(out, sharing=Sharing(persons="roles"))
    assert [one.roles for one in on_page(shared(said, [both]))] == [("parent",)]
    said = replace(out, sharing=Sharing())
    assert [one.roles for one in on_page(shared(said, [both]))] == [()]


def task(**keys: Any) -> Task:
    """A task that was done on Tuesday."""
    plain: dict[str, Any] = {
        "id": "buns",
        "title": "Buns",
        "area": "home",
        "done": date(2027, 3, 16),
    }
    return Task(**plain | {"due": date(2027, 3, 16)} | keys)


def tasks_of(found: Redacted) -> list[tuple[str, bool]]:
    """(label, done) of the tasks of all days."""
    return [(one.label, one.done) for day in found.shared.days for one in day.tasks]


def test_tasks_are_left_out_until_released_one_by_one() -> None:
    """Whatever the list and the area allow; and released, no more than these allow."""
    said = settings(tasks="title", areas=[AREA | {"share": "title"}])
    assert tasks_of(shared(said, tasks=(task(),))) == []
    assert tasks_of(shared(settings(), tasks=(task(share=True),))) == [("Buns", True)]
    as_word = task(share=True, share_as="Baking")
    assert tasks_of(shared(settings(), tasks=(as_word,))) == [("Baking", True)]
    as_area = task(share=True, share_as="area")
    assert tasks_of(shared(settings(), tasks=(as_area,))) == [("Home", True)]
    assert tasks_of(shared(settings(tasks="area"), tasks=(task(share=True),))) == [("Home", True)]
    assert tasks_of(shared(settings(tasks="nothing"), tasks=(task(share=True),))) == []
    hushed = settings(areas=[AREA | {"share": "busy"}])
    assert tasks_of(shared(hushed, tasks=(task(share=True),))) == []


@pytest.mark.parametrize(
    "keys",
    [
        {"only_for": ("ines",)},
        {"done": None, "dropped": date(2027, 3, 16)},
        {"done": None, "due": date(2027, 4, 3)},
    ],
)
def test_tasks_that_are_for_some_dropped_or_elsewhere_are_not_there(keys: dict[str, Any]) -> None:
    """Though they are released."""
    assert tasks_of(shared(settings(), tasks=(task(share=True, **keys),))) == []


def test_to_dos_need_their_list_and_their_title_released() -> None:
    """Of a calendar's list nothing is shown by its area alone, or by one of the two alone."""
    done = todo("Water", status="COMPLETED", completed=date(2027, 3, 16), area="home")
    both = settings(calendars=({"share_tasks": "title"},), released=("Water",))
    assert tasks_of(shared(both, todos=[done])) == [("Water", True)]
    unreleased = settings(calendars=({"share_tasks": "title"},))
    assert tasks_of(shared(unreleased, todos=[done])) == []
    assert decision(shared(unreleased, todos=[done]), "Water").release == "Water"
    open_area = [AREA | {"share": "title"}]
    no_list = settings(calendars=(OPEN,), released=("Water",), areas=open_area)
    assert tasks_of(shared(no_list, todos=[done])) == []
    as_area = settings(calendars=({"share_tasks": "area"},), released=("Water",), areas=open_area)
    assert tasks_of(shared(as_area, todos=[done])) == [("Home", True)]


def habit(**keys: Any) -> Habit:
    """A daily habit of Ines."""
    return Habit(**{"id": "walk", "title": "Walk", "area": "home", "person": "ines"} | keys)


MARKS = tuple(
    mark("walk", date(2027, 3, day), value) for day, value in ((15, "yes"), (16, "no"), (18, "yes"))
)


def rows_of(found: Redacted) -> list[tuple[str, str]]:
    """(label, marks as x and -) of the habits."""
    return [
        (row.label, "".join("x" if one else "-" for one in row.marked))
        for row in found.shared.habits
    ]


def test_habits_are_marked_or_blank() -> None:
    """A "no" and a day that nobody wrote down look the same; so does a day of a pause."""
    assert rows_of(shared(settings(), habits=(habit(share=True),), marks=MARKS)) == [
        ("Walk", "x--x---")
    ]
    paused = habit(share=True, pauses=(Pause(start=date(2027, 3, 16), end=date(2027, 3, 17)),))
    assert rows_of(shared(settings(), habits=(paused,), marks=MARKS)) == [("Walk", "x--x---")]


def test_habits_are_left_out_until_released() -> None:
    """And shown as a word, as their area, or not at all where their area says nothing."""
    assert rows_of(shared(settings(), habits=(habit(),), marks=MARKS)) == []
    word = habit(share=True, share_as="Moving")
    assert rows_of(shared(settings(), habits=(word,), marks=MARKS))[0][0] == "Moving"
    area = habit(share=True, share_as="area")
    assert rows_of(shared(settings(), habits=(area,), marks=MARKS))[0][0] == "Home"
    hushed = settings(areas=[AREA | {"share": "nothing"}])
    assert rows_of(shared(hushed, habits=(habit(share=True),), marks=MARKS)) == []


@pytest.mark.parametrize("keys", [{"health": True}, {"only_for": ("ines",)}])
def test_health_and_what_is_for_some_is_never_shared(keys: dict[str, Any]) -> None:
    """As it is today, or as it was when the week was closed; released or not."""
    now, then = habit(share=True), replace(habit(share=True), **keys)
    for today, at_that_time in ((then, now), (now, then), (then, then)):
        spread = spread_of(settings(), [], habits=(at_that_time,), marks=MARKS)
        found = redact(Sources(spread, files(settings(), habits=(today,)), LONDON))
        assert rows_of(found) == []
    assert rows_of(shared(settings(), habits=(now,), marks=MARKS)) != []


def test_an_appointment_is_released_by_its_entry() -> None:
    """As its title, a word, its area, or that somebody is busy; a rule may say less."""
    one = timed("Swim", at("2027-03-16 10:00"), source="", uid="swim", area="home")

    def stands(rules: tuple[dict[str, Any], ...] = (), **keys: Any) -> list[tuple[str, str]]:
        entry = Appointment(id="swim", title="Swim", start=datetime(2027, 3, 16, 10), **keys)
        found = on_page(shared(settings(rules=rules), [one], appointments=(entry,)))
        return [(each.shown_as.value, each.label) for each in found]

    assert stands() == []
    assert stands(share=True) == [("title", "Swim")]
    assert stands(share=True, share_as="Club") == [("word", "Club")]
    assert stands(share=True, share_as="area") == [("area", "Home")]
    assert stands(share=True, share_as="busy") == [("busy", "")]
    assert stands(rules=({"title": "swim", "share": "busy"},), share=True) == [("busy", "")]


@pytest.mark.parametrize(
    ("locale", "language"),
    [("en_GB", "en"), ("de_AT", "de"), ("zh_Hant_TW", "zh_Hant"), ("pt", "pt"), ("es_419", "es")],
)
def test_the_page_has_a_language_and_no_region(locale: str, language: str) -> None:
    """A region tells where a household lives."""
    assert without_region(locale) == language


def test_what_is_in_no_file_any_more_has_nobodys_consent() -> None:
    """Tasks, habits and lists of a closed week whose entries were taken out since."""
    done = todo("Water", source="old", status="COMPLETED", completed=date(2027, 3, 16))
    own: dict[str, Any] = {
        "tasks": (task(share=True),),
        "habits": (habit(share=True),),
        "marks": MARKS,
    }
    spread = spread_of(settings(), [], todos=[done], **own)
    said = settings(areas=[AREA | {"share": "title"}], released=("Water", "Buns"), tasks="title")
    found = redact(Sources(spread, files(said), LONDON))
    assert (tasks_of(found), rows_of(found)) == ([], [])
    whys = {title: str(decision(found, title).why) for title in ("Water", "Buns", "Walk")}
    assert whys == {
        "Water": "its calendar is no longer in config.toml",
        "Buns": "it is no longer in tasks.toml",
        "Walk": "it is no longer in habits.toml",
    }


def test_a_task_that_was_put_off_is_not_on_the_day_it_was_put_off_from() -> None:
    """It is open on its day, and can be begun on a later one only."""
    spread = spread_of(settings(), [])
    later = PlanTask(
        "buns", "Buns", shown_on=date(2027, 3, 16), not_before=date(2027, 3, 29), area="home"
    )
    days = tuple(replace(day, tasks=(later,)) for day in spread.days)
    entry = task(share=True, done=None)
    household = files(settings(), tasks=(entry,))
    found = redact(Sources(replace(spread, days=days), household, LONDON))
    assert tasks_of(found) == []
    assert str(decision(found, "Buns").why) == "it was put off to another day"
    known = replace(later, source="home", classification="")
    days = tuple(replace(day, tasks=(known,)) for day in spread.days)
    said = settings(calendars=({"share_tasks": "title"},), released=("Buns",))
    assert tasks_of(redact(Sources(replace(spread, days=days), files(said), LONDON))) == []


def test_a_task_without_a_day_is_told_of_and_not_shown() -> None:
    """`undated` are open tasks of no day; of a week that was closed early there may be some."""
    spread = replace(spread_of(settings(), []), undated=(PlanTask("buns", "Buns"),))
    found = redact(Sources(spread, files(settings(), tasks=(task(share=True),)), LONDON))
    assert tasks_of(found) == []
    assert str(decision(found, "Buns").why) == "it stands on no day of the week"


def test_without_a_title_an_area_or_time_that_is_taken_nothing_is_left_to_show() -> None:
    """A free event whose title is not released, and one of no area at busy."""
    free = timed("Swim", at("2027-03-16 10:00"), busy=False)
    found = shared(settings(calendars=(OPEN,)), [free])
    assert on_page(found) == []
    why = "its title is not released, and it has nothing else to show"
    assert str(decision(found, "Swim").why) == why
    assert decision(found, "Swim").release == "Swim"


def test_a_word_that_is_not_given_is_a_mistake() -> None:
    """Of a calendar and of a rule: nothing could stand there."""
    with pytest.raises(ValueError, match="share is word, and there is no word"):
        settings(calendars=({"share": "word"},))
    with pytest.raises(ValueError, match="share is word, and there is no word"):
        settings(rules=({"title": "swim", "share": "word"},))
