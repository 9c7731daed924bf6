"""What of a plan stands in the days of a week page: load, proposals, how events meet."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.support import sample_plan, sample_week
from tests.support.sample_plan import PROPOSAL, at, day
from weeksync.model.engagement import Clash, ClashKind
from weeksync.model.fields import DayPart
from weeksync.model.spread import Spread
from weeksync.model.week_plan import PartLoad, Piece, WeekPlan
from weeksync.site.plan_days import MOST_PROPOSED
from weeksync.site.record import DayBox, EventLine, WeekPage
from weeksync.site.week import week_page
from weeksync.site.words import Words


def page(plan: WeekPlan | None, spread: Spread | None = None) -> WeekPage:
    """The record of the sample's week with that plan."""
    inputs = sample_week.inputs()
    whole = replace(spread or sample_week.spread(), plan=plan)
    return week_page(inputs, Words(inputs), whole, sample_week.W12)


@pytest.fixture(scope="module")
def days() -> tuple[DayBox, ...]:
    """The days of the sample's page."""
    return page(sample_plan.plan()).days


def events(box: DayBox) -> dict[str, EventLine]:
    """The events of a day by their titles."""
    return {line.title: line for part in box.parts for line in part.events}


def test_a_day_has_a_measure_for_each_person(days: tuple[DayBox, ...]) -> None:
    """Planned of plannable and free minutes in words; nobody's day without a load has one."""
    assert [line.person.letter for line in days[0].loads] == ["I", "D"]
    assert days[0].loads[0].text == "240 of 387 min planned, 645 free"
    assert days[0].loads[0].too_much == days[0].loads[0].move == ""
    assert [line.person.letter for line in days[1].loads] == ["I"]


def test_free_minutes_are_told_by_part_of_the_day() -> None:
    """Behind their sum; a part without any is left out."""
    parts = (PartLoad(DayPart.MORNING, 195, 0), PartLoad(DayPart.AFTERNOON, 450, 240),
             PartLoad(DayPart.EVENING, 0, 0))  # fmt: skip
    plan = sample_plan.plan()
    loads = tuple(replace(one, parts=parts) for one in plan.loads)
    line = page(replace(plan, loads=loads)).days[0].loads[0]
    assert line.text == "240 of 387 min planned, 645 free (morning 195, afternoon 450)"


def test_measures_of_a_week_have_one_scale(days: tuple[DayBox, ...]) -> None:
    """The longest one in whole hours, so that they can be compared from day to day."""
    scales = {line.scale for box in days for line in box.loads}
    assert scales == {720}


def test_too_much_is_said_in_minutes_with_what_to_move(days: tuple[DayBox, ...]) -> None:
    """360 of 288 are 72 too much; a task that is only for some is not named."""
    line = days[2].loads[0]
    assert (line.over, line.too_much) == (72, "72 min too much")
    assert line.move == "move “Term report Juno”"


def test_of_a_day_that_is_over_nothing_is_to_be_moved(days: tuple[DayBox, ...]) -> None:
    """Tuesday was too full; on Wednesday morning that is only told."""
    line = days[1].loads[0]
    assert line.too_much == "207 min too much"
    assert line.move == ""


def test_proposals_stand_in_their_day_part(days: tuple[DayBox, ...]) -> None:
    """By time, with whose they are, which piece, and the reason at the first piece only."""
    thursday, friday = days[3].parts[0].proposed, days[4].parts[0].proposed
    assert [(one.title, one.piece) for one in thursday] == [
        ("Sales sheet for the year", "piece 1 of 2")
    ]
    assert thursday[0].times.startswith("08:00")
    assert thursday[0].times.endswith("08:36")
    assert thursday[0].late
    assert thursday[0].reason == "200 minutes are missing"
    assert [one.title for one in friday] == ["Mend gate latch"]
    assert [person.letter for person in friday[0].persons] == ["D"]
    assert friday[0].piece == ""
    later = days[4].parts[1].proposed
    assert [(one.piece, one.reason) for one in later] == [("piece 2 of 2", "")]


def test_what_was_chosen_is_not_proposed(days: tuple[DayBox, ...]) -> None:
    """A chosen task keeps its own line and gets no second one in pencil."""
    titles = {one.title for box in days for part in box.parts for one in part.proposed}
    assert "Term report Juno" not in titles
    assert "Term report Juno" in {one.title for one in days[2].tasks}


def test_on_a_day_that_is_over_nothing_is_proposed(days: tuple[DayBox, ...]) -> None:
    """Not even where a plan should hold it; in a week that is over there is no proposal."""
    assert all(not part.proposed for box in days[:2] for part in box.parts)
    over = page(replace(sample_plan.plan(), proposal=None))
    for box in over.days:
        assert not box.proposed_priorities
        assert not box.proposed_breaks
        assert not any(part.proposed for part in box.parts)
    assert not any(cell.proposed for line in over.habits for cell in line.cells)


def test_proposed_priorities_stand_beside_chosen_ones(days: tuple[DayBox, ...]) -> None:
    """Friday has none chosen and one proposed, with its reason."""
    assert days[4].priorities == ()
    assert [(one.title, one.reason) for one in days[4].proposed_priorities] == [
        ("Sales sheet for the year", "due soon")
    ]


