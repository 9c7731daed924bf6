"""The pages of what is to be printed: weeks, months and years from the household, laid out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import timedelta
from typing import Any

from weeksync.errors import UsageError
from weeksync.language import Language
from weeksync.language.plan_sentences import PlanSentences
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.problem import Problem
from weeksync.model.spread import MonthPlan, Spread
from weeksync.model.week import IsoWeek, Month
from weeksync.paper.bands import decorate
from weeksync.paper.bill_pages import bill_pages
from weeksync.paper.blank import blank_pages
from weeksync.paper.cell_map import cell_map
from weeksync.paper.changes_pages import changes_pages
from weeksync.paper.check_in_pages import check_in_pages
from weeksync.paper.content import Contents
from weeksync.paper.day_pages import day_pages
from weeksync.paper.document import Document, Page
from weeksync.paper.fridge import fridge_pages
from weeksync.paper.habit_sheet import habit_pages
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.mirror import mirrored
from weeksync.paper.month_sheet import month_pages
from weeksync.paper.overflow import unknown_in
from weeksync.paper.page_order import in_order, side_of, week_pages
from weeksync.paper.sheet import Side
from weeksync.paper.test_sheet import test_pages
from weeksync.paper.week_pages import spread_pages, week_page
from weeksync.paper.words import PaperWords
from weeksync.paper.year_strip import year_pages
from weeksync.plan import views
from weeksync.plan.kept import month_with
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.gather import Gathered, gather
from weeksync.workflow.printing_order import (
    PrintOrder,
    band_for,
    sheet_for,
    style_for,
)
from weeksync.workflow.show import as_it_was

MOST_SIGNS = 12

FRONT = Side.RIGHT
"""The front of a leaf as pages are laid out: from left to right, before they are mirrored."""


@dataclass(frozen=True, slots=True)
class LaidOut:
    """Pages ready to be rendered. `spreads` are the weeks that can count as printed."""

    document: Document
    spreads: tuple[Spread, ...] = ()
    problems: tuple[Problem, ...] = ()
    cells: dict[str, Any] | None = None
    """Where the boxes of habit pages are, for who reads them back."""


def laid_out(context: Context, config: Config, order: PrintOrder) -> LaidOut:
    """What was ordered as pages; `config` has the command's options in it.

    UsageError where there is nothing of that kind.
    """
    return _Work(context, config, order).laid_out()


class _Work:
    """One order while it is worked on."""

    def __init__(self, context: Context, config: Config, order: PrintOrder) -> None:
        self.context, self.config, self.order = context, config, order
        self.sheet = sheet_for(config, order.kind)
        self.band = band_for(config, order.kind, self.sheet, context.folder)
        self.problems: list[Problem] = []
        self.cells: dict[str, Any] | None = None
        self._gathered: Gathered | None = None

    def laid_out(self) -> LaidOut:
        pages = tuple(self._pages())
        document = self._document(pages)
        spreads: tuple[Spread, ...] = ()
        if self.order.counts:
            spreads = tuple(self.week(one) for one in self.order.weeks)
        return LaidOut(document, spreads, tuple(self.problems), self.cells)

    def _document(self, pages: Sequence[Page]) -> Document:
        language = self.context.language
        if language.direction == "rtl":
            pages = tuple(map(mirrored, pages))
        document = Document(self._title(), language.tag, language.direction, tuple(pages))
        if self.order.kind is Kind.TEST:
            return document
        return decorate(in_order(document), self.band, ticks=self.config.paper.hole_ticks)

    def _title(self) -> str:
        """What the PDF is called: a week, a month or a year, and nobody's name."""
        order, words = self.order, PaperWords(self.config, self.context.language)
        if order.kind is Kind.YEAR:
            return words.language.digits(str(order.year))
        if order.month is not None and order.kind in {Kind.MONTH, Kind.BILLS}:
            return words.month_year(order.month)
        if not order.weeks or order.kind in {Kind.BLANK, Kind.TEST}:
            return words.text(message("Sheets"))
        days = [self.context.rule.days(one) for one in (order.weeks[0], order.weeks[-1])]
        return words.span(days[0][0], days[1][-1])

    # What it is made from

    def week(self, week: IsoWeek) -> Spread:
        """The week as it was closed, else as it stands now."""
        closed = self.context.archive.get(week)
        return closed.spread if closed is not None else self._planner().planner.week(week)

    def _planner(self) -> Gathered:
        """Everything about the days of the order, read once for all of them."""
        if self._gathered is None:
            days = [day for week in self._weeks_read() for day in self.context.rule.days(week)]
            if self.order.month is not None:
                days += [self.order.month.first, self.order.month.last]
            this = self.context.rule.start(self.context.today)
            ahead = timedelta(weeks=self.config.planning.look_ahead_weeks)
            first = min(days)
            first = min(this, first) if first - this <= ahead else first
            with Store.open(self.context.state, write=False) as store:
                self._gathered = gather(self.context, store, first, max(days) + ahead)
            self.problems += self._gathered.problems
        return self._gathered

    def _weeks_read(self) -> Iterator[IsoWeek]:
        if self.order.year is not None:
            for month in self._months(self.order.year):
                yield self.context.rule.week_of(month.first)
                yield self.context.rule.week_of(month.last)
        for week in self.order.weeks:
            yield from (week.shifted(-1), week, week.shifted(1))

    @staticmethod
    def _months(year: int) -> tuple[Month, ...]:
        return tuple(Month(year, number) for number in range(1, 13))

    def _layout(self, spread: Spread | None = None) -> Layout:
        """The layout of a week; a closed one has the names and the language of then."""
        config, language = self.config, self.context.language
        if spread is not None:
            then = as_it_was(self.context, spread).config
            if then is not self.context.config:
                config = replace(then, paper=self.config.paper)
                language = Language(then.household.locale)
        style = style_for(self.config, self.order.kind, self.sheet, self.band)
        return Layout(PaperWords(config, language), self.sheet, style)

    # The pages

    def _pages(self) -> Iterable[Page]:
        match self.order.kind:
            case Kind.SPREAD:
                return self._spreads()
            case Kind.MONTH | Kind.YEAR | Kind.BILLS:
                return self._of_months()
            case Kind.BLANK:
                sides = tuple((FRONT, FRONT.other)[at % 2] for at in range(self.order.count))
                return blank_pages(self._layout(), self.order.pattern, sides)
            case Kind.TEST:
                return test_pages(self._layout())
            case _:
                return [page for week in self.order.weeks for page in self._of_week(week)]

    def _spreads(self) -> Iterator[Page]:
        """The pages of a run of weeks as the way of printing needs them, then continuations."""
        order = self.order
        before, after = order.weeks[0].shifted(-1), order.weeks[-1].shifted(1)
        sides = (side_of(0, order.way), side_of(1, order.way))
        made: dict[IsoWeek, tuple[Page, ...]] = {}
        for week, part, _ in week_pages(order.way, order.weeks, before, after):
            if week not in made:
                spread = views.common(self.week(week))
                made[week] = spread_pages(self._layout(spread), spread, sides)
            yield made[week][part]
        for pages in made.values():
            yield from (page for page in pages if page.continuation)

    def _of_week(self, week: IsoWeek) -> Iterable[Page]:
        own, person = self.week(week), self.order.person
        common = views.common(own)
        layout = self._layout(own)
        match self.order.kind:
            case Kind.WEEK:
                return week_page(layout, common, FRONT)
            case Kind.PERSON:
                name = layout.words.person(person).name
                contents = Contents(layout.words, person=person)
                theirs = views.for_person(common, person)
                return week_page(
                    layout, theirs, FRONT, kind=Kind.PERSON, contents=contents, name=name
                )
            case Kind.OWN:
                name = layout.words.person(person).name
                contents = Contents(layout.words, person=person, amounts=True)
                theirs = views.for_person(own, person)
                return week_page(
                    layout,
                    theirs,
                    FRONT,
                    kind=Kind.OWN,
                    contents=contents,
                    name=name,
                    private=True,
                )
            case Kind.DAYS:
                return day_pages(layout, common)
            case Kind.FRIDGE:
                return fridge_pages(layout, common)
            case Kind.CHECK_IN:
                return check_in_pages(layout, own, person)
            case Kind.HABITS:
                return self._habits(layout, common)
            case _:
                return self._changes(layout, common)

    def _habits(self, layout: Layout, common: Spread) -> Iterable[Page]:
        spread = views.for_person(common, self.order.person) if self.order.person else common
        sheets = habit_pages(layout, spread, FRONT)
        if not sheets:
            raise UsageError(message("there is no habit in {week} to print", week=str(spread.week)))
        found = cell_map(sheets, mirrored=self.context.language.direction == "rtl")
        if self.cells is None:
            self.cells = found
        else:
            self.cells["pages"] += found["pages"]
        return [one.page for one in sheets]

    def _changes(self, layout: Layout, common: Spread) -> Iterable[Page]:
        plan = common.plan
        if plan is None or plan.confirmed is None:
            raise UsageError(
                message(
                    "{week} was not printed or confirmed yet: there is nothing to count changes "
                    "from; print it first",
                    week=str(common.week),
                )
            )
        say = PlanSentences(self.config, self.context.language)
        since = layout.words.text(say.changes_title(plan.confirmed.astimezone(self.context.tz)))
        return changes_pages(layout, common, [say.change(one) for one in plan.changes], since)

    def _of_months(self) -> Iterable[Page]:
        order, layout = self.order, self._layout()
        if order.kind is Kind.YEAR:
            year = order.year or self.context.today.year
            months = [views.common(self._month(month)) for month in self._months(year)]
            return year_pages(layout, year, months, FRONT)
        month = order.month or Month.of(self.context.today)
        plan = self._month(month)
        if order.kind is Kind.MONTH:
            return month_pages(layout, views.common(plan), FRONT)
        items = [
            item
            for _, days in plan.weeks
            for day in days
            if Month.of(day.date) == month
            for item in day.money
            if not item.only_for or order.person in item.only_for
        ]
        return bill_pages(layout, month, items, FRONT)

    def _month(self, month: Month) -> MonthPlan:
        kept = [
            closed.spread
            for week in self.context.archive.weeks
            if any(Month.of(day) == month for day in self.context.rule.days(week))
            and (closed := self.context.archive.get(week)) is not None
        ]
        return month_with(self._planner().planner.month(month), kept)


def about(laid: LaidOut, order: PrintOrder) -> tuple[Message, ...]:
    """What is to be known of the pages: how many, and how many of them are continuations."""
    pages = laid.document.pages
    more = sum(page.continuation for page in pages)
    said = [message("pages: {count}", count=len(pages))]
    if more:
        said.append(message("of these continuations: {count}", count=more))
    unknown = unknown_in(laid.document)
    if unknown:
        said.append(
            message(
                "not in our fonts, and so drawn from whatever font this machine has: {signs}",
                signs=" ".join(unknown[:MOST_SIGNS]),
            )
        )
    return tuple(said)
