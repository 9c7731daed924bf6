"""What has to be made of a site, and what can stay as it is shown.

Every page belongs to a unit (`units`) with a key (`unit_keys`). Units whose keys are those of the
last run are not planned; of those that are planned, the ones of which the same came out are not
rendered. What pages of many weeks need of each is in the gists of the units.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cached_property, partial
from typing import NamedTuple, TypeVar

from weeksync.lazy import dataclass
from weeksync.model.review import Review, SpanName
from weeksync.model.spread import Day, LeftOut, MonthPlan, Spread
from weeksync.model.week import IsoWeek, Month
from weeksync.model.year import Text, Year
from weeksync.plan import views
from weeksync.plan.facts import in_month
from weeksync.plan.kept import month_with
from weeksync.plan.local_days import LocalDays
from weeksync.site import SiteInput
from weeksync.site.enter import enter_name
from weeksync.site.inputs import Take
from weeksync.site.pages import WeekPages
from weeksync.site.review_links import SEARCH, name_of, year_name
from weeksync.site.tree_files import Trees
from weeksync.workflow.context import Context
from weeksync.workflow.fingerprint import fingerprint
from weeksync.workflow.gather import Gathered
from weeksync.workflow.parts import Days, Parts
from weeksync.workflow.review import site_reviews
from weeksync.workflow.unit_keys import Keys
from weeksync.workflow.units import Gist, Unit, Units, noted
from weeksync.workflow.week_gists import Line, Placed, left_out_lines, left_out_of, week_gist
from weeksync.workflow.window import Window, week_of
from weeksync.workflow.year_gists import Gists
from weeksync.workflow.years import common_texts, common_year, whole_year

T = TypeVar("T")


class _New(NamedTuple):
    """A unit that was worked out: its pages are noted when they are there."""

    unit: Unit
    names: tuple[str, ...]
    """The names its pages can have, in each tree; () where it is as it was."""


@dataclass
class Making:
    """One build: what is worked out goes into `inputs`, what stays goes there as finished pages.

    So do the pages of weeks, which are made as soon as each is planned.
    """

    context: Context
    window: Window
    units: Units
    parts: Parts
    keys: Keys
    inputs: SiteInput
    """What does not hang on weeks, with the pages of closed ones."""
    step: Callable[[], None]
    _new: dict[str, _New] = field(default_factory=dict)
    _stays: dict[str, dict[str, bytes]] = field(default_factory=dict)
    _lines: dict[int, Mapping[IsoWeek, list[Line]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._stays = {"site": dict(self.inputs.kept), "own": dict(self.inputs.own_kept)}

    @property
    def steps(self) -> int:
        """How often `step` is called."""
        return len(self._all_weeks) + len(self.window.months)

    def worked_out(self, spans: Sequence[SpanName], years: Sequence[int]) -> SiteInput:
        """The inputs with the pages of the window's weeks, its months, these spans and years."""
        weeks, months = self._all_weeks, self.window.months
        keys = {month: self.keys.month(month) for month in months}
        new_weeks = self._likely_new(weeks)
        new_months = [one for one, key in keys.items() if not self._keeps(f"month {one}", key)]
        self.parts.read(
            [*map(self.keys.days_of, new_weeks), *map(self._days_of, new_months)],
        )
        self._plan_weeks(weeks)
        plans = {one: self._month(one, keys[one]) for one in self._stepping(new_months, months)}
        own = tuple(_without_anything(self.context, week) for week in self.window.weeks)
        common, whole = self._spans(spans)
        found = self._years(years)
        self.keys.note_facts()
        return replace(
            self.inputs,
            own_weeks=own if self.context.config.site.own_pages else (),
            weeks=own,
            months=tuple(plans.get(one) or MonthPlan(one, ()) for one in months),
            reviews=tuple(common),
            own_reviews=tuple(whole),
            years=tuple(map(common_year, found)),
            own_years=tuple(found),
            texts=Texts(Gists(self.context)),
            kept=self._stays["site"],
            own_kept=self._stays["own"],
            left_out=tuple(self._left_out(weeks)),
        )

    @property
    def planned(self) -> tuple[str, ...]:
        """The units that were worked out, by name."""
        return tuple(sorted(self._new))

    @property
    def rendered(self) -> tuple[str, ...]:
        """Those of them of which pages were made."""
        return tuple(sorted(name for name, one in self._new.items() if one.names))

    def take(self, tree: str, inputs: SiteInput) -> Take:
        """What `pages` of that tree asks for pages that belong to no week, month or span."""

        def taken(name: str, make: Callable[[], bytes], about: object = None) -> bytes:
            key = self._key_of_page(inputs, tree, name, about)
            unit_name = f"page {tree}/{name}"
            unit = self.units.kept(unit_name, key) if key else None
            found = self.units.pages(unit, tree).get(name) if unit is not None else None
            if found is not None:
                return found
            if key:
                self._new[unit_name] = _New(Unit(key), (name,))
            return make()

        return taken

    def note(self, trees: Trees) -> None:
        """Note what came of each unit, once its pages are in place."""
        for name, (unit, names) in self._new.items():
            own = {name.partition(" ")[2].partition("/")[0]} if name.startswith("page ") else trees
            found = noted({tree: trees[tree] for tree in own}, names) if names else unit.pages
            self.units.note(name, replace(unit, pages=found))

    # Weeks and months

    @cached_property
    def _all_weeks(self) -> tuple[IsoWeek, ...]:
        return self.window.shown(self.context.rule)

    def _days_of(self, month: Month) -> Days:
        rule = self.context.rule
        return rule.start(month.first), rule.days(rule.week_of(month.last))[-1]

    def _is_live(self, week: IsoWeek) -> bool:
        """Whether its page is made from its plan: closed weeks have theirs already."""
        return week in self.window.weeks and f"{week}.html" not in self.inputs.kept

    def _likely_new(self, weeks: Iterable[IsoWeek]) -> list[IsoWeek]:
        """The weeks to be planned if those ahead go on having a place for what they had one for.

        What had one in a week that is over by now has found another in this week. Where that is
        not so, weeks after them are planned, too, or are not: see `_plan_weeks`.
        """
        found, placed = [], Placed(lambda week: True)
        for week in weeks:
            name = f"week {week}"
            if not self.units.is_kept(name, self.keys.week(week, placed.before)):
                found.append(week)
            placed.add(week, self.units.before(name))
        return found

    def _plan_weeks(self, weeks: Iterable[IsoWeek]) -> None:
        """Plan those of these weeks that are not as they were, in order, and make their pages."""
        placed = Placed(self.keys.is_ahead)
        for week in weeks:
            name, key = f"week {week}", self.keys.week(week, placed.before)
            if not self._keeps(name, key):
                planner = self.parts.of(self.keys.days_of(week)).planner
                for earlier, tasks in placed.weeks.items():
                    planner.know_placed(earlier, tasks)
                self._week(week, key)
            placed.add(week, self._unit(name))
            self.step()

    def _unit(self, name: str) -> Unit | None:
        return self._new[name].unit if name in self._new else self.units.before(name)

    def _week(self, week: IsoWeek, key: str) -> None:
        gathered = self.parts.of(self.keys.days_of(week))
        name = f"week {week}"
        if not self._is_live(week):
            self._new[name] = _New(Unit(key, gist=self._gist(week, gathered)), ())
            return
        # First: what has a place in it is known then, and needs not be worked out for its gist.
        spread = week_of(self.context, gathered.planner, week)
        days = self.context.rule.days(week)

        def made_of() -> tuple[object, ...]:
            return (
                self.keys.links_of_week(week),
                self.keys.lasting_facts(week),  # its rows of habits, and when it was marked last
                self.keys.shown_events(days[0], days[-1]),
                _to_the_day(self.context, spread),
            )

        unit = Unit(key, gist=self._gist(week, gathered))
        if not self._compare(name, unit, made_of, f"{week}.html", enter_name(week)):
            # At once: the plans of two years take more room than all the pages.
            self._stays["site"] |= self._pages.common(views.common(spread))
            if self.context.config.site.own_pages:
                self._stays["own"] |= self._pages.own(spread)

    @cached_property
    def _pages(self) -> WeekPages:
        return WeekPages(self.keys.with_all_links)

    def _gist(self, week: IsoWeek, gathered: Gathered) -> Gist:
        """The gist of a week; the lines of a part are made at once, since much may be left out."""
        if id(gathered) not in self._lines:
            lines = left_out_lines(self.context, self.window, gathered.left_out)
            self._lines[id(gathered)] = lines
        placed = gathered.planner.placed(week) if self.keys.is_ahead(week) else ()
        return week_gist(self._lines[id(gathered)].get(week, []), placed)

    def _month(self, month: Month, key: str) -> MonthPlan:
        planner = self.parts.of(self._days_of(month)).planner
        plan = planner.month(month)
        closed = (self.context.archive.get(week) for week, _ in plan.weeks)
        plan = views.common(month_with(plan, [one.spread for one in closed if one is not None]))

        def made_of() -> tuple[object, ...]:
            return (
                self.keys.links_of_month(month),
                self.keys.shown_events(*self._days_of(month)),
                [tuple(map(in_month, days)) for _, days in plan.weeks],
                [one for row in plan.spans for one in row if one.occurrence is None],
                plan.coming_up,
            )

        self._compare(f"month {month}", Unit(key), made_of, f"{month}.html")
        return plan

    # Spans that are looked back on, and years

    def _spans(self, spans: Iterable[SpanName]) -> tuple[list[Review], list[Review]]:
        common: list[Review] = []
        whole: list[Review] = []
        for span in spans:
            name, key = f"review {span.kind.value} {span.id}", self.keys.review(span)
            if self._keeps(name, key):
                continue
            # Nothing of it comes from events.
            seen, own = site_reviews(self.context, self.parts.bare.planner, [span])
            made_of = partial(tuple[object, ...], (self.keys.links_of_span(span), seen, own))
            if not self._compare(name, Unit(key), made_of, name_of(span)):
                common += seen
                whole += own
        return common, whole

    def _years(self, numbers: Iterable[int]) -> list[Year]:
        found: list[Year] = []
        for number in numbers:
            name, key = f"year {number}", self.keys.year(number)
            if self._keeps(name, key):
                continue
            year = whole_year(self.context, self.parts.bare.planner, Gists(self.context), number)
            made_of = partial(tuple[object, ...], (self.keys.links_of_year(number), year))
            if not self._compare(name, Unit(key), made_of, year_name(number)):
                found.append(year)
        return found

    # What is taken over

    @cached_property
    def _beside(self) -> Mapping[str, IsoWeek]:
        return {f"{week}.html": week for week in self.inputs.beside}

    def _keeps(self, name: str, key: str) -> bool:
        """Whether the unit is as it was: then its pages stay."""
        unit = self.units.kept(name, key)
        if unit is not None:
            self._take_over(unit)
        return unit is not None

    def _compare(
        self, name: str, unit: Unit, made_of: Callable[[], tuple[object, ...]], *names: str
    ) -> bool:
        """Whether the same came out as before: then its pages stay, else these are made.

        What is made for the first time is like nothing before, and of what it was made is not
        told: to tell it of two years takes a tenth of a first night, and should a unit come out
        the same the next time it is planned, its pages are made once for nothing.
        """
        before = None
        if self.units.before(name) is not None:
            unit = replace(unit, made_of=fingerprint(self.keys.frame, *made_of()))
            before = self.units.same(name, unit.made_of)
        if before is not None:
            self._take_over(before)
            unit = replace(unit, pages=before.pages)
        self._new[name] = _New(unit, names if before is None else ())
        return before is not None

    def _take_over(self, unit: Unit) -> None:
        for tree, pages in self._stays.items():
            pages |= self.units.pages(unit, tree)

    def _key_of_page(self, inputs: SiteInput, tree: str, name: str, about: object) -> str:
        """The key of a page alone, "" where it is made each time."""
        keys = self.keys
        if name == "problems.html":
            return ""  # it says when each source was pulled
        rest = about
        if name == "index.html":
            rest = (
                keys.all_links,
                self.context.today,
                [(one.kind.value, one.counts) for one in inputs.problems],
                inputs.states if tree == "site" else (),
            )
        elif name.startswith("search-"):
            weeks = self.context.archive.weeks
            rest = (
                keys.all_links,
                [(str(week), self.context.archive.digest(week)) for week in sorted(weeks)],
            )
        elif (week := self._beside.get(name)) is not None:
            rest = keys.links_of_week(week), week > self.window.weeks[-1]
        elif name == SEARCH:
            rest = sorted(inputs.texts)
        return fingerprint(keys.frame, rest)

    def _left_out(self, weeks: Iterable[IsoWeek]) -> Iterator[LeftOut]:
        for week in weeks:
            unit = self._unit(f"week {week}")
            if unit is not None:
                yield from left_out_of(unit.gist)

    def _stepping(self, new: Collection[T], among: Iterable[T]) -> Iterator[T]:
        """The new ones; a step for each of all, as nobody should think that it stands still."""
        for one in among:
            if one in new:
                yield one
            self.step()