def test_more_than_fits_is_counted() -> None:
    """Of ten pieces on one day eight are listed, and the command for the rest is told."""
    half, start = timedelta(minutes=30), at(5, "07:00")
    pieces = [
        Piece(start + half * number, start + half * (number + 1), DayPart.MORNING)
        for number in range(10)
    ]
    tasks = tuple(PROPOSAL.tasks[2]._replace(task=f"t{one.start}", pieces=(one,)) for one in pieces)
    made = page(replace(sample_plan.plan(), proposal=replace(PROPOSAL, tasks=tasks)))
    listed = sum(len(part.proposed) for part in made.days[5].parts)
    assert listed == MOST_PROPOSED == 8
    assert made.days[5].proposed_more == "and 2 more; to see all: weeksync show 2027-W12"
    assert made.days[4].proposed_more == ""


def test_proposed_breaks_are_told_from_planned_ones(days: tuple[DayBox, ...]) -> None:
    """They stand apart, as the planned ones are written."""
    assert days[3].proposed_breaks == ("12:00, 10\u00a0min: open the window (Ines)",)
    assert days[4].proposed_breaks == ()
    assert list(map(str, days[3].breaks)) == ["15:30, 10\u00a0min: walk to the quay (Ines)"]


def test_days_proposed_for_habits_are_marked_in_their_cells() -> None:
    """With a word in the label; one that moves to another part of the day says to which."""
    lines = {line.id: line for line in page(sample_plan.plan()).habits}
    scales = lines["scales"].cells
    assert [cell.proposed for cell in scales] == [False, False, False, True, False, True, False]
    assert scales[3].label == "still to come, proposed"
    assert lines["stretch"].cells[6].label == "still to come, proposed: Afternoon"
    assert lines["water"].cells[3].label == "still to come"


def test_a_clash_is_told_at_both_events(days: tuple[DayBox, ...]) -> None:
    """With the minutes and the other one; whose it is only where the event has several."""
    monday = events(days[0])
    one, other = monday["Optician – Ines"].meets, monday["Call with Nana Brice (moved)"].meets
    assert [(meet.kind, meet.word, meet.text) for meet in one] == [
        ("clash", "clash", "clash, 10 min, with “Call with Nana Brice (moved)”")
    ]
    assert one[0].persons == ()
    assert [meet.text for meet in other] == ["clash, 10 min, with “Optician – Ines”"]
    assert [person.id for person in other[0].persons] == ["ines"]
    assert monday["Bread dough"].meets == ()


def test_tight_touching_and_hand_overs_are_told_apart(days: tuple[DayBox, ...]) -> None:
    """Each by its own word, before and after."""
    wednesday, thursday = events(days[2]), events(days[3])
    assert (
        wednesday["Home lessons (spring term)"].meets[0].text
        == "tight, 5 min before “Choir – Pell”"
    )
    assert wednesday["Choir – Pell"].meets[0].text == (
        "tight, 5 min after “Home lessons (spring term)”"
    )
    assert thursday["Dov day shift"].meets[0].text == "hand-over, 0 min before “Traders meeting”"
    assert thursday["Traders meeting"].meets[0].text == "hand-over, 0 min after “Dov day shift”"


def test_a_clash_that_is_only_for_some_is_told_nowhere(days: tuple[DayBox, ...]) -> None:
    """The stall clashes with a lesson for all to see, and with a visit for one pair of eyes."""
    texts = [meet.text for meet in events(days[5])["Market stall"].meets]
    assert texts == ["clash, 60 min, with “Swimming lesson – Juno”"]


def test_an_event_over_midnight_is_marked_on_the_day_of_the_meeting() -> None:
    """A night shift of Friday that touches Saturday's first event says so on Saturday only."""
    night = sample_plan.DAY_SHIFT._replace(
        title="Dov night shift",
        uid="dov-night-shift@saltmere.invalid",
        start=at(4, "19:00"), end=at(5, "07:00"), begins=at(4, "19:00"), ends=at(5, "07:00"),
    )  # fmt: skip
    after = night._replace(title="Walk", uid="walk", start=at(5, "07:00"), end=at(5, "08:00"),
                    begins=at(5, "07:00"), ends=at(5, "08:00"))  # fmt: skip
    clash = Clash(ClashKind.TOUCHING, "dov", day(5), at(5, "07:00"), 0, night, after)
    made = page(WeekPlan(clashes=(clash,)))
    assert events(made.days[4])["Dov night shift"].meets == ()
    assert [one.text for one in events(made.days[5])["Dov night shift"].meets] == [
        "touching “Walk”"
    ]


def test_persons_whose_clash_is_the_same_share_a_line() -> None:
    """Mother and child are both at two places: one line with both letters."""
    other = [one._replace(person="juno") for one in (sample_plan.STALL, sample_plan.SWIMMING)]
    clash = sample_plan.CLASHES[2]
    twice = (clash, clash._replace(person="juno", first=other[0], second=other[1]))
    made = page(WeekPlan(clashes=twice))
    meets = events(made.days[5])["Swimming lesson – Juno"].meets
    assert [[person.id for person in one.persons] for one in meets] == [["ines", "juno"]]


def test_without_a_plan_a_page_says_nothing_of_it() -> None:
    """A spread of a household that was not planned is the page it was before."""
    made = page(None)
    assert made.boxes == ()
    assert made.lessons is None
    assert all(not box.loads for box in made.days)


def test_bills_come_before_pay(days: tuple[DayBox, ...]) -> None:
    """On top of a day: bills, pay, saving steps."""
    assert [line.kind for line in days[3].money] == ["pay", "step"]
    week = sample_week.spread()
    money = tuple(item for one in week.days for item in one.money)
    crowded = replace(week, days=(replace(week.days[0], money=money), *week.days[1:]))
    kinds = [line.kind for line in page(None, crowded).days[0].money]
    assert kinds == ["bill", "bill", "pay", "step"]
