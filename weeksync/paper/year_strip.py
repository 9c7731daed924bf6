"""A year on one sheet: a strip a month, a line a day, so that what lasts runs on without a break.

Weekends and public holidays have a tint, holidays a bold number, too. A bar at the start of the
line is a term, a hatched one a break from lessons; a plus says that pay comes in, a minus that
a bill is due. Under the strips stands what the holidays and the long stretches are called.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field
from datetime import date, timedelta

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.money_item import MoneyKind
from weeksync.model.occurrence import Occurrence
from weeksync.model.spread import Day, MonthPlan
from weeksync.model.week import Month
from weeksync.paper.content import Entry
from weeksync.paper.continuation import Rest, continuation
from weeksync.paper.document import Page
from weeksync.paper.headings import page_head, page_head_mm
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Group, Mark, Rule, Tone
from weeksync.paper.sheet import Box, Side
from weeksync.paper.style import LEAST_PT
from weeksync.paper.tints import TINTS
from weeksync.paper.year_strip_names import BAR_MM, BILL, BOTH, PAY, TERM, hatched, key, notes
from weeksync.paper.zones import LeftOver

GAP_MM = 0.3
BETWEEN_MM = 0.5
DAYS = 31
MONTHS = 12


def year_pages(
    layout: Layout, year: int, months: Sequence[MonthPlan], side: Side = Side.RIGHT
) -> tuple[Page, ...]:
    """The year, and a sheet for names that have no room on it.

    `months` are the plans of its months, which may be seen by whoever sees the sheet
    (`plan.views`); a month that is not among them has its days without what stands on them.
    UsageError where the sheet is too small for 31 lines of its type.
    """
    return _Year(layout, year, months, side).pages()


@dataclass(frozen=True, slots=True)
class _Stretch:
    """Something over several days of the year."""

    title: str
    first: date
    last: date
    occurrence: Occurrence


@dataclass
class _Year:
    """The sheet while it is drawn."""

    layout: Layout
    year: int
    months: Sequence[MonthPlan]
    side: Side
    marks: list[Mark] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.days: dict[date, Day] = {
            day.date: day for plan in self.months for _, days in plan.weeks for day in days
        }
        self.stretches = self._stretches()
        style = self.layout.style
        self.size = style.type_pt if style.large else max(LEAST_PT, style.label_pt)

    def pages(self) -> tuple[Page, ...]:
        """The sheet and its continuation."""
        layout, words = self.layout, self.layout.words
        area = layout.area(self.side)
        title = words.language.digits(str(self.year))
        body = area.inset(0, page_head_mm(layout), 0, 0)
        named, notes_mm, left = notes(layout, self.size, body, self._named())
        signs, key_mm = key(layout, self.size, body.inset(0, 0, 0, notes_mm))
        strips = body.inset(0, 0, 0, notes_mm + key_mm + 0.6)
        if not self._has_room(strips):  # the names go to a sheet of their own then
            named, notes_mm, left = notes(layout, self.size, body, self._named(), 0)
            signs, key_mm = key(layout, self.size, body.inset(0, 0, 0, notes_mm))
            strips = body.inset(0, 0, 0, notes_mm + key_mm + 0.6)
        if not self._has_room(strips):
            raise _too_small(layout)
        self._strips(strips)
        more = self._more(title, left)
        sheet = Page(
            kind=Kind.YEAR,
            title=title,
            sheet=layout.sheet,
            side=self.side,
            marks=(
                *page_head(layout, area, title),
                Group(tuple(self.marks), label=title),
                *signs,
                *([Group(tuple(named), "list")] if named else []),
            ),
        )
        return (sheet, *more)

    def _has_room(self, body: Box) -> bool:
        """Whether a day has the height of a line, and a month the width of number and sign."""
        style, measure = self.layout.style, self.layout.measure
        row = (body.h - style.line_mm(style.label_pt) - 0.4) / DAYS
        number = measure.width_mm(self.layout.words.language.digits("30"), self.size, bold=True)
        wide = BAR_MM + GAP_MM + number + measure.width_mm(BOTH, self.size, bold=True)
        return (
            row >= style.line_mm(self.size) - 0.02 and body.columns(MONTHS, BETWEEN_MM)[0].w >= wide
        )

    # The strips

    def _strips(self, body: Box) -> None:
        layout, language = self.layout, self.layout.words.language
        size = layout.style.label_pt
        head = layout.style.line_mm(size) + 0.4
        columns = body.columns(MONTHS, BETWEEN_MM)
        names = [language.month(number, "wide") for number in range(1, MONTHS + 1)]
        if not all(layout.measure.fits(name, size, columns[0].w, bold=True) for name in names):
            names = [language.month(number, "abbreviated") for number in range(1, MONTHS + 1)]
        if not all(layout.measure.fits(name, size, columns[0].w, bold=True) for name in names):
            names = [language.month(number, "narrow") for number in range(1, MONTHS + 1)]
        for number, (column, name) in enumerate(zip(columns, names, strict=True), 1):
            self.marks.append(
                layout.write(
                    column.x, body.y, column.w, name, pt=size, bold=True, role="h2", most=1
                )
            )
            rows = column.inset(0, head, 0, 0).rows(DAYS)
            month = Month(self.year, number)
            for row, offset in zip(rows, range((month.last - month.first).days + 1), strict=False):
                self._day(row, month.first + timedelta(days=offset))
            self._bars(rows, month)

    def _day(self, row: Box, day: date) -> None:
        layout, words = self.layout, self.layout.words
        known = self.days.get(day)
        holiday = known is not None and bool(known.holidays)
        if (holiday or day.weekday() in words.weekend) and not layout.style.ink_saving:
            self.marks.append(Fill(Box(row.x, row.y, row.w, row.h), Tone.TINT))
        line = layout.style.line_mm(self.size)
        y = row.y + max(0.0, min(0.4, (row.h - line) / 2))
        x = row.x + BAR_MM + GAP_MM
        room = row.right - x
        text = words.day_number(day)
        number_mm = layout.measure.width_mm(text, self.size, bold=holiday) + 0.1
        self._write(x, y, number_mm, text, bold=holiday)
        sign = self._sign(known)
        sign_mm = layout.measure.width_mm(BOTH, self.size, bold=True) + 0.2
        after = row.right - sign_mm - self._lanes_mm()
        if sign:
            self._write(max(after, x + number_mm), y, sign_mm, sign, bold=True)
        name = words.language.weekday(day.weekday(), "narrow")
        name_mm = layout.measure.width_mm(name, self.size) + 0.1
        at = x + layout.measure.width_mm(words.language.digits("30"), self.size, bold=True) + 0.6
        if at + name_mm <= after and room > 0:
            self._write(at, y, name_mm, name, tone=Tone.SOFT)
        self._week_number(row, day, at + name_mm + 0.8, after, y)
        self.marks.append(Rule(row.x, row.bottom, row.right, row.bottom, 0.1, Tone.FAINT))

    def _week_number(self, row: Box, day: date, x: float, end: float, y: float) -> None:
        """The number of the week, on its first day, where there is room for it."""
        words = self.layout.words
        if day.weekday() != words.rule.first_weekday:
            return
        self.marks.append(Rule(row.x, row.y, row.right, row.y, 0.2, Tone.RULE))
        number = words.number(day)
        width = self.layout.measure.width_mm(number, self.size) + 0.1
        if x + width <= end - 0.6:
            self._write(end - width - 0.6, y, width, number, tone=Tone.SOFT)

    def _write(
        self,
        x: float,
        y: float,
        width: float,
        text: str,
        *,
        bold: bool = False,
        tone: Tone = Tone.INK,
    ) -> None:
        self.marks.append(
            self.layout.write(x, y, width, text, pt=self.size, bold=bold, tone=tone, most=1)
        )

    @staticmethod
    def _sign(day: Day | None) -> str:
        kinds = {item.kind for item in day.money if not item.only_for} if day is not None else set()
        signs = ("" if MoneyKind.PAY not in kinds else PAY) + (
            "" if MoneyKind.BILL not in kinds else BILL
        )
        return BOTH if len(signs) > 1 else signs

    # What lasts

    def _bars(self, rows: Sequence[Box], month: Month) -> None:
        """Terms and breaks at the start of the lines, stretches at their end, each in one piece."""
        days = [self.days.get(month.first + timedelta(days=at)) for at in range(month.last.day)]
        for first, last in _runs([_ground(day) for day in days]):
            day = days[first]
            box = Box(rows[first].x, rows[first].y, BAR_MM, rows[last].bottom - rows[first].y)
            if day is not None and day.term_break:
                self.marks += hatched(box)
            else:
                self.marks.append(Fill(box, colour=TERM))
        for lane, one in self._laned():
            first_day, last_day = max(one.first, month.first), min(one.last, month.last)
            if first_day > last_day:
                continue
            top, bottom = rows[first_day.day - 1].y, rows[last_day.day - 1].bottom
            x = rows[0].right - (lane + 1) * (BAR_MM + GAP_MM)
            self.marks.append(self._stretch(Box(x, top + 0.2, BAR_MM, bottom - top - 0.4), one))

    def _stretch(self, box: Box, one: _Stretch) -> Fill:
        area = self.layout.words.area(one.occurrence.area)
        fill, edge = TINTS[area.colour] if area is not None else ("#f2f2f2", "#5c5c5c")
        colour = "#ffffff" if self.layout.style.ink_saving else fill
        return Fill(box, colour=colour, edge_colour=edge)

    def _lanes_mm(self) -> float:
        lanes = 1 + max((lane for lane, _ in self._laned()), default=-1)
        return lanes * (BAR_MM + GAP_MM)

    def _laned(self) -> list[tuple[int, _Stretch]]:
        """(lane, stretch): at most two lanes; what would need a third stands in the names only."""
        ends: list[date] = []
        placed: list[tuple[int, _Stretch]] = []
        for one in self.stretches:
            lane = next((at for at, end in enumerate(ends) if end < one.first), len(ends))
            if lane > 1:
                continue
            ends[lane : lane + 1] = [one.last]
            placed.append((lane, one))
        return placed

    def _stretches(self) -> list[_Stretch]:
        """What lies over several whole days, once each, in the order of its days."""
        reach: dict[Occurrence, list[date]] = {}
        for day in sorted(self.days.values(), key=lambda one: one.date):
            for shown in day.occurrences:
                one = shown.occurrence
                is_long = shown.part is None and (shown.from_before or shown.goes_on)
                if is_long and not one.journal and not one.only_for:
                    reach.setdefault(one, []).append(day.date)
        first, last = date(self.year, 1, 1), date(self.year, 12, 31)
        found = [
            _Stretch(one.title.strip() or self.layout.words.no_title(), days[0], days[-1], one)
            for one, days in reach.items()
            if days[0] <= last and days[-1] >= first
        ]
        return sorted(found, key=lambda one: (one.first, one.last, one.title))

    # Names and signs below

    def _named(self) -> list[Entry]:
        """Holidays, breaks and stretches with their days, in the order of the year."""
        words = self.layout.words
        named: list[tuple[date, Entry]] = []
        of_year = [self.days[day] for day in sorted(self.days) if day.year == self.year]
        for day in of_year:
            when = words.language.date(day.date, "day month")
            named += ((day.date, Entry(name, strong=when)) for name in day.holidays)
        for first, last in _runs([day.term_break for day in of_year]):
            title = of_year[first].term_break
            named.append(
                (of_year[first].date, self._span(title, of_year[first].date, of_year[last].date))
            )
        for one in self.stretches:
            entry = self._span(one.title, one.first, one.last)
            area = words.area(one.occurrence.area)
            text = f"{entry.text} ({area.letter})" if area is not None else entry.text
            named.append((one.first, Entry(text, strong=entry.strong)))
        return [entry for _, entry in sorted(named, key=lambda pair: pair[0])]

    def _span(self, title: str, first: date, last: date) -> Entry:
        language = self.layout.words.language
        when = language.date(first, "day month")
        if last > first:
            when = f"{when} – {language.date(last, 'day month')}"
        return Entry(title, strong=when)

    def _more(self, title: str, left: Sequence[Entry]) -> tuple[Page, ...]:
        if not left:
            return ()
        rests = [Rest("", (LeftOver("year", "", tuple(left)),))]
        pages, _ = continuation(
            self.layout, rests, kind=Kind.YEAR, title=title, first_page=2, week=None, side=self.side
        )
        return pages


def _too_small(layout: Layout) -> UsageError:
    sheet = layout.sheet
    return UsageError(
        message(
            "a year does not fit on a sheet of {width} × {height} mm in type of {size} points; "
            "print it on a larger one, upright, as A4",
            width=round(sheet.width_mm, 1),
            height=round(sheet.height_mm, 1),
            size=round(layout.style.type_pt, 1),
        )
    )


def _ground(day: Day | None) -> str:
    """What a bar shows: one piece for each term and each break."""
    if day is None:
        return ""
    return day.term_break or day.term


def _runs(names: Sequence[str]) -> list[tuple[int, int]]:
    """(first, last) of every run of the same name; what has no name is none."""
    runs: list[tuple[int, int]] = []
    for at, name in enumerate(names):
        if not name:
            continue
        if runs and runs[-1][1] == at - 1 and names[runs[-1][1]] == name:
            runs[-1] = (runs[-1][0], at)
        else:
            runs.append((at, at))
    return runs
