"""Lines of a week page: what one reads of an event, a task, money, a lesson, a habit."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, datetime, time, timedelta

import pytest

from tests.support import sample_week
from tests.support.sample_week import MONDAY, at, occurrence
from weeksync.message import message
from weeksync.model.fields import DayPart
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.occurrence import Occurrence
from weeksync.model.problem import Problem, ProblemKind
from weeksync.model.pulled import SourceState
from weeksync.model.spread import (
    BreakItem,
    DayOccurrence,
    LeftOut,
    LeftOutReason,
    LessonItem,
    PlanTask,
)
from weeksync.model.week import Month
from weeksync.site.frame import source_line
from weeksync.site.lines import (
    break_line,
    break_text,
    event_line,
    lesson_line,
    money_line,
    task_line,
)
from weeksync.site.lists import MOST as MOST_LEFT_OUT
from weeksync.site.lists import index_page, problems_page
from weeksync.site.month import MOST, month_page
from weeksync.site.week import week_page
from weeksync.site.words import Words

INPUTS = sample_week.inputs()
WORDS = Words(INPUTS)
PAGE = week_page(INPUTS, WORDS, sample_week.spread(), sample_week.W12)


def plain(text: str) -> str:
    """The text without the narrow spaces of CLDR's patterns."""
    return text.replace("\u2009", " ").replace("\u202f", " ").replace("\xa0", " ")


def shown(one: Occurrence, *, before: bool = False, on: bool = False) -> DayOccurrence:
    """The occurrence as it lies in a day."""
    return DayOccurrence(one, None if one.all_day else DayPart.MORNING, before, on)


@pytest.mark.parametrize(
    ("start", "end", "before", "on", "text"),
    [
        (at(MONDAY, "10:00"), at(MONDAY, "10:40"), False, False, "10:00 – 10:40"),
        (at(MONDAY, "10:00"), at(MONDAY, "10:00"), False, False, "10:00"),
        (at(MONDAY, "19:00"), at(MONDAY + timedelta(1), "07:00"), False, True, "19:00 – 07:00"),
        (at(MONDAY, "19:00"), at(MONDAY + timedelta(1), "07:00"), True, False, "until 07:00"),
        (at(MONDAY, "19:00"), at(MONDAY + timedelta(3), "07:00"), False, True, "from 19:00"),
        (at(MONDAY, "19:00"), at(MONDAY + timedelta(3), "07:00"), True, True, "the whole day"),
        (MONDAY, MONDAY + timedelta(1), False, False, ""),
    ],
)
def test_the_times_of_an_event_on_one_day(
    start: datetime | date, end: datetime | date, before: bool, on: bool, text: str
) -> None:
    """Both ends, or the one that lies in the day; nothing where it takes whole days."""
    line = event_line(WORDS, shown(occurrence("x", start, end), before=before, on=on))
    assert plain(line.times) == text


def test_other_peoples_clocks() -> None:
    """A call at 18:30 in London on 28 March is at 15:00 in St John's (the gap is 3 h 30 again)."""
    call = next(line for line in PAGE.days[6].parts[2].events)
    assert call.title == "Call with Nana Brice"
    assert [plain(text) for text in call.elsewhere] == ["15:00 in St John’s"]
    moved = next(line for line in PAGE.days[0].parts[0].events if "moved" in line.title)
    assert [plain(text) for text in moved.elsewhere] == ["08:00 in St John’s"]  # 2 h 30 on Monday


def test_another_date_on_another_clock_is_said() -> None:
    """Where it is still the evening before, the weekday stands with the time."""
    early = occurrence("x", at(MONDAY, "01:00"), at(MONDAY, "02:00"), zone="America/St_Johns")
    assert event_line(WORDS, shown(early)).elsewhere == ("Sun 22:30 in St John’s",)


@pytest.mark.parametrize("zone", ["", "UTC", "Europe/London", "Nowhere/Else", "Europe/Lisbon"])
def test_clocks_that_show_the_same_are_not_told(zone: str) -> None:
    """No zone, our own, one nobody knows, one with the same time: nothing to say."""
    one = occurrence("x", at(MONDAY, "10:00"), at(MONDAY, "11:00"), zone=zone)
    assert event_line(WORDS, shown(one)).elsewhere == ()


def test_an_event_without_title_says_so() -> None:
    """A calendar may leave the title empty; the line does not."""
    line = event_line(WORDS, shown(occurrence("  ", MONDAY, MONDAY + timedelta(1))))
    assert line.title == "no title"


