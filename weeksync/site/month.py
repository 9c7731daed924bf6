"""The record of a month overview."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from weeksync.message import counted, message
from weeksync.model.money_item import MoneyItem
from weeksync.model.spread import Day, DayOccurrence, MonthPlan, MonthSpan
from weeksync.model.week import IsoWeek, Month
from weeksync.site.frame import frame
from weeksync.site.inputs import SiteInput
from weeksync.site.lines import by_kind, money_word
from weeksync.site.parts import term_text
from weeksync.site.plan_page import month_coming_up
from weeksync.site.record import MonthDay, MonthEvent, MonthPage, MonthRibbon, MonthWeek
from weeksync.site.review_links import review_link
from weeksync.site.words import Words

MOST = 5
"""Occurrences shown in one day of the overview; the rest is counted and is on the week page."""

MOST_LANES = 3
"""Lanes for what lies over several days; what is in others stands in its days."""


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
        weeks=tuple(
            _Week(words, plan.month, week, days, plan.spans[row] if plan.spans else ()).record()
            for row, (week, days) in enumerate(plan.weeks)
        ),
        areas=tuple(mark for area in words.config.areas if (mark := words.area(area.id))),
        review=review_link(inputs, words, plan.month),
        coming_up=month_coming_up(words, plan),
    )


class _Week:
    """One row of the overview."""

    def __init__(
        self,
        words: Words,
        month: Month,
        week: IsoWeek,
        days: tuple[Day, ...],
        spans: Sequence[MonthSpan],
    ) -> None:
        self._words = words
        self._month = month
        self._week = week
        self._days = days
        self._spans = [one for one in spans if one.lane < MOST_LANES and not one.only_for]
        self._lanes = 1 + max((one.lane for one in self._spans), default=-1)
        self._laid = {one.occurrence for one in self._spans if one.occurrence is not None}

    def record(self) -> MonthWeek:
        first = self._days[0].date
        return MonthWeek(
            id=str(self._week),
            number=self._words.number(first),
            label=self._words.week_label(first),
            href=self._words.week_href(self._week),
            days=tuple(self._day(index) for index in range(len(self._days))),
        )

    def _day(self, index: int) -> MonthDay:
        day, words = self._days[index], self._words
        shown = [one for one in day.occurrences if not one.occurrence.only_for]
        whole = [one for one in shown if one.part is None and one.occurrence not in self._laid]
        timed = [one for one in shown if one.part is not None and not one.from_before]
        room = max(MOST - len(whole), 0)
        more = max(len(whole) - MOST, 0) + max(len(timed) - room, 0)
        href = words.week_href(self._week)
        return MonthDay(
            date=day.date.isoformat(),
            number=words.language.digits(str(day.date.day)),
            weekday=words.language.weekday(day.date.weekday(), "abbreviated"),
            label=words.language.date(day.date, "full"),
            href=f"{href}#d-{day.date.isoformat()}" if href else "",
            outside=Month.of(day.date) != self._month,
            weekend=day.date.weekday() in words.weekend,
            holidays=day.holidays,
            term=self._term(index),
            money=tuple(
                (item.kind.value, _money(words, item))
                for item in by_kind(day.money)
                if not item.only_for
            ),
            all_day=tuple(_event(words, one) for one in whole[:MOST]),
            events=tuple(_event(words, one) for one in timed[:room]),
            more=words.text(counted("+{count} more", "+{count} more", more)) if more else "",
            lanes=tuple(self._lane(lane, day.date) for lane in range(self._lanes)),
        )

    def _lane(self, lane: int, day: date) -> MonthRibbon | None:
        """What lies in a lane on a day; its length stands on its first day in the week."""
        for one in self._spans:
            if one.lane == lane and one.first <= day <= one.last:
                occurrence = one.occurrence
                return MonthRibbon(
                    title=one.title.strip() or self._words.no_title(),
                    area=self._words.area(occurrence.area) if occurrence is not None else None,
                    days=(one.last - one.first).days + 1 if day == one.first else 0,
                    from_before=one.from_before,
                    goes_on=one.goes_on,
                    ground=occurrence is None,
                    cancelled=occurrence is not None and occurrence.cancelled,
                )
        return None

    def _term(self, index: int) -> str:
        """The term where a row or a term begins; said once, it holds until the next.

        A break from lessons lies over its days as a ribbon.
        """
        day = self._days[index]
        if any(one.occurrence is None and one.first <= day.date <= one.last for one in self._spans):
            return ""
        here = term_text(self._words, day)
        return "" if index and here == term_text(self._words, self._days[index - 1]) else here


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
        cancelled=shown.occurrence.cancelled,
    )
