"""The month overview on one landscape sheet: weeks as rows, what lasts several days unbroken.

A span is one shape over all its days of a week; a chevron at its end says that it comes from the
week before or goes on in the next. What a day has no room for stands on a second sheet, and the
day says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field, replace
from datetime import date, datetime
from itertools import accumulate

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.spread import Day, DayOccurrence, MonthPlan, MonthSpan
from weeksync.model.week import Month
from weeksync.paper.content import Contents, Entry
from weeksync.paper.continuation import Rest, continuation
from weeksync.paper.document import Page
from weeksync.paper.entries import Column, badge_mm, height_of
from weeksync.paper.headings import page_head, page_head_mm
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.legend import area_badge, legend
from weeksync.paper.marks import Fill, Group, Mark, Rule, Tone, Words
from weeksync.paper.month_sheet_parts import CHEVRON_MM, chevron, shared, too_small
from weeksync.paper.sheet import Box, Side
from weeksync.paper.style import LEAST_PT
from weeksync.paper.tints import TINTS
from weeksync.paper.zones import LeftOver, reference

WEEK_EM = 2.6
"""How wide the column of week numbers is, in ems of a label."""

SMALLER_PT = 1.5
"""Days of a month are written that much smaller than those of a week."""

BADGE_MM = 3.2
NUMBER_MM, EDGE_MM = 0.5, 0.4
"""White above a day's number, and at the foot of a day."""

LEAST_SHARE = 0.75
"""Of the height that rows would have if all were equal: an empty week is there to write in."""


def month_pages(layout: Layout, plan: MonthPlan, side: Side = Side.RIGHT) -> tuple[Page, ...]:
    """The month, and sheets for what has no room on it.

    The plan is one that may be seen by whoever sees the sheet (`plan.views`). An upright sheet is
    turned. Lanes of spans give way to days: each day keeps a line of print.
    UsageError where the sheet is too small for the numbers of the days.
    """
    if not layout.sheet.landscape and layout.sheet.width_mm < layout.sheet.height_mm:
        layout = layout.on(layout.sheet.turned())
    return _Month(layout, plan, side).pages()