def test_a_task_says_what_matters() -> None:
    """Estimate, due date where it is another day, weeks carried; nothing twice."""
    task = PlanTask("t", "Mend it", estimate=95, due=date(2027, 3, 30), shown_on=MONDAY, carried=2,
                    start=time(9, 5), area="home", persons=("dov", "guest"))  # fmt: skip
    line = task_line(WORDS, task)
    assert plain(line.estimate) == "1 h 35 min"
    assert (line.due, line.carried, line.time) == ("due Tue 30 Mar", "carried 2 weeks", "09:05")
    assert [person.letter for person in line.persons] == ["D", "G"]
    on_its_day = task_line(WORDS, replace(task, due=MONDAY, minutes=30))
    assert (on_its_day.due, plain(on_its_day.estimate)) == ("", "30 min")


def test_money_says_how_much_only_where_asked() -> None:
    """The common line has no amount; a moved date, paying by hand and having paid are said."""
    moved, due = date(2027, 3, 30), date(2027, 3, 26)
    bill = MoneyItem(MoneyKind.BILL, "b", "Water", moved, due, 4250, "GBP", collected=False)
    line = money_line(WORDS, bill)
    assert (line.amount, line.moved, line.by_hand) == ("", "moved from Fri 26 Mar", "pay by hand")
    paid = replace(bill, paid_on=MONDAY, paid_amount=4300)
    mine = money_line(WORDS, paid, amounts=True)
    assert (mine.amount, mine.by_hand, mine.paid) == ("£43.00", "", "paid")
    assert money_line(WORDS, replace(bill, amount=None), amounts=True).amount == ""


@pytest.mark.parametrize(("done", "state"), [(None, "open"), (True, "done"), (False, "missed")])
def test_a_lesson_not_recorded_is_not_missed(done: bool | None, state: str) -> None:
    """Nothing recorded is open; only a mark that says so is missed."""
    assert lesson_line(WORDS, LessonItem("l", "pell", "Maths", done=done)).state == state


def test_breaks_are_one_line() -> None:
    """When, how long, what and who."""
    walk = BreakItem("15:30", 10, "walk", "ines")
    assert plain(break_text(WORDS, walk)) == "15:30, 10 min: walk (Ines)"
    assert plain(break_text(WORDS, BreakItem("09:05", 90, ""))) == "09:05, 1 h 30 min: break"


@pytest.mark.parametrize(("done", "raw"), [(None, ""), (True, "yes"), (False, "no")])
def test_a_break_has_its_id_and_its_mark(done: bool | None, raw: str) -> None:
    """As the file of marks has it; written out it is its text."""
    line = break_line(WORDS, BreakItem("15:30", 10, "walk", "ines", "b-1", done))
    assert (line.id, line.raw, line.person) == ("b-1", raw, "ines")
    assert plain(str(line)) == "15:30, 10 min: walk (Ines)"


def test_cells_of_a_habit_differ_in_shape_and_words() -> None:
    """Marked, missed, not recorded, paused, not due and still to come are six things."""
    cells = [cell for line in PAGE.habits for cell in line.cells]
    states = {cell.state for cell in cells}
    assert states == {"marked", "missed", "not-recorded", "paused", "not-due", "open"}
    assert len({cell.label for cell in cells if not cell.value and not cell.proposed}) == 6
    style = (sample_week.ROOT / "site_templates" / "style.css").read_text()
    drawn = {
        state: re.findall(rf"\.{state}::(?:before|after)[^{{]*{{([^}}]*)}}", style)
        for state in states
    }
    assert drawn.pop("open") == []  # the box that all of them begin with
    assert all(drawn.values())
    assert len({str(rules) for rules in drawn.values()}) == 5


def test_figures_stand_in_the_cell_and_in_words() -> None:
    """A count is shown as a number; its state is in the words for those who do not see it."""
    water = next(line for line in PAGE.habits if line.id == "water")
    assert [(cell.value, cell.label) for cell in water.cells[:2]] == [
        ("8", "marked: 8"),
        ("5", "missed: 5"),
    ]
    assert water.target == "8 glasses"


def test_decisions_show_dates_as_people_write_them() -> None:
    """The plan hands ISO dates; a page shows weekday and month."""
    late = message("“{title}” was due on {day}", title="A", day="2027-03-02")
    week = replace(sample_week.spread(), decisions=(late,), plan=None)
    page = week_page(INPUTS, WORDS, week, sample_week.W12)
    assert page.decisions == ("“A” was due on Tue, 2 Mar 2027",)


