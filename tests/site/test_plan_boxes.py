"""The boxes of what is worked out: on common pages, on pages of one's own, and in a month."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from tests.support import sample_plan, sample_week
from tests.support.sample_plan import day
from weeksync.language import Language
from weeksync.language.plan_sentences import PlanSentences
from weeksync.message import message
from weeksync.model.engagement import Worked
from weeksync.model.spread import MonthSpan, Spread
from weeksync.model.week import Month
from weeksync.model.week_plan import ComingUp, WeekPlan
from weeksync.site.month import MOST_LANES, month_page
from weeksync.site.own import own_week_page
from weeksync.site.plan_boxes import MOST_LINES
from weeksync.site.plan_page import MOST_CLASHES, MOST_DECISIONS
from weeksync.site.record import MonthPage, OwnWeekPage, PlanBox, WeekPage
from weeksync.site.week import week_page
from weeksync.site.words import Words

INPUTS = sample_week.inputs()
WORDS = Words(INPUTS)


def whole(plan: WeekPlan | None) -> Spread:
    """The sample's week with that plan."""
    return replace(sample_week.spread(), plan=plan)


def page(plan: WeekPlan | None) -> WeekPage:
    """The common page of it."""
    return week_page(INPUTS, WORDS, whole(plan), sample_week.W12)


def own(plan: WeekPlan | None) -> OwnWeekPage:
    """The page of one's own of it."""
    return own_week_page(INPUTS, WORDS, whole(plan), sample_week.W12)


def named(boxes: tuple[PlanBox, ...]) -> dict[str, PlanBox]:
    """Boxes by id."""
    return {box.id: box for box in boxes}


def texts(box: PlanBox) -> list[str]:
    """What a box says."""
    return [line.text for line in box.lines]


@pytest.fixture(scope="module")
def boxes() -> dict[str, PlanBox]:
    """The boxes of the sample's common page."""
    return named(page(sample_plan.plan()).boxes)


def test_boxes_come_in_their_order() -> None:
    """What meets and what has no place first, then what is ahead, then what was."""
    assert [box.id for box in page(sample_plan.plan()).boxes] == [
        "meets", "without-place", "proposed", "carried", "coming-up", "worked", "lighter",
        "changes",
    ]  # fmt: skip


def test_three_at_one_moment_are_told_once_a_day() -> None:
    """First in the box of what meets on the common page; a page of one's own does not repeat it."""
    plan = sample_plan.plan()
    loads = (replace(plan.loads[0], overlap=3), replace(plan.loads[1], overlap=2), *plan.loads[2:])
    meets = named(page(replace(plan, loads=loads)).boxes)["meets"]
    assert texts(meets)[0] == "Ines, Mon 22 Mar: 3 at one moment at most"
    assert sum("at one moment" in text for text in texts(meets)) == 1
    assert meets.lines[0].kind == "clash"
    mine = named(own(replace(plan, loads=loads)).boxes)
    assert not any("at one moment" in text for box in mine.values() for text in texts(box))


def test_a_box_that_says_nothing_is_not_there() -> None:
    """Of a plan with hours worked alone there is one box, of an empty plan none."""
    made = page(WeekPlan(worked=(Worked("ines", 450), Worked("dov", 0)))).boxes
    assert [(box.id, texts(box)) for box in made] == [("worked", ["7\u00a0h\u00a030\u00a0min"])]
    assert page(WeekPlan()).boxes == ()


def test_clashes_come_before_tight_ones(boxes: dict[str, PlanBox]) -> None:
    """With the sentences of the terminal, and hand-overs last."""
    assert [line.kind for line in boxes["meets"].lines] == ["clash", "clash", "tight", "hand-over"]
    said = PlanSentences(INPUTS.config, Language("en_GB")).clash(sample_plan.CLASHES[0])
    assert texts(boxes["meets"])[0] == said
    assert said == (
        "Ines, Mon 22 Mar 10:30: “Optician – Ines” and “Call with Nana Brice (moved)” overlap by "
        "10 minutes"
    )


def test_what_is_late_or_without_a_place_has_its_reason(boxes: dict[str, PlanBox]) -> None:
    """And a task that is nobody's is told, unless it is only for some."""
    assert [(line.text, line.note, line.kind) for line in boxes["without-place"].lines] == [
        ("Sales sheet for the year", "200 minutes are missing", "late"),
        ("New rope for the swing", "waits for: dry weather", "unplaced"),
        ("Fri 26 Mar: “New rope for the swing”, 30 minutes, is nobody's", "", "unplaced"),
    ]


