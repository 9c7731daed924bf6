"""Every figure that is known of the demo household, through the whole chain but the pages.

`expected.json` was worked out without a recurrence library and without this project. The busy
intervals were found by `recurring-ical-events` as well; holidays are those of the `holidays`
library for GB-ENG; zone data 2026f.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from weeksync import demo
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import CellState, Day, Spread
from weeksync.workflow import Context, Outcome, Status, open_store, shown
from weeksync.workflow.pull import pull
from weeksync.zones import tzdata_version

EXPECTED: dict[str, Any] = json.loads((Path(__file__).parent / "expected.json").read_text("utf-8"))
LONDON = ZoneInfo("Europe/London")
EASTER_SUNDAY = date(2027, 3, 28)


@pytest.fixture(scope="module")
def pulled(tmp_path_factory: pytest.TempPathFactory) -> tuple[Context, Outcome]:
    """The demo household with its calendars in the store, and how the pull went."""
    home = demo.copy_to(tmp_path_factory.mktemp("demo") / "household")
    context = Context.read(home, demo.NOW)
    with open_store(context) as store:
        return context, pull(context, store)


@pytest.fixture(scope="module")
def context(pulled: tuple[Context, Outcome]) -> Context:
    """The demo household, pulled."""
    return pulled[0]


@pytest.fixture(scope="module")
def week(context: Context) -> Spread:
    """2027-W12."""
    return shown(context, "2027-W12")[0]


def occurrences(spread: Spread) -> list[Occurrence]:
    """Every occurrence of a spread once, in the order of its days."""
    return list(dict.fromkeys(one.occurrence for day in spread.days for one in day.occurrences))


def titled(spread: Spread, title: str) -> list[Occurrence]:
    """The occurrences whose title begins so."""
    return [one for one in occurrences(spread) if one.title.startswith(title)]


def starts(found: list[Occurrence]) -> list[str]:
    """Their starts as local time with offset, or as dates."""
    return [one.start.isoformat() for one in found]


def days_of(found: list[Occurrence]) -> set[date]:
    """The local dates on which timed occurrences begin."""
    return {one.start.date() for one in found if isinstance(one.start, datetime)}


def on(spread: Spread, day: date) -> Day:
    """One day of a spread."""
    return next(one for one in spread.days if one.date == day)


def money(spread: Spread, kind: MoneyKind, ident: str = "") -> Iterator[MoneyItem]:
    """What moves on the days of a spread, of one kind and one id."""
    for day in spread.days:
        for item in day.money:
            if item.kind is kind and ident in {"", item.id}:
                assert item.day == day.date
                yield item


def plain(title: str) -> str:
    """A title up to its parenthesis, in which feed and list of figures differ."""
    return re.sub(r" \(.*", "", title)


def test_the_zone_data_is_that_of_the_figures() -> None:
    """The figures hold for this release of the tz database or a later one."""
    assert tzdata_version() >= EXPECTED["tzdb"]


def test_the_household_is_read_without_a_problem(pulled: tuple[Context, Outcome]) -> None:
    """No mistake in any file, no id missing, no calendar that is not understood."""
    context, outcome = pulled
    assert [str(problem) for problem in context.files.problems] == []
    assert [str(problem) for problem in outcome.problems] == []
    assert outcome.status is Status.FINE
    fresh = Path(demo.__file__).parent / "household"
    for path in fresh.rglob("*.toml"):
        kept = context.folder / path.relative_to(fresh)
        assert kept.read_bytes() == path.read_bytes(), "an id was missing and has been written in"


def test_every_file_of_the_household_was_read(context: Context) -> None:
    """Nothing lies in the folder that the reader passes over."""
    files = {
        path.relative_to(context.folder).as_posix()
        for path in context.folder.rglob("*")
        if path.is_file() and "state" not in path.parts and path.suffix != ".ics"
    }
    assert files == set(context.files.digests)


def test_the_fifteen_busy_intervals(week: Spread) -> None:
    """Who is busy with what, from when to when, to the minute in UTC, and nothing else."""
    names = {"ines": "Ines", "dov": "Dov"}
    found = sorted(
        (names[person], plain(one.title), *(f"{end:%Y-%m-%dT%H:%MZ}" for end in one.bounds(LONDON)))
        for one in occurrences(week)
        for person in one.persons
        if one.busy and person in names
    )
    wanted = sorted(
        (one["who"], plain(one["title"]), one["start_utc"], one["end_utc"])
        for one in EXPECTED["busy"]
    )
    assert len(wanted) == 15
    assert found == wanted


def test_local_times_of_the_busy_intervals(week: Spread) -> None:
    """The same intervals on the kitchen clock, as `Sun 18:30-19:15 BST`."""
    found = set()
    for one in occurrences(week):
        if one.busy and {"ines", "dov"} & set(one.persons):
            assert isinstance(one.start, datetime)
            assert isinstance(one.end, datetime)
            found.add(f"{one.start:%a %H:%M}-{one.end:%H:%M} {one.end.tzname()}")
    assert found == {one["london"] for one in EXPECTED["busy"]}


def test_dov_works_47_hours(week: Spread) -> None:
    """Four shifts of 12 hours, less the hour that the night to Sunday does not have."""
    shifts = [one for one in occurrences(week) if one.busy and "dov" in one.persons]
    hours = sum((end - start for start, end in (one.bounds(LONDON) for one in shifts)), timedelta())
    assert hours / timedelta(hours=1) == EXPECTED["dov_shift_hours_W12"] == 47


@pytest.mark.parametrize(
    ("name", "hours"),
    [
        ("2027-W12", EXPECTED["week_hours"]),
        ("2027-W13", 168),
        ("2027-W43", EXPECTED["autumn_week_hours_2027-W43"]),
    ],
)
def test_the_length_of_a_week(context: Context, name: str, hours: float) -> None:
    """167 hours when the clocks go forward, 169 when they go back."""
    spread, _ = shown(context, name)
    assert sum(day.minutes for day in spread.days) / 60 == hours


def test_bills_and_pay_on_the_real_day(context: Context) -> None:
    """Good Friday, Easter Monday and the weekend move water, council tax and pay."""
    spread, _ = shown(context, "2027-03-22/2027-04-04")
    moved = {
        ident: item.day.isoformat()
        for ident in ("broadband", "water-bill", "council-tax", "rent")
        for item in money(spread, MoneyKind.BILL, ident)
    }
    moved |= {item.id: item.day.isoformat() for item in money(spread, MoneyKind.PAY, "pay-dov")}
    wanted = EXPECTED["bills_W12_W13"]
    assert moved == {
        "broadband": wanted["Broadband 24th (F)"],
        "water-bill": wanted["Water 26th (F)"],
        "council-tax": wanted["Council tax 28th (F)"],
        "rent": wanted["Rent 1st (F)"],
        "pay-dov": wanted["Pay 28th (P)"],
    }


@pytest.fixture(scope="module")
def year(context: Context) -> Spread:
    """All of 2027 with the last week of 2026."""
    return shown(context, "2026-12-28/2028-01-02")[0]


def test_four_weekly_pay(year: Spread) -> None:
    """Nominal and real date of each: 14 due in 2027, 13 paid in it."""
    pays = list(money(year, MoneyKind.PAY, "pay-evening-class"))
    assert [[item.due.isoformat(), item.day.isoformat()] for item in pays] == EXPECTED[
        "four_weekly_pay"
    ]
    assert sum(item.due.year == 2027 for item in pays) == EXPECTED["pay_count_nominal_2027"] == 14
    assert sum(item.day.year == 2027 for item in pays) == EXPECTED["pay_count_actual_2027"] == 13


def test_the_steps_of_the_goal(year: Spread) -> None:
    """1200.00 over nine pay dates by largest remainder, each step on the day of its pay."""
    steps = list(money(year, MoneyKind.STEP, "workbench"))
    wanted = EXPECTED["saving_1200"]
    assert [item.amount for item in steps] == wanted["minor_units"]
    assert len(steps) == wanted["dates"]
    assert sum(item.amount or 0 for item in steps) == wanted["sum"]
    assert {item.currency for item in steps} == {"GBP"}
    days = [item.day for item in money(year, MoneyKind.PAY, "pay-evening-class")]
    assert [item.day for item in steps] == days[1:10]


def test_the_nine_tasks(context: Context) -> None:
    """Their estimates and due days; no other task of Ines is due in the week."""
    found = [
        [task.title, task.estimate, f"{task.due:%a %d}"]
        for task in context.files.tasks
        if task.person == "ines" and task.open and task.due and task.due <= EASTER_SUNDAY
    ]
    assert sorted(found) == sorted(EXPECTED["tasks"]["tasks"])


def test_the_call_that_was_moved_into_the_week(context: Context, week: Spread) -> None:
    """Sunday's call of W11 is on Monday 10:30 of W12, and no longer in W11."""
    assert starts(titled(week, "Call with Nana")) == [
        "2027-03-22T10:30:00+00:00",
        "2027-03-28T18:30:00+01:00",
    ]
    before, _ = shown(context, "2027-W11")
    assert titled(before, "Call with Nana") == []
    assert {"ines", "nana"} == set(titled(week, "Call with Nana")[0].persons)


