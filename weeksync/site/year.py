"""The record of the page of a year."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import timedelta

from weeksync.message import Message, counted, message
from weeksync.model.review import SpanKind
from weeksync.model.year import Year, YearHabit, YearLesson, YearMoney, YearWeek
from weeksync.site.frame import frame
from weeksync.site.inputs import SiteInput
from weeksync.site.record import Link
from weeksync.site.record.year import YearCells, YearHead, YearLine, YearPage, YearTotal
from weeksync.site.review_links import SEARCH, key_link, year_link
from weeksync.site.words import Words

CELL = 10
"""Units of a cell; a week is seven of them wide."""

_FILLED = {"m": "M{x} 1h8v8h-8z", "p": "M{x} 4h8v2h-8z", "n": "M{c} 4h2v2h-2z"}
_DRAWN = {"x": "M{y} 8.5l7-7M{y} 1.5h7v7h-7z"}
_TO_COME = {"o": "M{y} 1.5h7v7h-7z"}
"""Shapes, so that colour says nothing alone: a full square, a bar, a dot; an open square that is
crossed out; a faint one."""

_STATES: tuple[tuple[str, Message], ...] = (
    ("m", message("marked")),
    ("x", message("missed")),
    ("n", message("not recorded")),
    ("p", message("paused")),
    ("o", message("still to come")),
)


def year_page(inputs: SiteInput, words: Words, year: Year, *, own: bool) -> YearPage:
    """The page of a year; `own` where it is in the tree of one's own.

    Nothing is left out here: what a common page must not show is not in its year.
    """
    return _Page(inputs, words, year, own=own).record()


class _Page:
    def __init__(self, inputs: SiteInput, words: Words, year: Year, *, own: bool) -> None:
        self._inputs, self._words, self._year, self._own = inputs, words, year, own
        self._mirrored = words.language.direction == "rtl"
        self._habits = tuple(_habits(year.weeks))
        self._known: dict[str, YearCells] = {}
        self._counted: dict[tuple[int, ...], str] = {}

    def record(self) -> YearPage:
        words, year = self._words, self._year
        heading = words.language.digits(f"{year.number:04}")
        title = words.text(message("The year {year}", year=heading))
        kind = "own-year" if self._own else "year"
        weeks = tuple(map(self._line, year.weeks))
        closed = sum(one.closed for one in year.weeks)
        return YearPage(
            **frame(self._inputs, words, kind, title),
            id=f"{year.number:04}",
            dates=words.language.span(
                year.weeks[0].first, year.weeks[-1].first + timedelta(days=6)
            ),
            previous=year_link(self._inputs, words, year.number - 1),
            next=year_link(self._inputs, words, year.number + 1),
            review=key_link(self._inputs, words, SpanKind.YEAR, f"{year.number:04}"),
            search=Link(SEARCH, words.text(message("Search")))
            if self._inputs.can_search and not self._own
            else None,
            private=self._own,
            heads=tuple(map(self._head, self._habits)),
            weeks=weeks,
            with_lessons=any(one.lessons for one in weeks),
            with_money=any(one.money for one in weeks),
            lessons=tuple(self._lesson_totals()),
            money=tuple(self._money_totals()),
            counted=words.text(
                counted(
                    "{closed} of {count} week is closed",
                    "{closed} of {count} weeks are closed",
                    len(weeks),
                    closed=closed,
                )
            ),
        )

    # Habits

    def _head(self, one: YearHabit) -> YearHead:
        signs = "".join(
            held.cells for week in self._year.weeks for held in week.habits if held.id == one.id
        )
        return YearHead(
            one.id,
            one.title,
            self._words.person(one.person),
            self._words.area(one.area),
            self._said(signs.replace("o", "")),
        )

    def _said(self, signs: str) -> str:
        """3 marked, 1 missed, 2 not recorded; of a thousand weeks few differ."""
        count = Counter(signs)
        key = tuple(count[sign] for sign, _ in _STATES)
        if key not in self._counted:
            self._counted[key] = self._words.language.joined(
                self._words.text(
                    message("{count} {state}", count=several, state=self._words.text(state))
                )
                for several, (_, state) in zip(key, _STATES, strict=True)
                if several
            )
        return self._counted[key]

    def _cells(self, habit: YearHabit | None) -> YearCells:
        signs = habit.cells if habit is not None else ""
        if signs not in self._known:
            self._known[signs] = YearCells(
                self._said(signs),
                "".join(self._paths(signs, _FILLED)),
                "".join(self._paths(signs, _DRAWN)),
                "".join(self._paths(signs, _TO_COME)),
            )
        return self._known[signs]

    def _paths(self, signs: str, shapes: dict[str, str]) -> Iterator[str]:
        for place, sign in enumerate(reversed(signs) if self._mirrored else signs):
            if sign in shapes:
                at = place * CELL
                yield shapes[sign].format(x=at + 1, y=at + 1.5, c=at + 4)

    # Weeks

    def _line(self, week: YearWeek) -> YearLine:
        words = self._words
        first = words.language.date(week.first, "day month")
        held = {one.id: one for one in week.habits}
        new = next(
            (day for by in range(7) if (day := week.first + timedelta(days=by)).day == 1), None
        )
        return YearLine(
            id=str(week.week),
            number=words.number(week.first),
            label=words.language.joined((words.week_label(week.first), first)),
            day=first,
            first=week.first.isoformat(),
            last=(week.first + timedelta(days=6)).isoformat(),
            href=self._href(week),
            closed=week.closed,
            month=words.language.month(new.month, "abbreviated") if new is not None else "",
            term=words.language.joined(self._terms(week)),
            holidays=words.language.joined(
                dict.fromkeys(
                    words.text(
                        message(
                            "{weekday} {what}",
                            weekday=words.language.weekday(day.weekday(), "abbreviated"),
                            what=name,
                        )
                    )
                    for day, name in week.holidays
                )
            ),
            cells=tuple(self._cells(held.get(one.id)) for one in self._habits),
            lessons=self._lessons(week),
            money=words.language.joined(map(self._money, _by_currency(week.money))),
        )

    def _href(self, week: YearWeek) -> str:
        if self._own:
            own = {one.week for one in self._inputs.own_weeks} | self._inputs.elsewhere
            return f"{week.week}.html" if week.week in own else ""
        return self._words.week_href(week.week)

    def _terms(self, week: YearWeek) -> Iterator[str]:
        for name, number in week.terms:
            yield (
                name
                if number is None
                else self._words.text(message("{term} {number}", term=name, number=number))
            )
        yield from week.breaks

    def _lessons(self, week: YearWeek) -> str:
        """3 of 4; what nobody recorded is not "no", and what is to come is planned."""
        planned = sum(one.planned for one in week.lessons)
        done = sum(one.done + one.made_up for one in week.lessons)
        open_ones = sum(one.not_recorded for one in week.lessons)
        if not planned and not done:
            return ""
        if not done and open_ones == planned:
            said = message("{planned} not recorded", planned=planned)
        elif not done and week.first > self._inputs.today:
            said = message("{planned} planned", planned=planned)
        else:
            said = message("{done} of {planned}", done=done, planned=planned)
        return self._words.text(said)

    def _money(self, one: YearMoney) -> str:
        amount = self._words.say.amount
        line = self._words.text(
            message(
                "{money_in} in, {money_out} out",
                money_in=amount(one.money_in, one.currency),
                money_out=amount(one.money_out, one.currency),
            )
        )
        if not one.unknown:
            return line
        more = counted("{count} item has no amount", "{count} items have no amount", one.unknown)
        return f"{line} ({self._words.text(more)})"

    # Totals

    def _lesson_totals(self) -> Iterator[YearTotal]:
        held: dict[tuple[str, str], list[YearLesson]] = {}
        for one in (one for week in self._year.weeks for one in week.lessons):
            held.setdefault((one.child, one.subject), []).append(one)
        for (child, subject), several in sorted(held.items()):
            yield YearTotal(
                self._words.language.joined((self._words.person(child).name, subject)),
                self._words.text(
                    message(
                        "{planned} planned, {done} done, {made_up} made up, {not_recorded} not "
                        "recorded",
                        planned=sum(one.planned for one in several),
                        done=sum(one.done for one in several),
                        made_up=sum(one.made_up for one in several),
                        not_recorded=sum(one.not_recorded for one in several),
                    )
                ),
            )

    def _money_totals(self) -> Iterator[YearTotal]:
        for one in _by_currency(one for week in self._year.weeks for one in week.money):
            yield YearTotal(one.currency, self._money(one))


def _habits(weeks: Iterable[YearWeek]) -> Iterator[YearHabit]:
    """Each habit once, as it is in the last week that has it, in the order of that week.

    Those that ended before come after the ones of the last week, the latest first.
    """
    met = set()
    for week in reversed(tuple(weeks)):
        for one in week.habits:
            if one.id not in met:
                met.add(one.id)
                yield one


def _by_currency(sums: Iterable[YearMoney]) -> Iterator[YearMoney]:
    held: dict[str, list[YearMoney]] = {}
    for one in sums:
        held.setdefault(one.currency, []).append(one)
    for currency, several in sorted(held.items()):
        yield YearMoney(
            currency,
            sum(one.money_in for one in several),
            sum(one.money_out for one in several),
            sum(one.unknown for one in several),
        )
