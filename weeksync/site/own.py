"""The record of a page of one's own: what of a week is on no common page."""

from __future__ import annotations

from weeksync.message import message
from weeksync.model.check_in import MOST_SIGNS
from weeksync.model.household import CheckIn
from weeksync.model.spread import Day, PlanTask, Spread
from weeksync.model.week import IsoWeek
from weeksync.site.enter import OWN, enter_link
from weeksync.site.frame import frame
from weeksync.site.habits import habit_line
from weeksync.site.inputs import SiteInput
from weeksync.site.last_mark import last_mark
from weeksync.site.lines import event_line, money_line, task_line
from weeksync.site.plan_own import own_boxes
from weeksync.site.prose import prose
from weeksync.site.record import CheckInBox, EventLine, JournalBox, Link, NoteBox, OwnWeekPage
from weeksync.site.review_links import review_link
from weeksync.site.week import title_of
from weeksync.site.words import Words


def own_week_page(inputs: SiteInput, words: Words, spread: Spread, week: IsoWeek) -> OwnWeekPage:
    """Check-ins, amounts, notes and what is only for some, of the whole spread of a week."""
    first, last = spread.days[0].date, spread.days[-1].date
    label, dates = words.week_label(first), words.language.span(first, last)
    tasks = list({task.id: task for task in _tasks(spread)}.values())
    return OwnWeekPage(
        **frame(inputs, words, "own-week", label, title_of(words, label, dates)),
        id=str(week),
        dates=dates,
        previous=_link(inputs, words, week.shifted(-1)),
        next=_link(inputs, words, week.shifted(1)),
        enter=enter_link(inputs, words, spread, OWN),
        review=review_link(inputs, words, week),
        decisions=tuple(words.plan_text(one) for _, one in spread.own_decisions),
        check_ins=tuple(
            check_in_box(words, one) for day in spread.days for one in day.check_ins if says(one)
        ),
        money=tuple(
            money_line(words, item, amounts=True) for day in spread.days for item in day.money
        ),
        events=tuple(line for day in spread.days for line in _events(words, day)),
        tasks=tuple(task_line(words, task) for task in tasks if task.only_for),
        habits=tuple(habit_line(words, row) for row in spread.habits if row.only_for),
        weekdays=tuple(
            words.language.weekday(day.date.weekday(), "abbreviated") for day in spread.days
        ),
        notes=prose(spread.notes),
        task_notes=tuple(
            NoteBox(task.title, prose(task.notes)) for task in tasks if task.notes.strip()
        ),
        appointment_notes=_appointment_notes(words, spread),
        journal=_journal(words, spread),
        boxes=own_boxes(words, spread),
        last_mark=last_mark(inputs, spread, own=True),
    )


def _appointment_notes(words: Words, spread: Spread) -> tuple[NoteBox, ...]:
    """Notes of what was entered by hand; each once, however many days it takes."""
    found = {
        (one.uid, one.identity): one
        for day in spread.days
        for one in (shown.occurrence for shown in day.occurrences)
        if one.source == "" and one.notes.strip()
    }
    return tuple(
        NoteBox(one.title.strip() or words.no_title(), prose(one.notes)) for one in found.values()
    )


def _journal(words: Words, spread: Spread) -> tuple[JournalBox, ...]:
    """Entries of calendars' journals (RFC 5545 section 3.6.3), by day; plain text as it came."""
    return tuple(
        JournalBox(words.stamp(day.date), one.title.strip() or words.no_title(), one.notes.strip())
        for day in spread.days
        for one in (shown.occurrence for shown in day.occurrences)
        if one.journal
    )


def _tasks(spread: Spread) -> list[PlanTask]:
    return [*(task for day in spread.days for task in day.tasks), *spread.undated]


def _link(inputs: SiteInput, words: Words, week: IsoWeek) -> Link | None:
    """A link within the pages of one's own; they never lead to the common site or back."""
    if week not in inputs.elsewhere and all(spread.week != week for spread in inputs.own_weeks):
        return None
    return Link(f"{week}.html", words.week_label(words.rule.spread_start(week)))


def _events(words: Words, day: Day) -> list[tuple[str, EventLine]]:
    weekday = words.language.date(day.date, "weekday day month")
    return [(weekday, event_line(words, one)) for one in day.occurrences if one.occurrence.only_for]


def says(check_in: CheckIn) -> bool:
    """Whether anything is left of it: one whose fields were all taken out is not shown."""
    return any((check_in.energy, *(getattr(check_in, key) for key in (*MOST_SIGNS, "text"))))


def check_in_box(words: Words, check_in: CheckIn) -> CheckInBox:
    """A check-in as a page shows it."""
    energy = ""
    if check_in.energy is not None:
        energy = words.text(message("energy {number}", number=check_in.energy))
    return CheckInBox(
        day=words.stamp(check_in.day),
        person=words.person(check_in.person),
        feeling=check_in.feeling,
        energy=energy,
        why=check_in.why,
        help=check_in.help,
        gratitude=check_in.gratitude,
        text=prose(check_in.text),
    )
