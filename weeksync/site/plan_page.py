"""What of a plan stands on common pages outside of their days."""

from __future__ import annotations

from weeksync.message import message
from weeksync.model.engagement import ClashKind
from weeksync.model.spread import MonthPlan, Spread
from weeksync.site.parts import more_text
from weeksync.site.plan_boxes import PlanBoxes, box_of, coming
from weeksync.site.plan_days import since
from weeksync.site.record import LessonBox, LessonRow, PlanBox
from weeksync.site.words import Words

MOST_LESSONS = 16
"""Rows of the lessons at most: children times subjects."""

MOST_CLASHES = 4
"""Clashes among what is to decide; all of them stand in their days."""

MOST_DECISIONS = 12
"""Lines of what is to decide, clashes among them."""


def boxes(words: Words, spread: Spread) -> tuple[PlanBox, ...]:
    """The boxes of a common page: nothing only for some, no bedtimes, no sums of money."""
    if spread.plan is None:
        return ()
    made = PlanBoxes(words, spread, spread.plan, lambda only_for: not only_for)
    every = (
        made.meets(),
        made.without_place(),
        made.proposed(),
        made.carried(),
        made.coming_up(),
        made.worked(),
        made.lighter(),
        made.changes(),
    )
    return tuple(box for box in every if box.lines)


def lessons(words: Words, spread: Spread) -> LessonBox | None:
    """The lessons of the term so far."""
    plan = spread.plan
    if plan is None or not (plan.lessons or plan.attendance):
        return None
    number = words.language.number
    rows = [
        LessonRow(
            child=words.person(one.child),
            subject=one.subject,
            planned=number(one.planned),
            done=number(one.done),
            to_make_up=number(one.to_make_up),
            not_recorded=number(one.not_recorded),
        )
        for one in plan.lessons
    ]
    return LessonBox(
        rows=tuple(rows[:MOST_LESSONS]),
        more=more_text(words, len(rows) - MOST_LESSONS, str(spread.week)),
        attendance=tuple(map(words.say.attendance, plan.attendance)),
    )


def decisions(words: Words, spread: Spread) -> tuple[tuple[str, ...], str]:
    """What needs a decision, and how much more there is: clashes first, since they have a time.

    A clash of a day that is over needs none.
    """
    found = [words.plan_text(one) for one in spread.decisions]
    if spread.plan is not None:
        first = since(words, spread.plan)
        clashes = [
            one
            for one in spread.plan.clashes
            if one.kind is ClashKind.CLASH
            and not one.only_for
            and first is not None
            and one.day >= first
        ]
        clashes.sort(key=lambda one: one.at.timestamp())
        said = list(dict.fromkeys(map(words.say.clash, clashes)))
        found = said[:MOST_CLASHES] + found
    more = more_text(words, len(found) - MOST_DECISIONS, str(spread.week))
    return tuple(found[:MOST_DECISIONS]), more


def month_coming_up(words: Words, plan: MonthPlan) -> PlanBox | None:
    """What is to be begun in a month or soon after."""
    found = [coming(words, one) for one in plan.coming_up if not one.only_for]
    if not found:
        return None
    return box_of(words, "coming-up", message("Coming up"), found, str(plan.month))