def test_proposals_are_counted_with_the_command_that_takes_them(
    boxes: dict[str, PlanBox],
) -> None:
    """Three of the six: one is chosen, one has no place, one is only for some."""
    assert texts(boxes["proposed"])[0] == "3 tasks have room: weeksync propose 2027-W12"
    assert texts(boxes["proposed"])[1] == "Scales: Thu 25 Mar and Sat 27 Mar"
    assert boxes["proposed"].lines[1].note == "most room"


def test_lighter_days_say_what_is_paid_before_and_no_reason(boxes: dict[str, PlanBox]) -> None:
    """A reason can be a matter of health; amounts and what is only for some stay off."""
    assert texts(boxes["lighter"]) == [
        "Dov, 27\u2009–\u200928 Mar 2027",
        "to be paid before: Stall pitch (Fri 26 Mar)",
        "piled up: “Mend gate latch”; weeksync carry --spread or --park settles it",
    ]


def test_changes_are_headed_by_when_they_count_from(boxes: dict[str, PlanBox]) -> None:
    """On the household's clock; the Markdown of a row is told as words."""
    assert boxes["changes"].heading == "Changes since print (21 Mar 2027, 18:40)"
    assert [(line.text, line.kind) for line in boxes["changes"].lines] == [
        ("Optician – Ines: Mon 22 Mar 10:00, before Mon 22 Mar 09:30", "moved"),
        ("Meals: Thu 25 Mar (Leek tart), before Thu 25 Mar (Lentil bake)", "changed"),
    ]


def test_coming_up_says_when_to_begin(boxes: dict[str, PlanBox]) -> None:
    """Begin-by first, then what for and when."""
    assert texts(boxes["coming-up"]) == [
        "begin Thu 25 Mar: Order jars: Market stall (Sat 3 Apr)",
        "begin Wed 31 Mar: Post the parcel: Nana's birthday (Wed 21 Apr)",
    ]


def test_lessons_are_a_row_a_child_and_subject() -> None:
    """With days attended; not recorded is told apart from missed."""
    made = page(sample_plan.plan()).lessons
    assert made is not None
    row = made.rows[0]
    assert (row.child.id, row.subject) == ("pell", "Maths")
    assert (row.planned, row.done, row.to_make_up, row.not_recorded) == ("22", "10", "1", "11")
    assert made.attendance == ("Pell: lessons on 15 of 31 days, 16 not recorded",)


def test_a_box_lists_as_many_as_can_be_read() -> None:
    """Eight lines, and the rest is counted with the command that lists it."""
    many = tuple(ComingUp(date(2027, 4, 1) + timedelta(n), day(3), f"Thing {n}") for n in range(11))
    box = named(page(WeekPlan(coming_up=many)).boxes)["coming-up"]
    assert len(box.lines) == MOST_LINES == 8
    assert box.more == "and 3 more; to see all: weeksync show 2027-W12"


def test_clashes_to_come_are_to_be_decided_first() -> None:
    """Those of days that are over are past deciding, tight ones need none."""
    made = page(sample_plan.plan())
    assert made.decisions[0] == (
        "Ines, Sat 27 Mar 09:00: “Market stall” and “Swimming lesson – Juno” overlap by 60 minutes"
    )
    assert "carried 3 weeks" in made.decisions[1]
    assert len(made.decisions) == 2
    assert made.decisions_more == ""


def test_decisions_do_not_drown() -> None:
    """Four clashes at most and twelve lines in all; the rest is counted."""
    clash = sample_plan.CLASHES[2]
    clashes = tuple(clash._replace(at=clash.at + timedelta(minutes=n)) for n in range(9))
    spread = replace(
        whole(replace(sample_plan.plan(), clashes=clashes)),
        decisions=tuple(message("decide {n}", n=n) for n in range(20)),
    )
    made = week_page(INPUTS, WORDS, spread, sample_week.W12)
    assert len(made.decisions) == MOST_DECISIONS == 12
    assert sum("overlap" in text for text in made.decisions) == MOST_CLASHES == 4
    assert made.decisions[4] == "decide 0"
    assert made.decisions_more == "and 12 more; to see all: weeksync show 2027-W12"


def test_own_pages_have_bedtimes_and_balances_with_their_cautions() -> None:
    """Information with its source, figures of one's own: neither is advice."""
    made = named(own(sample_plan.plan()).boxes)
    assert texts(made["sleep"]) == [
        "Ines: by 22:30 for 6.5 hours before “Lie-in over” (Thu 25 Mar)",
        "advice for adults: 7 hours or more (bulletin of 2015)",
    ]
    assert made["sleep"].caution == "Information, not advice."
    assert texts(made["money"]) == [
        "Tin box: £1,234.56 at the lowest, on Wed 24 Mar",
        "side business: £1,234.56 in, £66.00 out",
    ]
    assert made["money"].caution.endswith("information, not advice.")
    assert texts(made["lighter"])[0] == "Dov, 27\u2009–\u200928 Mar 2027: after the fever"