class Texts(Mapping[int, Sequence[tuple[IsoWeek, Sequence[Text]]]]):
    """The texts of closed weeks by year, on common pages; read when a year is asked for."""

    def __init__(self, gists: Gists) -> None:
        self._gists = gists

    def __getitem__(self, year: int) -> Sequence[tuple[IsoWeek, Sequence[Text]]]:
        if year not in self._gists.years:
            raise KeyError(year)
        return tuple(common_texts(self._gists, year))

    def __iter__(self) -> Iterator[int]:
        return iter(self._gists.years)

    def __len__(self) -> int:
        return len(self._gists.years)


def _without_events(day: Day) -> Day:
    """The day without what `Keys.shown_events` stands for: hundreds of events take their time."""
    return replace(day, occurrences=())


def _without_anything(context: Context, week: IsoWeek) -> Spread:
    """What pages of many weeks need of a week: its name and its days."""
    return Spread(week, tuple(Day(day, week, 0) for day in context.rule.days(week)))


def _to_the_day(context: Context, spread: Spread) -> Spread:
    """The week without its events and the rows of its habits, for which keys stand.

    Of since when things are proposed pages show the day alone.
    """
    plan, days = spread.plan, tuple(map(_without_events, spread.days))
    if plan is not None and plan.proposal is not None:
        local = LocalDays(context.tz)
        since = max(local.of(plan.proposal.since), days[0].date)
        plan = replace(plan, proposal=replace(plan.proposal, since=local.start(since)))
    return replace(spread, days=days, habits=(), left_out=(), plan=plan)