def test_the_call_keeps_the_time_of_the_other_zone(context: Context) -> None:
    """15:00 in St John's: 18:30, then 17:30 while only that zone has summer time, then 18:30."""
    spread, _ = shown(context, "2027-03-07/2027-04-04")
    assert starts(titled(spread, "Call with Nana Brice")) == [
        "2027-03-07T18:30:00+00:00",
        "2027-03-14T17:30:00+00:00",
        "2027-03-22T10:30:00+00:00",
        "2027-03-28T18:30:00+01:00",
        "2027-04-04T18:30:00+01:00",
    ]


def test_the_cancelled_lesson_is_struck_through(context: Context, week: Spread) -> None:
    """Piano was printed, so it is there struck through and takes no time; else it is left out."""
    (piano,) = titled(week, "Piano")
    assert piano.cancelled
    assert week.left_out == ()
    never_printed = replace(context, files=replace(context.files, snapshots={}))
    spread, _ = shown(never_printed, "2027-W12")
    assert titled(spread, "Piano") == []
    assert [one.occurrence.title for one in spread.left_out] == ["Piano - Pell"]


def test_changes_since_the_week_was_printed(week: Spread) -> None:
    """What the paper on the wall no longer says, in the order of the days."""
    assert week.plan is not None
    assert week.plan.confirmed == datetime(2027, 3, 21, 18, 40, tzinfo=UTC)
    assert [(one.kind.value, one.before, one.after) for one in week.plan.changes] == [
        (
            "moved",
            "2027-03-22 09:30-10:10 Optician - Ines",
            "2027-03-22 10:00-10:40 Optician - Ines",
        ),
        ("gone", "2027-03-24 16:00-16:30 Piano - Pell", ""),
        (
            "moved",
            "2027-03-22 afternoon Order jars and labels",
            "2027-03-24 08:15 morning Order jars and labels (2027-03-22)",
        ),
        ("new", "", "2027-03-25 Library books due"),
        (
            "changed",
            "2027-03-25 Meals, Lentil bake",
            "2027-03-25 Meals, Dov cooks nothing: *bread and soup*",
        ),
    ]