def test_own_pages_name_what_is_only_for_some() -> None:
    """Proposals by name, and who may see the rest; nothing that is on the common page, too."""
    made = named(own(sample_plan.plan()).boxes)
    assert [line.note for line in made["own-meets"].lines] == ["only for Ines"]
    assert texts(made["own-proposed"])[0].startswith("Secret plan: Fri 26 Mar 09:00")
    assert texts(made["own-proposed"])[1:] == [
        "priority: Secret plan: Sat 27 Mar",
        "Secret journal: Fri 26 Mar",
    ]
    assert texts(made["own-carried"]) == ["Secret plan: carried 2 weeks"]
    assert texts(made["own-coming-up"]) == ["begin Fri 26 Mar: Choose it: Secret gift (Thu 8 Apr)"]
    assert [line.note for line in made["own-changes"].lines] == ["only for Ines"]
    assert own(None).boxes == ()


def month(spans: tuple[MonthSpan, ...] | None = None) -> MonthPage:
    """The overview of March, with those spans in the row of week 12."""
    plan = sample_week.month(Month(2027, 3))
    if spans is not None:
        row = next(index for index, (week, _) in enumerate(plan.weeks) if week == sample_week.W12)
        plan = replace(
            plan, spans=tuple(spans if index == row else () for index in range(len(plan.weeks)))
        )
    return month_page(INPUTS, WORDS, plan)


def test_ribbons_run_over_the_days() -> None:
    """Length and title on the first day of a row, the rest of the lane kept free for it."""
    week = next(one for one in month().weeks if one.id == "2027-W12")
    lanes = [[lane and (lane.title, lane.days) for lane in box.lanes] for box in week.days]
    assert lanes[3] == [None, None]
    assert lanes[4] == [("Easter break", 3), ("Cousin Tamsin staying", 3)]
    assert {pair[1] for pair in lanes[5] if pair} == {0}
    assert all("Tamsin" not in line.title for box in week.days for line in box.all_day)
    assert all(box.term == "" for box in week.days[4:])
    next_week = next(one for one in month().weeks if one.id == "2027-W13")
    ribbon = next(lane for lane in next_week.days[0].lanes if lane)
    assert (ribbon.title, ribbon.days, ribbon.from_before) == ("Cousin Tamsin staying", 1, True)


def test_lanes_are_bounded_and_nothing_is_lost() -> None:
    """What lies in a fourth lane stands in its days as before."""
    week = sample_week.spread()
    tamsin = next(one.occurrence for one in week.days[4].occurrences if one.part is None)
    spans = (
        *(MonthSpan(f"Fair {lane}", day(4), day(6), lane) for lane in range(MOST_LANES)),
        MonthSpan(tamsin.title, day(4), day(6), MOST_LANES, occurrence=tamsin),
    )
    made = next(one for one in month(spans).weeks if one.id == "2027-W12")
    assert [len(box.lanes) for box in made.days] == [MOST_LANES] * 7
    assert [line.title for line in made.days[4].all_day] == ["Cousin Tamsin staying"]


def test_a_month_strikes_through_what_was_called_off() -> None:
    """In its day and over several days; what is on is not struck through."""
    week = sample_week.spread()
    tamsin = next(one.occurrence for one in week.days[4].occurrences if one.part is None)
    gone = replace(tamsin, cancelled=True)
    spans = (
        MonthSpan(tamsin.title, day(4), day(6), 0, occurrence=tamsin),
        MonthSpan(gone.title, day(0), day(2), 1, occurrence=gone),
    )
    made = next(one for one in month(spans).weeks if one.id == "2027-W12")
    lanes = [lane for box in (made.days[0], made.days[4]) for lane in box.lanes if lane]
    assert [lane.cancelled for lane in lanes] == [True, False]
    assert not any(line.cancelled for box in made.days for line in box.events)


def test_a_month_says_what_comes_up() -> None:
    """What everybody may see of it; without any there is no box."""
    box = month().coming_up
    assert box is not None
    assert len(box.lines) == 2
    bare = replace(sample_week.month(Month(2027, 3)), coming_up=())
    assert month_page(INPUTS, WORDS, bare).coming_up is None