@dataclass
class _Month:
    """The sheet while it is drawn."""

    layout: Layout
    plan: MonthPlan
    side: Side
    marks: list[Mark] = field(default_factory=list)
    rests: list[Rest] = field(default_factory=list)
    places: list[tuple[Box, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        style = self.layout.style
        small = style.type_pt if style.large else max(LEAST_PT, style.type_pt - SMALLER_PT)
        tick = style.tick_mm if style.large else BADGE_MM
        self.small = replace(self.layout, style=replace(style, type_pt=small, tick_mm=tick))
        self.contents = Contents(self.layout.words)

    def pages(self) -> tuple[Page, ...]:
        """The sheet and its continuations."""
        layout, words = self.layout, self.layout.words
        area = layout.area(self.side)
        title = words.month_year(self.plan.month)
        head = page_head_mm(layout)
        key, foot = legend(self.small, area, words.config.areas)
        body = area.inset(0, head, 0, foot + 1)
        if not self._has_room(body):  # the letters are told on the sheets of the weeks, too
            key, body = (), area.inset(0, head, 0, 0)
        if not self._has_room(body):
            raise too_small(layout.sheet, layout.style.type_pt)
        self._table(body)
        if self.rests:
            more, begins = continuation(
                layout,
                self.rests,
                kind=Kind.MONTH,
                title=title,
                first_page=2,
                week=None,
                side=self.side,
            )
            for at, (place, count) in enumerate(self.places):
                self.marks.append(self._reference(place, count, begins[at]))
        else:
            more = ()
        grid = Group(tuple(self.marks), label=title)
        sheet = Page(
            kind=Kind.MONTH,
            title=title,
            sheet=layout.sheet,
            side=self.side,
            marks=(*page_head(layout, area, title), grid, *key),
        )
        return (sheet, *more)

    def _reference(self, box: Box, count: int, page: int) -> Words:
        """How much stands on which page; in signs where there is no room for words."""
        words = self.layout.words
        text = words.text(message("{count} more: page {page}", count=count, page=page))
        text, size = f"{words.onward} {text}", self.small.style.label_pt
        if not self.small.measure.fits(text, size, box.w, bold=True):
            number, target = words.language.digits(str(count)), words.language.digits(str(page))
            text = f"+{number} {words.onward} {target}"
        return reference(self.small, box, text)

    # The table

    def _has_room(self, body: Box) -> bool:
        """Whether each row has room for its days' numbers and a reference."""
        return self._grid(body).h / len(self.plan.weeks) >= self._least_mm()

    def _least_mm(self) -> float:
        style = self.layout.style
        return NUMBER_MM + style.line_mm() + style.line_mm(style.label_pt) + EDGE_MM

    def _grid(self, body: Box) -> Box:
        """The days' part of the table."""
        style = self.layout.style
        week_mm = WEEK_EM * style.label_pt * 0.3528
        return body.inset(week_mm, style.line_mm(style.label_pt) + 0.6, 0, 0)

    def _table(self, body: Box) -> None:
        layout, style = self.layout, self.layout.style
        grid = self._grid(body)
        week_mm = grid.x - body.x
        columns = grid.columns(7)
        for column, name in zip(columns, self._weekdays(columns[0].w), strict=True):
            self.marks.append(layout.label(column.x, body.y, column.w, name, align="centre"))
        for at, row in enumerate(self._rows(grid)):
            self.marks.append(Rule(body.x, row.y, body.right, row.y, 0.25))
            days = self.plan.weeks[at][1]
            number = layout.words.number(days[0].date)
            self.marks.append(
                layout.write(
                    body.x,
                    row.y + 0.6,
                    week_mm - 0.5,
                    number,
                    pt=style.label_pt,
                    bold=True,
                    role="h2",
                    align="centre",
                    tone=Tone.SOFT,
                    most=1,
                )
            )
            self._week(row, days, self._spans(at))
        self.marks.append(Rule(body.x, grid.bottom, body.right, grid.bottom, 0.25))

    def _spans(self, at: int) -> list[MonthSpan]:
        spans = self.plan.spans[at] if self.plan.spans else ()
        return [one for one in spans if not one.only_for]

    def _rows(self, grid: Box) -> list[Box]:
        """Rows as high as their fullest day needs, each with a share of the equal height."""
        width = grid.w / 7 - 1
        needs: list[float] = []
        for at, (_, days) in enumerate(self.plan.weeks):
            spans = self._spans(at)
            each = (
                self._lanes(spans, day.date) * self._lane_mm()
                + height_of(self.small, width, self._entries(day, spans))
                for day in days
            )
            needs.append(self._head_mm() + max(each) + 1)
        least = max(grid.h / len(needs) * LEAST_SHARE, self._least_mm())
        heights = shared([max(need, least) for need in needs], least, grid.h)
        tops = accumulate(heights, initial=grid.y)
        return [
            Box(grid.x, top, grid.w, height) for top, height in zip(tops, heights, strict=False)
        ]

    def _head_mm(self) -> float:
        return self.layout.style.line_mm() + 0.8

    @staticmethod
    def _lanes(spans: Sequence[MonthSpan], day: date) -> int:
        """How many lanes lie above what stands in a day."""
        return 1 + max((one.lane for one in spans if one.first <= day <= one.last), default=-1)

    def _weekdays(self, room: float) -> list[str]:
        language, size = self.layout.words.language, self.layout.style.label_pt
        first = self.layout.words.rule.first_weekday
        order = [(first + offset) % 7 for offset in range(7)]
        names = [language.weekday(day) for day in order]
        if all(self.layout.measure.fits(name, size, room - 1) for name in names):
            return names
        return [language.weekday(day, "abbreviated") for day in order]

    def _week(self, row: Box, days: Sequence[Day], spans: Sequence[MonthSpan]) -> None:
        line = self.small.style.line_mm(self.small.style.label_pt)
        lane_mm, head = self._lane_mm(), self._head_mm()
        most = max(0, int((row.h - head - line - EDGE_MM) / lane_mm))
        drawn = [one for one in spans if one.lane < most]
        cells = row.columns(7)
        cut: dict[date, list[Entry]] = {}
        if not self.layout.style.ink_saving:
            free = [cell for cell, day in zip(cells, days, strict=True) if self._is_free(day)]
            self.marks += [Fill(Box(cell.x, row.y, cell.w, head), Tone.TINT) for cell in free]
        for one in spans:
            y = row.y + head + one.lane * lane_mm
            if one.lane >= most or not self._span(self._span_box(cells, days, one, y), one):
                cut.setdefault(one.first, []).append(self._span_entry(one))
        for at, (cell, day) in enumerate(zip(cells, days, strict=True)):
            beside = self._number(cell, day, term := self._term(days, at, spans))
            lanes = self._lanes(drawn, day.date)
            box = cell.inset(0.6, head + lanes * lane_mm, 0.4, EDGE_MM)
            entries = [*([] if beside else [Entry(term)]), *self._entries(day, spans)]
            self._day(box, day, entries, cut.get(day.date, []))
            self._edge(cell, day.date, drawn, head)

    def _edge(self, cell: Box, day: date, drawn: Sequence[MonthSpan], head: float) -> None:
        """The line before a day, left out where a span lies over it."""
        over = sorted(
            cell.y + head + one.lane * self._lane_mm()
            for one in drawn
            if one.first < day <= one.last or (one.first == day and one.from_before)
        )
        y = cell.y
        for top in over:
            self.marks.append(Rule(cell.x, y, cell.x, top, tone=Tone.FAINT))
            y = top + self._lane_mm() - 0.6
        self.marks.append(Rule(cell.x, y, cell.x, cell.bottom, tone=Tone.FAINT))

    def _is_free(self, day: Day) -> bool:
        return day.date.weekday() in self.layout.words.weekend or bool(day.holidays)

    def _number(self, cell: Box, day: Day, beside: str) -> bool:
        """The day's number, and what stands beside it; False where that has no room there."""
        layout, words = self.layout, self.layout.words
        inside = Month.of(day.date) == self.plan.month
        text = words.day_number(day.date)
        if day.date.day == 1:
            text = f"{text} {words.language.month(day.date.month, 'abbreviated')}"
        number = layout.write(
            cell.x + 0.8,
            cell.y + NUMBER_MM,
            cell.w - 1.2,
            text,
            bold=inside,
            role="h2",
            tone=Tone.INK if inside else Tone.SOFT,
            most=1,
        )
        self.marks.append(number)
        used = layout.measure.width_mm(text, layout.style.type_pt, bold=inside) + 2.5
        size, room = layout.style.label_pt, cell.w - used - 1
        if not beside or not layout.measure.fits(beside, size, room):
            return not beside
        y = cell.y + NUMBER_MM + (number.line_mm - layout.style.line_mm(size)) * 0.7
        self.marks.append(layout.label(cell.x + used, y, room, beside, align="end"))
        return True

    # What lies over several days

    def _lane_mm(self) -> float:
        return max(self.small.style.line_mm(), badge_mm(self.small)) + 1.0

    def _span_box(self, cells: Sequence[Box], days: Sequence[Day], one: MonthSpan, y: float) -> Box:
        at = {day.date: cell for day, cell in zip(days, cells, strict=True)}
        left, right = at[one.first].x + 0.5, at[one.last].right - 0.5
        left -= 0.5 if one.from_before else 0
        right += 0.5 if one.goes_on else 0
        return Box(left, y, right - left, self._lane_mm() - 0.6)

    def _span(self, box: Box, one: MonthSpan) -> bool:
        """One shape over all its days; False where its title has not all its room in it."""
        small = self.small
        area = small.words.area(one.occurrence.area) if one.occurrence is not None else None
        fill, edge = TINTS[area.colour] if area is not None else ("#f2f2f2", "#5c5c5c")
        colour = "#ffffff" if small.style.ink_saving else fill
        radius = 0.0 if one.from_before or one.goes_on else 1.0
        self.marks.append(Fill(box, colour=colour, edge_colour=edge, radius_mm=radius))
        x, right = box.x + 0.6, box.right - 0.6
        if one.from_before:
            self.marks += chevron(x, box)
            x += CHEVRON_MM + 0.5
        if one.goes_on:
            right -= CHEVRON_MM
            self.marks += chevron(right, box)
            right -= 0.5
        if area is not None:
            size = badge_mm(small)
            badge = Box(x, box.y + (box.h - size) / 2, size, size)
            self.marks += area_badge(small, badge, area)
            x += size + 0.6
        title = one.title.strip() or small.words.no_title()
        y = box.y + (box.h - small.style.line_mm()) / 2
        struck = one.occurrence is not None and one.occurrence.cancelled
        self.marks.append(small.write(x, y, max(right - x, 1), title, most=1, struck=struck))
        return small.measure.fits(title, small.style.type_pt, right - x)

    def _span_entry(self, one: MonthSpan) -> Entry:
        words = self.layout.words
        title = one.title.strip() or words.no_title()
        if one.last > one.first:
            until = words.text(message("until {when}", when=words.day(one.last)))
            title = words.language.joined([title, until])
        return Entry(
            title,
            area=words.area(one.occurrence.area) if one.occurrence is not None else None,
            struck=one.occurrence is not None and one.occurrence.cancelled,
        )

    # What stands in a day

    def _entries(self, day: Day, spans: Sequence[MonthSpan]) -> Iterator[Entry]:
        words = self.layout.words
        laid = {one.occurrence for one in spans if one.occurrence is not None}
        yield from (Entry("", strong=holiday) for holiday in day.holidays)
        shown = [one for one in day.occurrences if not one.occurrence.only_for]
        yield from (
            self._event(one) for one in shown if one.part is None and one.occurrence not in laid
        )
        for item in day.money:
            if not item.only_for:
                word = self.contents.money_word(item.kind)
                title = item.title.strip() or words.no_title()
                yield Entry(words.text(message("{kind}: {title}", kind=word, title=title)))
        yield from (self._event(one) for one in shown if one.part is not None)

    def _event(self, shown: DayOccurrence) -> Entry:
        words, one = self.layout.words, shown.occurrence
        starts = isinstance(one.start, datetime) and not shown.from_before
        return Entry(
            one.title.strip() or words.no_title(),
            strong=words.time(one.start) if starts and isinstance(one.start, datetime) else "",
            area=words.area(one.area),
            struck=one.cancelled,
        )

    def _term(self, days: Sequence[Day], at: int, spans: Sequence[MonthSpan]) -> str:
        """The term where a row or a term begins; a break from lessons lies over its days."""
        day = days[at]
        if any(one.occurrence is None and one.first <= day.date <= one.last for one in spans):
            return ""
        here = self._term_of(day)
        return "" if at and here == self._term_of(days[at - 1]) else here

    def _term_of(self, day: Day) -> str:
        if day.term_break or not day.term or day.term_week is None:
            return day.term_break or day.term
        return self.layout.words.text(
            message("{term}, week {number}", term=day.term, number=day.term_week)
        )

    def _day(self, box: Box, day: Day, entries: Sequence[Entry], cut: Sequence[Entry]) -> None:
        """Entries as far as they fit; the rest, and what was cut above, goes to the next sheet."""
        column = Column(self.small, box)
        line = self.small.style.line_mm(self.small.style.label_pt)
        left = column.put_all(
            [one for one in entries if one.text or one.strong], line if cut else 0
        )
        self.marks += column.marks
        if column.items:
            self.marks.append(Group(tuple(column.items), "list"))
        rest = (*cut, *left)
        if rest:
            words = self.layout.words
            heading = words.language.date(day.date, "full")
            self.rests.append(Rest(heading, (LeftOver("month", "", rest),), day.date))
            y = min(column.y, box.bottom - line)
            self.places.append((Box(box.x, y, box.w, line), len(rest)))
