"""The record of a month overview."""

from __future__ import annotations

from datetime import datetime

from weeksync.message import counted, message
from weeksync.model.money_item import MoneyItem
from weeksync.model.spread import Day, DayOccurrence, MonthPlan
from weeksync.model.week import IsoWeek, Month
from weeksync.site.frame import frame
from weeksync.site.inputs import SiteInput
from weeksync.site.lines import money_word
from weeksync.site.parts import term_text
from weeksync.site.record import MonthDay, MonthEvent, MonthPage, MonthWeek
from weeksync.site.words import Words

MOST = 5
"""Occurrences shown in one day of the overview; the rest is counted and is on the week page."""


def month_page(inputs: SiteInput, words: Words, plan: MonthPlan) -> MonthPage:
    """The overview of a month; nothing that is only for some, no amounts."""
    order = [(words.rule.first_weekday + offset) % 7 for offset in range(7)]
    language = words.language
    return MonthPage(
        **frame(inputs, words, "month", words.month_name(plan.month)),
        id=str(plan.month),
        previous=words.month_link(plan.month.shifted(-1)),
        next=words.month_link(plan.month.shifted(1)),
        weekdays=tuple(
            (language.weekday(day), language.weekday(day, "abbreviated")) for day in order
        ),
        weeks=tuple(_week(words, plan.month, week, days) for week, days in plan.weeks),
        areas=tuple(mark for area in words.config.areas if (mark := words.area(area.id))),
    )


def _week(words: Words, month: Month, week: IsoWeek, days: tuple[Day, ...]) -> MonthWeek:
    first = days[0].date
    return MonthWeek(
        id=str(week),
        number=words.number(first),
        label=words.week_label(first),
        href=words.week_href(week),
        days=tuple(_day(words, month, week, days, index) for index in range(len(days))),
    )


def _day(words: Words, month: Month, week: IsoWeek, days: tuple[Day, ...], index: int) -> MonthDay:
    day = days[index]
    shown = [one for one in day.occurrences if not one.occurrence.only_for]
    whole = [one for one in shown if one.part is None]
    timed = [one for one in shown if one.part is not None and not one.from_before]
    room = max(MOST - len(whole), 0)
    more = max(len(whole) - MOST, 0) + max(len(timed) - room, 0)
    href = words.week_href(week)
    return MonthDay(
        date=day.date.isoformat(),
        number=str(day.date.day),
        weekday=words.language.weekday(day.date.weekday(), "abbreviated"),
        label=words.language.date(day.date, "full"),
        href=f"{href}#d-{day.date.isoformat()}" if href else "",
        outside=Month.of(day.date) != month,
        weekend=day.date.weekday() in words.weekend,
        holidays=day.holidays,
        term=_term(words, days, index),
        money=tuple(
            (item.kind.value, _money(words, item)) for item in day.money if not item.only_for
        ),
        all_day=tuple(_event(words, one) for one in whole[:MOST]),
        events=tuple(_event(words, one) for one in timed[:room]),
        more=words.text(counted("+{count} more", "+{count} more", more)) if more else "",
    )


def _term(words: Words, days: tuple[Day, ...], index: int) -> str:
    """The term where a row or a term begins; said once, it holds until the next."""
    here = term_text(words, days[index])
    return "" if index and here == term_text(words, days[index - 1]) else here


def _money(words: Words, item: MoneyItem) -> str:
    """Bill: Broadband. No amount: the overview hangs where everybody reads."""
    word = money_word(words, item.kind)
    return words.text(message("{kind}: {title}", kind=word, title=item.title))


def _event(words: Words, shown: DayOccurrence) -> MonthEvent:
    start = shown.occurrence.start
    return MonthEvent(
        times=words.language.time(start) if isinstance(start, datetime) else "",
        title=shown.occurrence.title.strip() or words.no_title(),
        area=words.area(shown.occurrence.area),
        from_before=shown.from_before,
    )
