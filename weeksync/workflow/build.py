"""The build: store and household files in, a new generation of pages out."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import weeksync
from weeksync import zones
from weeksync.lazy import dataclass
from weeksync.message import Message, counted, message
from weeksync.model.problem import Problem
from weeksync.model.spread import Spread
from weeksync.model.week import IsoWeek, Month
from weeksync.plan import Planner, views
from weeksync.plan.kept import month_with
from weeksync.site import SiteInput, own_pages
from weeksync.site.generations import publish
from weeksync.site.last_mark import marked_at
from weeksync.site.offline import STATUS
from weeksync.site.pages import pages
from weeksync.site.review_links import key_of
from weeksync.site.tree_files import Trees
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.gather import Gathered, gather
from weeksync.workflow.kept_pages import KeptPages, templates_of
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.progress import Progress, Silent
from weeksync.workflow.review import begun, long_spans, site_reviews
from weeksync.workflow.years import with_years, years_of


@dataclass(frozen=True, slots=True)
class Window:
    """The weeks and months that have pages, and the days these show."""

    weeks: tuple[IsoWeek, ...]
    months: tuple[Month, ...]
    first: date
    last: date

    @classmethod
    def of(cls, context: Context) -> Window:
        """The window that `[site]` of `config.toml` asks for, around the week of `now`."""
        site, rule = context.config.site, context.rule
        middle = rule.week_of(context.today)
        weeks = tuple(middle.shifted(by) for by in range(-site.weeks_back, site.weeks_ahead + 1))
        first, last = rule.days(weeks[0])[0], rule.days(weeks[-1])[-1]
        months = [Month.of(first)]
        while months[-1] < Month.of(last):
            months.append(months[-1].shifted(1))
        return cls(
            weeks,
            tuple(months),
            min(first, rule.start(months[0].first)),
            max(last, rule.days(rule.week_of(months[-1].last))[-1]),
        )


@dataclass(frozen=True, slots=True)
class Built:
    """What came of a build."""

    outcome: Outcome
    steady_until: datetime
    """`Planner.steady_until`: before then another build makes the same pages, but for the times
    at which calendars were looked at."""


def build(context: Context, store: Store, *, progress: Progress | None = None) -> Outcome:
    """Make every page and flip them in; on any error the last good site stays as it is."""
    return make(context, store, progress=progress).outcome


def make(context: Context, store: Store, *, progress: Progress | None = None) -> Built:
    """The same, and how long it holds."""
    window = Window.of(context)
    show = progress or Silent()
    show.start(message("Reading calendars"), 1)
    gathered = gather(context, store, window.first, window.last)
    show.step()
    show.start(message("Making pages"), len(window.weeks) + len(window.months) + 1)
    inputs = site_inputs(context, store, window, gathered, show)
    inputs = with_years(context, gathered.planner, inputs, window.first, window.last)
    inputs = KeptPages(context, store).of(inputs, window.weeks)
    trees = {"site": pages(inputs)}
    if context.config.site.own_pages:
        trees["own"] = own_pages(inputs)
    moved = _moved(context.output, trees)
    published = publish(context.output, trees, private=["own"])
    show.step()
    outcome = Outcome.of(_done(context, window, published.changed - moved), inputs.problems)
    return Built(outcome, gathered.planner.steady_until())


def _moved(output: Path, trees: Trees) -> int:
    """How many files differ from what is shown only because they say when they were made."""
    places = [(output / name / STATUS, files[STATUS]) for name, files in trees.items()]
    return sum(not place.is_file() or place.read_bytes() != new for place, new in places)


def site_inputs(
    context: Context, store: Store, window: Window, gathered: Gathered, show: Progress
) -> SiteInput:
    """What the pages of a window are made from; a step of `show` for each week and month."""
    planner = gathered.planner
    own = []
    for week in window.weeks:
        own.append(week_of(context, planner, week))
        show.step()
    kept = [spread for spread in own if spread.week in context.archive.weeks]
    months = []
    for month in window.months:
        months.append(views.common(month_with(planner.month(month), kept)))
        show.step()
    whole = Window.of(context)
    reviews, own_reviews = site_reviews(
        context, planner, begun(context, window.weeks, window.months)
    )
    longer = long_spans(context, whole.first, whole.last)
    # Records of closed weeks that cannot be read were asked for above.
    problems: list[Problem] = [*gathered.problems, *context.archive.problems]
    for spread in own:
        problems += spread.problems
    states = store.states()
    return SiteInput(
        config=context.config,
        language=context.language,
        weeks=tuple(views.common(spread) for spread in own),
        months=tuple(months),
        own_weeks=tuple(own),
        today=context.today,
        now=context.now,
        problems=Outcome.of((), problems).problems,
        states=tuple(
            states[source.id] for source in context.config.calendars if source.id in states
        ),
        left_out=gathered.left_out,
        tzdata=zones.tzdata_version(),
        version=weeksync.__version__,
        templates=templates_of(context),
        reviews=reviews,
        own_reviews=own_reviews,
        looked_back=frozenset(
            key_of(one.kind, one.id)
            for one in (*begun(context, whole.weeks, whole.months), *longer)
        ),
        spans=longer,
        with_years=frozenset(years_of(context, whole.first, whole.last)),
        can_search=True,
        marked=marked_at(context.files.marks),
    )


def week_of(context: Context, planner: Planner, week: IsoWeek) -> Spread:
    """The week as it was closed; as it is planned where it is not, or its record is damaged."""
    closed = context.archive.get(week)
    return closed.spread if closed is not None else planner.week(week)


def _done(context: Context, window: Window, changed: int) -> tuple[Message, ...]:
    index = context.output / "site" / "index.html"
    if not changed:
        return (message("Nothing has changed; the pages are in {place}", place=str(index)),)
    return (
        counted(
            "{count} week is ready: {place}",
            "{count} weeks are ready: {place}",
            len(window.weeks),
            place=str(index),
        ),
    )