def test_the_lowest_balance_before_pay(week: Spread) -> None:
    """Counted by hand: 612.40 on the 20th, less broadband 28.50, on the eve of two pays."""
    assert week.plan is not None
    before = week.plan.balances[0]
    assert (before.account, before.amount, before.currency) == ("House account", 58_390, "GBP")
    assert (before.since, before.day, before.until) == (
        date(2027, 3, 20),
        date(2027, 3, 24),
        date(2027, 3, 25),
    )


def test_the_week_of_the_stall(week: Spread) -> None:
    """Takings of 164.00 come in, the pitch of 66.00 goes out."""
    assert week.plan is not None
    (business,) = week.plan.business
    assert (business.money_in, business.money_out, business.unknown) == (16_400, 6_600, 0)


def test_lessons_of_the_term(week: Spread) -> None:
    """Twelve weeks less half-term: 33 teaching days, and Juno's two moved lessons among them."""
    assert week.plan is not None
    planned = {(one.child, one.subject): one.planned for one in week.plan.lessons}
    assert planned["juno", "Reading and writing"] == 33
    assert planned["pell", "History"] == planned["pell", "Science"] == 11
    assert planned["juno", "Maths"] == planned["pell", "Maths"] == 22


def test_what_comes_up(week: Spread) -> None:
    """Jars for next Saturday's table, bread for this one's, then the parcel and the leeks."""
    assert week.plan is not None
    assert [(f"{one.begin:%m-%d}", one.what or one.title) for one in week.plan.coming_up] == [
        ("03-25", "Order jars"),
        ("03-26", "Bake for the table"),
        ("03-28", "Record the children's song"),
        ("03-31", "Post the parcel"),
        ("04-09", "Enter the leeks for the spring show"),
    ]


def test_a_stay_over_the_end_of_the_week(context: Context, week: Spread) -> None:
    """The cousin is there from Friday to Monday, all-day, and takes nobody's time."""
    following, _ = shown(context, "2027-W13")
    days = [
        day.date
        for day in (*week.days, *following.days)
        if any(one.occurrence.title == "Cousin Tamsin staying" for one in day.occurrences)
    ]
    assert days == [date(2027, 3, day) for day in (26, 27, 28, 29)]
    (stay,) = titled(week, "Cousin")
    assert stay.all_day
    assert not stay.busy


def test_a_time_that_does_not_exist(context: Context) -> None:
    """01:30 on 28 March is read with the offset before the gap: 02:30, and six times in all."""
    spread, _ = shown(context, "2027-03-01/2027-05-02")
    assert starts(titled(spread, "Boiler")) == [
        "2027-03-07T01:30:00+00:00",
        "2027-03-14T01:30:00+00:00",
        "2027-03-21T01:30:00+00:00",
        "2027-03-28T02:30:00+01:00",
        "2027-04-04T01:30:00+01:00",
        "2027-04-11T01:30:00+01:00",
    ]