def test_a_full_day_of_the_month_counts_what_it_does_not_show() -> None:
    """At most so many lines; the rest is a number that leads to the day on its week page."""
    plan = sample_week.month(Month(2027, 3))
    day = next(day for _, days in plan.weeks for day in days if day.date == MONDAY)
    many = tuple(
        shown(occurrence(f"Event {n}", at(MONDAY, "10:00"), at(MONDAY, "11:00"))) for n in range(9)
    )
    full = replace(day, occurrences=many)
    weeks = tuple(
        (week, tuple(full if one.date == MONDAY else one for one in days))
        for week, days in plan.weeks
    )
    page = month_page(INPUTS, WORDS, replace(plan, weeks=weeks))
    made = next(one for week in page.weeks for one in week.days if one.date == "2027-03-22")
    assert len(made.events) == MOST
    assert made.more == "+4 more"
    assert made.href == "2027-W12.html#d-2027-03-22"


def test_the_start_page_leads_to_the_week_of_the_day() -> None:
    """The week that holds it; after the last one the last, before the first one the first."""
    for today, week in (
        (date(2027, 3, 24), "2027-W12"),
        (date(2027, 3, 28), "2027-W12"),
        (date(2028, 1, 1), "2027-W13"),
        (date(2027, 1, 1), "2027-W11"),
    ):
        current = index_page(replace(INPUTS, today=today), WORDS, INPUTS.weeks).current
        assert current is not None
        assert current.id == week


def test_no_weeks_are_no_error() -> None:
    """A site without weeks has a start page all the same."""
    assert index_page(replace(INPUTS, weeks=()), WORDS, ()).current is None


def test_problems_come_in_the_order_of_what_needs_an_answer() -> None:
    """Questions first, what is only good to know last; places with file and line, no values."""
    page = problems_page(INPUTS, WORDS)
    assert [group.kind for group in page.groups] == ["question", "source", "mistake", "notice"]
    mistake = page.groups[2].problems[0]
    assert mistake.place == "tasks.toml:14"
    assert mistake.what == 'due = "…" is no date'
    assert mistake.remedy == "write a day that exists, as …"


def test_what_was_left_out_is_grouped_and_bounded() -> None:
    """By reason, by day, at most so many; what is only for some is not told here either."""
    many = tuple(
        LeftOut(
            occurrence(f"E{n:03}", MONDAY + timedelta(n), MONDAY + timedelta(n + 1)),
            LeftOutReason.SAME,
        )
        for n in range(MOST_LEFT_OUT + 3)
    )
    secret = LeftOut(
        occurrence("Secret", MONDAY, MONDAY + timedelta(1), only_for=("ines",)),
        LeftOutReason.CANCELLED,
    )
    page = problems_page(replace(INPUTS, left_out=(*reversed(many), secret)), WORDS)
    assert [group.reason for group in page.left_out] == ["The same in another calendar"]
    assert page.left_out[0].lines[0].title == "E000"
    assert len(page.left_out[0].lines) == MOST_LEFT_OUT
    assert page.left_out[0].more == "and 3 more"


def test_a_stale_source_is_at_the_top_of_every_page() -> None:
    """With the time of its last good copy; sources that are well have no time on a week page."""
    assert [source.id for source in PAGE.stale] == ["rota"]
    good = PAGE.stale[0].last_good
    assert good is not None
    assert good.iso == "2027-03-21T04:30:00+00:00"
    assert {source.id: source.last_good for source in PAGE.sources if not source.stale} == {
        "home": None,
        "stall": None,
    }


def test_a_source_that_was_never_pulled_says_so() -> None:
    """Nothing of it can be shown, and that is not passed over."""
    line = source_line(WORDS, SourceState("home"))
    assert (line.stale, line.last_good) == (True, None)
    assert line.text == "Home calendar could not be pulled yet; nothing of it is shown."


def test_notices_of_a_day_stand_on_it() -> None:
    """That the clocks change is said on the day itself."""
    assert PAGE.days[6].notices == ("the clocks change: this day has 23 hours",)
    assert PAGE.days[5].notices == ()


def test_counts_of_the_start_page() -> None:
    """Questions and problems are counted apart and lead to their first; notices are none."""
    quiet = Problem(ProblemKind.NOTICE, message("only good to know"))
    page = index_page(INPUTS, WORDS, INPUTS.weeks)
    assert page.counts == (("question", "1 question for you"), ("source", "2 problems"))
    assert index_page(replace(INPUTS, problems=(quiet,)), WORDS, ()).counts == ()
