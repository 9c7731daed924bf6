"""The keys of units of pages: what goes into each, without working it out.

Which days a page reads is bounded here, and shown to be so by the tests: a week reads its own days
and two on either side (`MARGIN`), and what is to be begun in it as far as the household looks
ahead. All that comes from no event is in its facts (`weeksync.plan.facts`), which also know what
day it is. Where anything is proposed in it, of the weeks before it counts for which tasks they have
a place. Pages that look back, and those of years, are made of facts alone.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import field, replace
from datetime import date, timedelta
from functools import cached_property

from weeksync.household.listing import CONFIG
from weeksync.lazy import dataclass
from weeksync.model.household import ReviewAnswer
from weeksync.model.review import SpanKind, SpanName
from weeksync.model.week import IsoWeek, Month
from weeksync.plan import Planner
from weeksync.plan.engagements import MARGIN
from weeksync.site import SiteInput
from weeksync.site.frame import source_line, still
from weeksync.site.words import Words
from weeksync.workflow.context import Context
from weeksync.workflow.day_digests import DayDigests
from weeksync.workflow.fingerprint import fingerprint
from weeksync.workflow.gather import window_of
from weeksync.workflow.kept_facts import KeptFacts
from weeksync.workflow.kept_pages import made_with
from weeksync.workflow.parts import Parts
from weeksync.workflow.units import Units
from weeksync.workflow.years import weeks_of


@dataclass
class Keys:
    """The keys of one build."""

    context: Context
    units: Units
    digests: DayDigests
    inputs: SiteInput
    """What does not hang on weeks, with the pages of closed ones."""
    weeks: Collection[IsoWeek]
    months: Collection[Month]
    """Those that have pages and are not closed."""
    parts: Parts
    _weeks: dict[tuple[IsoWeek, frozenset[str]], str] = field(default_factory=dict)

    @property
    def planner(self) -> Planner:
        """Any planner: its events are not looked at."""
        return self.parts.bare.planner

    # What goes into everything

    @cached_property
    def with_all_links(self) -> SiteInput:
        """The inputs which know where links can lead to."""
        there: frozenset[IsoWeek | Month] = self.inputs.elsewhere.union(self.weeks, self.months)
        return replace(self.inputs, elsewhere=there)

    @cached_property
    def words(self) -> Words:
        """The words of the pages."""
        return Words(self.with_all_links)

    @cached_property
    def everything(self) -> str:
        """All files of the household, all that has no place in time, and the clock."""
        files = sorted(self.context.files.digests.items())
        return fingerprint(files, self.digests.rest, self.planner.todos, self.planner.proposing())

    @cached_property
    def frame(self) -> str:
        """What all pages have: how they are made, the configuration, and how the sources stand."""
        return fingerprint(
            *made_with(self.context),
            self._file(CONFIG),
            self.inputs.tzdata,
            [still(source_line(self.words, state)) for state in self.inputs.states],
        )

    @cached_property
    def _settings(self) -> str:
        """What every week is made of besides its facts and events."""
        snapshots = [
            (name, digest)
            for name, digest in sorted(self.context.files.digests.items())
            if name.startswith("snapshots/")
        ]
        by_hand = self._file("appointments.toml"), self._file("routines.toml")
        return fingerprint(self.frame, by_hand, snapshots)

    def _file(self, name: str) -> str:
        return self.context.files.digests.get(name, "")

    # Facts

    @cached_property
    def _facts(self) -> KeptFacts:
        """The facts that change with the day, and with everything else."""
        return KeptFacts(self.units, "facts", fingerprint(self.frame, self.everything))

    @cached_property
    def _lasting(self) -> KeptFacts:
        """Those that come of the household's files alone."""
        files = sorted(self.context.files.digests.items())
        return KeptFacts(self.units, "lasting facts", fingerprint(self.frame, files))

    def week_facts(self, week: IsoWeek) -> str:
        """Of a week as it is planned; of a closed one the digest of its record."""
        if week in self.context.archive.weeks:
            return self.context.archive.digest(week)
        lasting = self.lasting_facts(week)
        return lasting + self._facts.of(f"week {week}", lambda: self.planner.facts_of_week(week))

    def lasting_facts(self, week: IsoWeek) -> str:
        """Those of a week that is planned which are the same on each day before and after it."""
        today, days = self.context.today, self.context.rule.days(week)
        over = min(max((today - days[0]).days, 0), len(days))
        return self._lasting.of(
            f"week {week} {over}",
            lambda: (self.planner.lasting_facts_of_week(week), self.marked(week)),
        )

    def marked(self, week: IsoWeek) -> tuple[object, ...]:
        """When things of that week were marked last: the page says so."""
        days = (self.inputs.marked.get(day, {}) for day in self.context.rule.days(week))
        return tuple(sorted(day.items()) for day in days)

    def note_facts(self) -> None:
        """Keep the digests of facts for the next run."""
        self._facts.note()
        self._lasting.note()

    # Weeks and months

    def is_ahead(self, week: IsoWeek) -> bool:
        """Whether anything can be proposed or asked in that week."""
        return self._this <= week <= self._this.shifted(self._look_ahead)

    @cached_property
    def _this(self) -> IsoWeek:
        return self.context.rule.week_of(self.context.today)

    @property
    def _look_ahead(self) -> int:
        return self.context.config.planning.look_ahead_weeks

    def days_of(self, week: IsoWeek) -> tuple[date, date]:
        """The first and the last day that a plan of that week is made of, margins left out."""
        days = self.context.rule.days(week)
        return days[0], days[-1]

    def week(self, week: IsoWeek, before: frozenset[str]) -> str:
        """The key of a week; `before` are the tasks for which weeks ahead before it have a place.

        What is proposed in this week, and what is to be decided in it, hangs on everything.
        """
        found = self._weeks.get((week, before))
        if found is None:
            found = self._weeks[week, before] = self._week(week, before)
        return found

    def _week(self, week: IsoWeek, before: frozenset[str]) -> str:
        first, last = self.days_of(week)
        return fingerprint(
            self._settings,
            self.links_of_week(week),
            self.week_facts(week),
            self.everything if week == self._this else "",
            self._proposal(week, before) if self.is_ahead(week) else "",
            self._events(first - MARGIN, max(last + MARGIN, self._to_begin(last))),
        )

    def _proposal(self, week: IsoWeek, before: Collection[str]) -> str:
        """What a proposal is made of besides; of `now` it hangs only where it is near."""
        near = self.days_of(week)[0] - MARGIN <= self.context.today
        return fingerprint(
            self.planner.proposing() if near else (),
            self._facts.of(
                f"proposal {week} {fingerprint(sorted(before))}",
                lambda: self.planner.facts_of_proposal(week, before),
            ),
        )

    def month(self, month: Month) -> str:
        """The key of a month."""
        rule = self.context.rule
        first, last = rule.start(month.first), rule.start(month.last) + timedelta(days=6)
        return fingerprint(
            self._settings,
            self.links_of_month(month),
            self._closed(_weeks(rule.week_of(month.first), last, rule.days)),
            self._lasting.of(f"month {month}", lambda: self.planner.lasting_facts_of_month(month)),
            self._facts.of(f"month {month}", lambda: self.planner.facts_of_month(month)),
            self._events(first, max(last, self._to_begin(month.last))),
        )

    def _to_begin(self, last: date) -> date:
        """The last day of an event that may be begun on days up to `last`."""
        if not any(rule.prepare for rule in self.context.config.rules):
            return last  # appointments that say so themselves are in the settings
        return window_of(self.context, last, last)[1]

    def shown_events(self, first: date, last: date) -> tuple[object, ...]:
        """What stands for the events of whole weeks as a plan has them on their days.

        They are made of the calendars' texts, of the appointments, and of the configuration, which
        is in `frame`; the snapshot of a week says what of it is shown struck through, and those of
        a closed one are in its record.
        """
        weeks = list(_weeks(self.context.rule.week_of(first), last, self.context.rule.days))
        snapshots = [self._file(f"snapshots/{week}.json") for week in weeks]
        by_hand = self._file("appointments.toml")
        return self._events(first, last), by_hand, snapshots, self._closed(weeks)

    def _closed(self, weeks: Iterable[IsoWeek]) -> list[str]:
        """The digests of the records of these weeks, "" for those that are not closed."""
        archive = self.context.archive
        return [archive.digest(week) if week in archive.weeks else "" for week in weeks]

    def _events(self, first: date, last: date) -> bytes:
        """The digests of these days; days outside of the window have none."""
        low = max(first.toordinal() - self._first_day, 0)
        return b"".join(self._by_day[low : max(last.toordinal() + 1 - self._first_day, 0)])

    @cached_property
    def _first_day(self) -> int:
        return min(self.digests.days).toordinal()

    @cached_property
    def _by_day(self) -> list[bytes]:
        return [self.digests.days[day] for day in sorted(self.digests.days)]

    # Spans that are looked back on, and years

    def review(self, span: SpanName) -> str:
        """The key of a span that has begun."""
        rule = self.context.rule
        over = span.last < self.context.today
        weeks = list(_weeks(rule.week_of(span.first), span.last, rule.days))
        return fingerprint(
            self.frame,
            span,
            self.links_of_span(span),
            [self.week_facts(week) for week in weeks],
            [self._answers.get(str(week)) for week in weeks],
            "" if over else self.everything,
        )

    @cached_property
    def _answers(self) -> Mapping[str, list[ReviewAnswer]]:
        """What was answered of each week."""
        found: dict[str, list[ReviewAnswer]] = {}
        for one in self.context.files.answers:
            found.setdefault(one.week, []).append(one)
        return found

    def year(self, number: int) -> str:
        """The key of the page of a year."""
        weeks = tuple(weeks_of(number))
        return fingerprint(
            self.frame, self.links_of_year(number), [self.week_facts(week) for week in weeks]
        )

    # Links

    def links_of_week(self, week: IsoWeek) -> tuple[object, ...]:
        """Whether a week has a page, and which of the pages there are that it leads to."""
        rule, month = self.context.rule, Month.of(week.thursday)
        days = rule.days(week)
        months = {month, *map(Month.of, days)}
        return (
            week in self.words.weeks,
            self._led_to({week.shifted(-1), week.shifted(1)}),
            self._weeks_from(rule.week_of(month.first), rule.week_of(month.last)),
            sorted(map(str, months & self.words.months)),
            str(week) in self.inputs.looked_back,
            days[0] <= self.context.today,
        )

    def links_of_month(self, month: Month) -> tuple[object, ...]:
        """Which of the pages there are that the page of a month leads to."""
        rule = self.context.rule
        beside = {month.shifted(-1), month.shifted(1)} & self.words.months
        return (
            self._weeks_from(rule.week_of(month.first), rule.week_of(month.last)),
            sorted(map(str, beside)),
            str(month) in self.inputs.looked_back,
        )

    def links_of_span(self, span: SpanName) -> tuple[object, ...]:
        """Which of the pages there are that a page that looks back on a span leads to."""
        inputs, rule = self.inputs, self.context.rule
        around = [one for one in inputs.spans if one.first <= span.last and one.last >= span.first]
        year = span.last.year in inputs.with_years
        if span.kind not in {SpanKind.WEEK, SpanKind.MONTH}:
            months = map(str, _months(Month.of(span.first), Month.of(span.last)))
            return sorted(set(months) & inputs.looked_back), inputs.spans, year
        if span.kind is SpanKind.WEEK:
            week = rule.week_of(span.first)
            back: object = week in self.words.weeks
            near = {week.shifted(-1), week.shifted(1), Month.of(span.first), Month.of(span.last)}
        else:
            month = Month.of(span.first)
            back = month in self.words.months
            near = {month.shifted(-1), month.shifted(1)}
            near |= set(_weeks(rule.week_of(span.first), span.last, rule.days))
        return sorted(set(map(str, near)) & inputs.looked_back), back, around, year

    def links_of_year(self, number: int) -> tuple[object, ...]:
        """Which of the pages there are that the page of a year leads to, and what is to come."""
        weeks = tuple(weeks_of(number))
        return (
            self._weeks_from(weeks[0], weeks[-1]),
            sorted(self.inputs.with_years & {number - 1, number + 1}),
            f"{number:04}" in self.inputs.looked_back,
            [self.context.rule.start(week.thursday) > self.context.today for week in weeks],
        )

    @cached_property
    def all_links(self) -> str:
        """Which pages there are."""
        inputs = self.inputs
        return fingerprint(
            sorted(map(str, self.words.weeks)),
            sorted(map(str, self.words.months)),
            sorted(inputs.looked_back),
            inputs.spans,
            sorted(inputs.with_years),
        )

    def _weeks_from(self, first: IsoWeek, last: IsoWeek) -> list[str]:
        low, high = bisect_left(self._in_order, first), bisect_right(self._in_order, last)
        return self._led_to(self._in_order[low:high])

    @cached_property
    def _in_order(self) -> list[IsoWeek]:
        return sorted(self.words.led_to)

    def _led_to(self, weeks: Iterable[IsoWeek]) -> list[str]:
        """Those of the weeks that pages lead to; pages of one's own only to what has a page."""
        found = sorted(map(str, self.words.led_to.intersection(weeks)))
        if self.context.config.site.own_pages:
            found += ["own", *sorted(map(str, self.words.weeks.intersection(weeks)))]
        return found


def _weeks(
    week: IsoWeek, last: date, days: Callable[[IsoWeek], tuple[date, ...]]
) -> Iterable[IsoWeek]:
    """The weeks from that one to the one that holds `last`."""
    while days(week)[0] <= last:
        yield week
        week = week.shifted(1)


def _months(month: Month, last: Month) -> Iterable[Month]:
    """The months from the one to the other."""
    while month <= last:
        yield month
        month = month.shifted(1)
