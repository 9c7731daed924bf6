"""An evening as it stands: what is left of the last week, and the week to come."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import chain

from weeksync.errors import EditRefused
from weeksync.model.chosen import WeekFile
from weeksync.model.fields import MarkKind
from weeksync.model.files import Lesson
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.spread import CellState, Day, Spread
from weeksync.model.week import IsoWeek, days_between
from weeksync.plan import Planner, views
from weeksync.plan.money import OVERDUE_DAYS
from weeksync.plan.reserved import without_amount
from weeksync.serve.desk import Sender
from weeksync.site.plan_evening_facts import (
    MARKS,
    Answers,
    Blank,
    Closing,
    Evening,
    LooseEnd,
    ToMakeUp,
)
from weeksync.workflow.access import access_of
from weeksync.workflow.build import Window, week_of
from weeksync.workflow.carry import Waiting, waiting
from weeksync.workflow.context import Context
from weeksync.workflow.evening_reasons import own, own_reasons
from weeksync.workflow.kept_pages import templates_of
from weeksync.workflow.review import standing_answers
from weeksync.workflow.show import planned

NO_FILE = WeekFile(format=1)


def evening_of(context: Context, week: IsoWeek, sender: Sender) -> Evening:
    """All that the page of `week` says to the sender; UsageError where the week is over."""
    person = sender.person
    last = week.shifted(-1)
    left = waiting(context, week, ending=last)
    gathered, whole = planned(context, week)
    planner = gathered.planner
    before = _seen(week_of(context, planner, last), person)
    open_tasks = planner.open_tasks()
    known = {one.id: one for one in (*open_tasks, *(one.task for one in left.tasks))}
    spread, is_kept = own_reasons(_seen(whole, person), known)
    loads = spread.plan.loads if spread.plan is not None else ()
    settled = {one.what for one in _file(context, last).settled}
    closing = _closing(context, last)
    return Evening(
        config=context.config,
        language=context.language,
        templates=templates_of(context),
        today=context.today,
        week=week,
        last=last,
        person=person,
        can_unlock=person is None and bool(access_of(context).pins()),
        before=before,
        spread=spread,
        written=_file(context, week),
        open_tasks=tuple(one for one in open_tasks if _may(one.only_for, person)),
        loose=tuple(
            replace(one, proposed=own(one.proposed, loads, known)) if one.proposed else one
            for one in _loose(left, person)
            if f"task:{one.task.id}" not in settled
        ),
        is_kept=is_kept,
        blanks=()
        if MARKS in settled or closing.at is not None
        else tuple(_blanks(before, context.today)),
        to_make_up=tuple(
            one
            for one in _to_make_up(context, planner, before, spread)
            if f"lesson:{one.lesson.id}" not in settled
        ),
        bills=tuple(
            one
            for one in _bills(context, planner, before, person)
            if f"bill:{one.id}/{one.due}" not in settled
        ),
        answers=_answers(context, last, person),
        closing=closing,
        was=dict(tokens(context)),
        in_file=frozenset(one.id for one in context.files.tasks if one.open),
        pages=frozenset(Window.of(context).weeks) | frozenset(context.archive.weeks),
    )


def _file(context: Context, week: IsoWeek) -> WeekFile:
    return context.files.weeks.get(week, NO_FILE)


def _may(only_for: Sequence[str], person: str | None) -> bool:
    return not only_for or person in only_for


def _loose(left: Waiting, person: str | None) -> Iterator[LooseEnd]:
    for one in left.tasks:
        if _may(one.task.only_for, person):
            yield LooseEnd(one.task, one.due, one.proposed, one.in_file, one.repeats)


# What the sender may see


def _seen(spread: Spread, person: str | None) -> Spread:
    """The week as everybody may see it, or with what is only for `person`, too.

    Its amounts stay only for a person; a diary is nobody's plan.
    """
    if person is None:
        return views.common(spread)
    plan = spread.plan
    if plan is not None and plan.proposal is not None:
        made = plan.proposal
        plan = replace(
            plan,
            proposal=replace(
                made,
                tasks=tuple(one for one in made.tasks if _may(one.only_for, person)),
                priorities=tuple(one for one in made.priorities if _may(one.only_for, person)),
                habits=tuple(one for one in made.habits if _may(one.only_for, person)),
                breaks=tuple(one for one in made.breaks if _may(one.only_for, person)),
            ),
        )
    if plan is not None:
        plan = replace(
            plan,
            clashes=tuple(one for one in plan.clashes if _may(one.only_for, person)),
            hand_overs=tuple(one for one in plan.hand_overs if _may(one.only_for, person)),
            coming_up=tuple(one for one in plan.coming_up if _may(one.only_for, person)),
        )
    return replace(
        spread,
        days=tuple(_day(day, person) for day in spread.days),
        habits=tuple(one for one in spread.habits if _may(one.only_for, person)),
        undated=tuple(one for one in spread.undated if _may(one.only_for, person)),
        plan=plan,
    )


def _day(day: Day, person: str) -> Day:
    return replace(
        day,
        priorities=tuple(one for one in day.priorities if _may(one.only_for, person)),
        occurrences=tuple(
            one
            for one in day.occurrences
            if _may(one.occurrence.only_for, person) and not one.occurrence.journal
        ),
        tasks=tuple(one for one in day.tasks if _may(one.only_for, person)),
        money=tuple(
            one if one.person in (None, person) else without_amount(one)
            for one in day.money
            if _may(one.only_for, person)
        ),
        check_ins=(),
    )


# The last week


def _blanks(before: Spread, today: date) -> Iterator[Blank]:
    """Habits with days that are over and of which nobody wrote anything.

    Not those of n days a week: no day of theirs can be missed by itself.
    """
    for row in before.habits:
        if row.times_a_week is not None or row.kind is MarkKind.SCALE:
            continue  # a step of a scale cannot be missed either
        days = tuple(
            cell.day
            for cell in row.cells
            if cell.state is CellState.NOT_RECORDED and cell.day < today
        )
        if days:
            yield Blank(row, days)


def _to_make_up(
    context: Context, planner: Planner, before: Spread, spread: Spread
) -> Iterator[ToMakeUp]:
    """Subjects with lessons to make up for which no day is given yet."""
    tallies = before.plan.lessons if before.plan is not None else ()
    for tally in tallies:
        lesson = next(
            (
                one
                for one in context.files.lessons
                if (one.child, one.subject) == (tally.child, tally.subject)
            ),
            None,
        )
        if lesson is None:
            continue
        given = sum(day >= context.today for day in lesson.make_up)
        count = tally.to_make_up - given
        if count > 0:
            days = tuple(map(planner.day, _free_days(context, lesson, spread)))
            yield ToMakeUp(lesson, count, days)


def _free_days(context: Context, lesson: Lesson, spread: Spread) -> Iterator[date]:
    """Days of the week to come and the one after it on which the lesson is not taught anyway."""
    first = spread.days[0].date
    taught = {one.number for one in lesson.days}
    for day in days_between(first, first + timedelta(days=13)):
        if day >= context.today and day not in lesson.make_up and day.weekday() not in taught:
            yield day


def _bills(
    context: Context, planner: Planner, before: Spread, person: str | None
) -> Iterator[MoneyItem]:
    """Bills paid by hand that were to be paid up to the end of the last week, and are not.

    Of a last week that is still to come only what is to be paid in this one.
    """
    first = context.today - timedelta(days=OVERDUE_DAYS)
    this = context.rule.days(context.rule.week_of(context.today))[-1]
    for day in days_between(first, max(min(before.days[-1].date, this), first)):
        for item in planner.day(day).money:
            by_hand = item.kind is MoneyKind.BILL and not item.collected
            if by_hand and item.paid_on is None and _may(item.only_for, person):
                yield item if person is not None else replace(item, amount=None)


def _answers(context: Context, last: IsoWeek, person: str | None) -> Answers:
    questions = context.config.review.questions
    known = {one.id for one in context.config.people}
    by = dict.fromkeys(
        one.person
        for one in context.files.answers
        if one.week == str(last) and one.question in questions and one.person in known
    )
    if person is None:
        return Answers(questions, by=tuple(by))
    try:
        held = standing_answers(context, person, last)
    except EditRefused:
        return Answers(questions, by=tuple(by))
    return Answers(questions, {one: held.to(one) for one in questions}, held.seen, tuple(by))


def _closing(context: Context, last: IsoWeek) -> Closing:
    end = context.rule.days(last)[-1]
    if last in context.archive.weeks:
        found = context.archive.get(last)
        at = found.closed_at if found is not None else context.now
        return Closing(at.astimezone(context.tz), day=end)
    days = context.rule.days(last)
    is_bare = last not in context.files.weeks and not any(
        one.day in days for one in context.files.marks
    )
    return Closing(None, end <= context.today, end, end == context.today, is_bare)


# What something was when the page was made


def tokens(context: Context) -> Iterator[tuple[str, str]]:
    """What stands for a thing → a digest of all that the files say of it.

    It is sent back with what becomes of the thing: what somebody else has changed meanwhile is
    told by it, and what they changed beside it is not in the way.
    """
    files = context.files
    places: dict[str, list[object]] = {}
    for file in files.weeks.values():
        for one in file.placed:
            places.setdefault(one.task, []).append(one)
    tasks = {one.id: one for one in files.tasks}
    for name in dict.fromkeys(chain(tasks, places)):
        yield f"task:{name}", digest(tasks.get(name), places.get(name, []))
    for lesson in files.lessons:
        yield f"lesson:{lesson.id}", digest(lesson, [])
    for bill in files.bills:
        yield f"bill:{bill.id}", digest(bill, [])


def digest(thing: object, places: Iterable[object]) -> str:
    """Sixteen hexadecimal digits for what is said of a thing."""
    said = "\n".join((repr(thing), *map(repr, places)))
    return hashlib.sha256(said.encode()).hexdigest()[:16]