def test_a_floating_time_is_the_kitchen_clock(week: Spread) -> None:
    """The dough is at 07:00 on all seven days, whatever the clocks did."""
    found = titled(week, "Bread dough")
    assert [f"{one.start:%d %H:%M}" for one in found] == [f"{day} 07:00" for day in range(22, 29)]
    assert not any(one.busy for one in found)


def test_exceptions_and_ends_of_series(year: Spread) -> None:
    """Half-term has no lessons, no swimming on 13 February, and both end when they say."""
    lessons = days_of(titled(year, "Home lessons"))
    assert date(2027, 2, 16) not in lessons
    assert min(lessons) == date(2027, 1, 5)
    assert max(lessons) == date(2027, 3, 25)
    assert len(lessons) == 12 * 3 - 3
    swims = days_of(titled(year, "Swimming lesson"))
    assert date(2027, 2, 13) not in swims
    assert max(swims) == date(2027, 4, 3)
    assert len(swims) == 13 - 1


def test_a_birthday_on_the_leap_day(year: Spread) -> None:
    """In 2027, which is no leap year, it is shown on 28 February."""
    assert starts(titled(year, "Pell - birthday")) == ["2027-02-28"]


def test_the_turn_of_the_year(context: Context) -> None:
    """2026-W53: the substitute holiday on Monday, New Year's Day on Friday, Dov on Sunday."""
    spread, _ = shown(context, "2026-W53")
    assert [day.date for day in spread.days if day.holidays] == [
        date(2026, 12, 28),
        date(2027, 1, 1),
    ]
    (shift,) = titled(spread, "Dov day shift")
    assert starts([shift]) == ["2027-01-03T07:00:00+00:00"]


def test_easter_is_on_the_page(context: Context) -> None:
    """Good Friday and Easter Monday are holidays, and so is the household's own day."""
    spread, _ = shown(context, "2027-03-22/2027-05-09")
    assert on(spread, date(2027, 3, 26)).holidays == ("Good Friday",)
    assert on(spread, date(2027, 3, 29)).holidays == ("Easter Monday",)
    assert "Saltmere Lantern Night" in on(spread, date(2027, 5, 8)).holidays


def test_the_terms(week: Spread) -> None:
    """The last lessons are on Thursday; then the break begins, and Monday made one up."""
    thursday, friday = on(week, date(2027, 3, 25)), on(week, date(2027, 3, 26))
    assert thursday.term == "Spring term"
    assert {lesson.subject for lesson in thursday.lessons} == {
        "Maths",
        "Science",
        "Reading and writing",
    }
    assert friday.lessons == ()
    assert friday.term_break == "Easter break"
    (made_up,) = [lesson for lesson in on(week, date(2027, 3, 22)).lessons if lesson.make_up]
    assert (made_up.child, made_up.subject, made_up.done) == ("juno", "Maths", True)


def test_marks_of_the_week_end_with_yesterday(week: Spread) -> None:
    """Monday and Tuesday are marked or missing; from today on nothing is recorded."""
    today = demo.NOW.astimezone(LONDON).date()
    states = {
        (cell.day < today, cell.state)
        for row in week.habits
        for cell in row.cells
        if cell.state is not CellState.NOT_DUE
    }
    assert (True, CellState.MARKED) in states
    assert (True, CellState.NOT_RECORDED) in states
    assert {state for past, state in states if not past} <= {CellState.OPEN, CellState.PAUSED}


def test_marks_were_made_before_now(context: Context) -> None:
    """No mark has arrived after the instant that the demo plays at."""
    assert max(mark.received_at for mark in context.files.marks) <= demo.NOW
    assert max(check_in.day for check_in in context.files.check_ins) <= demo.NOW.date()


def test_a_mark_that_was_put_right_holds(context: Context) -> None:
    """The later of two marks counts, and a clock that ran ahead does not make one later."""
    spread, _ = shown(context, "2027-03-08/2027-03-21")
    cells = {(row.id, cell.day): cell.value for row in spread.habits for cell in row.cells}
    assert cells["steps", date(2027, 3, 16)] == "7120"
    assert cells["water", date(2027, 3, 9)] == "7"


def test_a_pause_is_no_miss(context: Context) -> None:
    """The rope was lent out from 1 to 12 March: paused, then due again."""
    spread, _ = shown(context, "2027-02-22/2027-03-14")
    (row,) = [row for row in spread.habits if row.id == "skipping"]
    paused = [cell.day for cell in row.cells if cell.state is CellState.PAUSED]
    assert paused == [date(2027, 3, day) for day in range(1, 13)]
