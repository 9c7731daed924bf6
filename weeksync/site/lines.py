"""Lines of a day: occurrences, tasks, money and lessons as records of the page."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from typing import assert_never

from weeksync.message import counted, message
from weeksync.model.elsewhere import OtherClock
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.spread import BreakItem, DayOccurrence, LessonItem, PlanTask
from weeksync.site.prose import safe_link
from weeksync.site.record import BreakLine, EventLine, LessonLine, MeetLine, MoneyLine, TaskLine
from weeksync.site.words import Words


def event_line(words: Words, shown: DayOccurrence, meets: tuple[MeetLine, ...] = ()) -> EventLine:
    """An occurrence as it lies in one day, and how it meets others there."""
    one = shown.occurrence
    return EventLine(
        title=one.title.strip() or words.no_title(),
        start=one.start.isoformat(),
        end=one.end.isoformat(),
        times=times(words, shown),
        elsewhere=elsewhere(words, shown),
        area=words.area(one.area),
        persons=words.persons(one.persons),
        place=one.place.strip(),
        link=safe_link(one.link),
        from_before=shown.from_before,
        goes_on=shown.goes_on,
        tentative=one.tentative,
        cancelled=one.cancelled,
        only_for=words.names(one.only_for) if one.only_for else "",
        own=one.uid if not one.source else "",
        meets=meets,
    )


def times(words: Words, shown: DayOccurrence) -> str:
    """The times to show on that day: both ends, or the one that lies in it."""
    start, end = shown.occurrence.start, shown.occurrence.end
    if not (isinstance(start, datetime) and isinstance(end, datetime)):
        return ""
    if shown.from_before:
        if shown.goes_on:
            return words.text(message("the whole day"))
        return words.text(message("until {time}", time=words.language.time(end)))
    if end == start:
        return words.language.time(start)
    if end.date() - start.date() > timedelta(days=1):
        return words.text(message("from {time}", time=words.language.time(start)))
    return words.language.times(start, end)


def elsewhere(words: Words, shown: DayOccurrence) -> tuple[str, ...]:
    """The start on other clocks: that of the event's own zone, those of persons who live away."""
    start = shown.occurrence.start
    if not isinstance(start, datetime):
        return ()
    clocks = words.clocks(shown)
    if not clocks:
        return ()
    day = start.astimezone(words.zone).date()
    return tuple(dict.fromkeys(_on_clock(words, clock, day) for clock in clocks))


def _on_clock(words: Words, clock: OtherClock, day: date) -> str:
    """What another clock shows, with its weekday where that is not that of `day`."""
    time, place = words.language.time(clock.start), words.language.city(clock.zone)
    if clock.start.date() == day:
        return words.text(message("{time} in {place}", time=time, place=place))
    weekday = words.language.weekday(clock.start.weekday(), "abbreviated")
    return words.text(
        message("{weekday} {time} in {place}", weekday=weekday, time=time, place=place)
    )


def task_line(words: Words, task: PlanTask) -> TaskLine:
    """A task."""
    return TaskLine(
        id=task.id,
        title=task.title.strip() or words.no_title(),
        area=words.area(task.area),
        persons=words.persons(task.persons),
        time=words.language.time(task.start) if task.start else "",
        estimate=words.duration(task.minutes if task.minutes is not None else task.estimate),
        due=_due(words, task),
        carried=words.text(counted("carried {count} week", "carried {count} weeks", task.carried))
        if task.carried
        else "",
        waits_for=task.waits_for,
        overdue=task.overdue,
        done=task.done is not None,
        dropped=task.dropped is not None,
        only_for=words.names(task.only_for) if task.only_for else "",
        own=not task.source,
        repeats=task.repeats,
        ticks=task.ticks,
    )


def _due(words: Words, task: PlanTask) -> str:
    if task.due_at is not None:
        at = task.due_at.astimezone(words.zone)
        return words.text(message("due {when}", when=words.language.moment(at)))
    if task.due is None or task.due == task.shown_on:
        return ""
    when = words.language.date(task.due, "weekday day month")
    return words.text(message("due {when}", when=when))


def by_kind(items: Iterable[MoneyItem]) -> list[MoneyItem]:
    """Bills first, then pay, then saving steps."""
    return sorted(items, key=lambda item: list(MoneyKind).index(item.kind))


def money_line(words: Words, item: MoneyItem, *, amounts: bool = False) -> MoneyLine:
    """A bill, pay day or saving step; how much only where `amounts` are wanted."""
    by_hand = item.kind is MoneyKind.BILL and not item.collected and item.paid_on is None
    return MoneyLine(
        kind=item.kind.value,
        label=money_word(words, item.kind),
        title=item.title,
        day=words.stamp(item.day),
        moved=_moved(words, item.due) if item.moved else "",
        by_hand=words.text(message("pay by hand")) if by_hand else "",
        paid=words.text(message("paid")) if item.paid_on is not None else "",
        amount=_amount(words, item) if amounts else "",
        only_for=words.names(item.only_for) if item.only_for else "",
    )


def money_word(words: Words, kind: MoneyKind) -> str:
    """What moves, as a word."""
    if kind is MoneyKind.BILL:
        return words.text(message("Bill"))
    if kind is MoneyKind.PAY:
        return words.text(message("Pay day"))
    if kind is MoneyKind.STEP:
        return words.text(message("Saving step"))
    assert_never(kind)


def _moved(words: Words, due: date) -> str:
    return words.text(
        message("moved from {when}", when=words.language.date(due, "weekday day month"))
    )


def _amount(words: Words, item: MoneyItem) -> str:
    amount = item.paid_amount if item.paid_amount is not None else item.amount
    if amount is None:
        return ""
    if item.currency is None:
        return words.language.number(amount)
    return words.language.money(amount, item.currency)


def lesson_line(words: Words, lesson: LessonItem) -> LessonLine:
    """A lesson of a child."""
    state = "open" if lesson.done is None else "done" if lesson.done else "missed"
    return LessonLine(
        child=words.person(lesson.child),
        subject=lesson.subject,
        minutes=words.duration(lesson.minutes),
        make_up=words.text(message("make-up lesson")) if lesson.make_up else "",
        state=state,
        id=lesson.id,
        raw={"done": "yes", "missed": "no"}.get(state, ""),
        length=str(lesson.minutes) if lesson.minutes is not None else "",
    )


def break_line(words: Words, item: BreakItem) -> BreakLine:
    """A planned break, with its id and its mark."""
    return BreakLine(
        text=break_text(words, item),
        id=item.id,
        raw="" if item.done is None else "yes" if item.done else "no",
        person=item.person or "",
    )


def break_text(words: Words, item: BreakItem) -> str:
    """A planned break as one line."""
    start = words.language.time(datetime.strptime(item.start, "%H:%M").time())  # noqa: DTZ007
    length = words.duration(item.minutes)
    what = item.what.strip() or words.text(message("break"))
    if item.person is None:
        return words.text(message("{time}, {length}: {what}", time=start, length=length, what=what))
    return words.text(
        message(
            "{time}, {length}: {what} ({person})",
            time=start,
            length=length,
            what=what,
            person=words.person(item.person).name,
        )
    )
