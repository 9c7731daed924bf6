"""The record of a week page, from a spread."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta

from markupsafe import Markup

from weeksync.message import message
from weeksync.model.fields import DayPart
from weeksync.model.spread import Day, DayOccurrence, Spread
from weeksync.model.week import IsoWeek, Month
from weeksync.site.enter import enter_link
from weeksync.site.frame import frame
from weeksync.site.habits import habit_line
from weeksync.site.inputs import SiteInput
from weeksync.site.last_mark import last_mark
from weeksync.site.lines import break_line, by_kind, event_line, lesson_line, money_line, task_line
from weeksync.site.parts import more_text, part_name, term_text
from weeksync.site.plan_days import PlannedDays
from weeksync.site.plan_page import boxes, decisions, lessons
from weeksync.site.prose import prose
from weeksync.site.record import (
    DayBox,
    Link,
    PartBox,
    PriorityLine,
    RowLine,
    SmallMonth,
    SmallWeek,
    WeekPage,
)
from weeksync.site.review_links import review_link
from weeksync.site.words import Words


def week_page(inputs: SiteInput, words: Words, spread: Spread, week: IsoWeek) -> WeekPage:
    """The page of `week`; what is only for some is not on it, even were it in the spread."""
    first, last = spread.days[0].date, spread.days[-1].date
    label, dates = words.week_label(first), words.language.span(first, last)
    undated = [task for task in spread.undated if not task.only_for]
    most = words.config.site.most_a_day
    planned = PlannedDays(words, spread)
    to_decide, more_to_decide = decisions(words, spread)
    return WeekPage(
        **frame(inputs, words, "week", label, title_of(words, label, dates)),
        id=str(week),
        number=words.number(first),
        dates=dates,
        first=first.isoformat(),
        last=last.isoformat(),
        previous=words.week_link(week.shifted(-1)),
        next=words.week_link(week.shifted(1)),
        months=_months(words, first, last),
        decisions=to_decide,
        decisions_more=more_to_decide,
        days=tuple(_day(words, day, planned, first=day.date == first) for day in spread.days),
        habits=tuple(
            habit_line(words, row, planned.habit(row.id))
            for row in spread.habits
            if not row.only_for
        ),
        rows=_rows(spread),
        undated=tuple(task_line(words, task) for task in undated[:most]),
        undated_more=more_text(words, len(undated) - most, str(week)),
        notes=prose(spread.notes),
        areas=tuple(mark for area in words.config.areas if (mark := words.area(area.id))),
        persons=tuple(words.person(person.id) for person in words.config.people),
        small_month=_small_month(words, Month.of(week.thursday), week),
        boxes=boxes(words, spread),
        lessons=lessons(words, spread),
        enter=enter_link(inputs, words, spread),
        review=review_link(inputs, words, week),
        last_mark=last_mark(inputs, spread, own=False),
    )


def title_of(words: Words, label: str, dates: str) -> str:
    """A week as the window's title: Week 12, 22–28 Mar 2027."""
    return words.text(message("{week}, {dates}", week=label, dates=dates))


def _listed(occurrences: list[DayOccurrence], most: int) -> list[DayOccurrence]:
    """As many as a day lists, in their order.

    What begins on it before what only goes on, and of each source the first ones before the
    later ones of any: a calendar that is full does not hide the others.
    """
    if len(occurrences) <= most:
        return occurrences
    seen: Counter[str] = Counter()
    ranks = []
    for at, one in enumerate(occurrences):
        seen[one.occurrence.source] += 1
        ranks.append((one.from_before, seen[one.occurrence.source], at))
    return [occurrences[at] for at in sorted(at for _, _, at in sorted(ranks)[:most])]


def _months(words: Words, first: date, last: date) -> tuple[Link, ...]:
    months = dict.fromkeys((Month.of(first), Month.of(last)))
    return tuple(link for month in months if (link := words.month_link(month)))


def _day(words: Words, day: Day, planned: PlannedDays, *, first: bool) -> DayBox:
    occurrences = [one for one in day.occurrences if not one.occurrence.only_for]
    tasks = [task for task in day.tasks if not task.only_for]
    most = words.config.site.most_a_day
    more = max(len(occurrences) - most, 0) + max(len(tasks) - most, 0)
    occurrences, tasks = _listed(occurrences, most), tasks[:most]
    language, weekday = words.language, day.date.weekday()
    return DayBox(
        date=day.date.isoformat(),
        weekday=language.weekday(weekday),
        weekday_short=language.weekday(weekday, "abbreviated"),
        weekday_narrow=language.weekday(weekday, "narrow"),
        number=words.language.digits(str(day.date.day)),
        month=language.month(day.date.month) if first or day.date.day == 1 else "",
        label=language.date(day.date, "full"),
        weekend=weekday in words.weekend,
        holidays=day.holidays,
        term=term_text(words, day),
        notices=tuple(words.plan_text(problem.what) for problem in day.problems),
        all_day=tuple(event_line(words, one) for one in occurrences if one.part is None),
        money=tuple(money_line(words, item) for item in by_kind(day.money) if not item.only_for),
        priorities=tuple(
            PriorityLine(one.title, one.done) for one in day.priorities if not one.only_for
        ),
        parts=tuple(
            PartBox(
                part.value,
                part_name(words, part),
                tuple(
                    event_line(words, one, planned.meets(one, day.date))
                    for one in occurrences
                    if one.part is part
                ),
                tuple(task_line(words, task) for task in tasks if task.part is part),
                planned.proposed(day.date, part),
            )
            for part in DayPart
        ),
        tasks=tuple(task_line(words, task) for task in tasks if task.part is None),
        lessons=tuple(lesson_line(words, lesson) for lesson in day.lessons),
        breaks=tuple(break_line(words, one) for one in day.breaks),
        more=more_text(words, more, f"{day.date}/{day.date}"),
        loads=planned.loads(day.date),
        proposed_priorities=planned.priorities(day.date),
        proposed_breaks=planned.breaks(day.date),
        proposed_more=planned.proposed_more(day.date),
    )


def _rows(spread: Spread) -> tuple[RowLine, ...]:
    """Rows of one's own in the order in which the days name them first."""
    titles = dict.fromkeys(title for day in spread.days for title, _ in day.own)
    return tuple(
        RowLine(title, tuple(_cell(day, title) for day in spread.days)) for title in titles
    )


def _cell(day: Day, title: str) -> Markup:
    return prose(next((text for name, text in day.own if name == title), ""))


def _small_month(words: Words, month: Month, shown: IsoWeek) -> SmallMonth:
    start = words.rule.start(month.first)
    order = [(words.rule.first_weekday + offset) % 7 for offset in range(7)]
    weeks: list[SmallWeek] = []
    while start <= month.last:
        weeks.append(_small_week(words, start, month, shown))
        start += timedelta(days=7)
    return SmallMonth(
        name=words.month_name(month),
        href=words.month_href(month),
        weekdays=tuple(words.language.weekday(day, "narrow") for day in order),
        weeks=tuple(weeks),
    )


def _small_week(words: Words, start: date, month: Month, shown: IsoWeek) -> SmallWeek:
    week = words.rule.week_of(start)
    days = [start + timedelta(days=offset) for offset in range(7)]
    return SmallWeek(
        number=words.number(start),
        href="" if week == shown else words.week_href(week),
        shown=week == shown,
        days=tuple(
            (day.isoformat(), words.language.digits(str(day.day)), Month.of(day) != month)
            for day in days
        ),
    )
