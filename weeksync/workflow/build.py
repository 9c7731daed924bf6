"""The build: store and household files in, a new generation of pages out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import weeksync
from weeksync import zones
from weeksync.lazy import dataclass
from weeksync.message import Message, counted, message
from weeksync.model.problem import Problem
from weeksync.plan import views
from weeksync.plan.kept import month_with
from weeksync.site import SiteInput, own_pages
from weeksync.site.generations import publish
from weeksync.site.last_mark import marked_at
from weeksync.site.offline import STATUS
from weeksync.site.pages import pages
from weeksync.site.review_links import key_of
from weeksync.site.tree_files import Kept, Trees
from weeksync.store import Store
from weeksync.workflow import holiday_memo
from weeksync.workflow.context import Context
from weeksync.workflow.day_digests import day_digests
from weeksync.workflow.gather import Gathered, window_of
from weeksync.workflow.kept_expansions import KeptExpansions
from weeksync.workflow.kept_pages import KeptPages, templates_of
from weeksync.workflow.making import Making
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.parts import Parts
from weeksync.workflow.progress import Progress, Silent
from weeksync.workflow.review import begun, long_spans, site_reviews
from weeksync.workflow.unit_keys import Keys
from weeksync.workflow.units import Units
from weeksync.workflow.window import Window, week_of
from weeksync.workflow.years import years_of

__all__ = ["Built", "Window", "build", "make", "site_inputs", "week_of"]


@dataclass(frozen=True, slots=True)
class Built:
    """What came of a build."""

    outcome: Outcome
    steady_until: datetime
    """`Planner.steady_until`: before then another build makes the same pages, but for the times
    at which calendars were looked at."""
    planned: tuple[str, ...] = ()
    """The units (`weeksync.workflow.units`) that were worked out, as `week 2027-W12`."""
    rendered: tuple[str, ...] = ()
    """Those of them that came out otherwise than before, so that their pages were made."""
    fresh: tuple[str, ...] | None = None
    """The files that were made, as `site/index.html`; all others are shown as they were before."""


def build(context: Context, store: Store, *, progress: Progress | None = None) -> Outcome:
    """Make every page and flip them in; on any error the last good site stays as it is."""
    return make(context, store, progress=progress).outcome


def first_expansions(context: Context, store: Store) -> KeptExpansions | None:
    """Where no calendar's expansion is kept: those of a build's window, to be begun in a pull."""
    window = Window.of(context)
    days = window_of(context, window.first, window.last)
    found = KeptExpansions(context, store, days, notes=False)
    return found if found.is_new else None


def make(
    context: Context,
    store: Store,
    *,
    progress: Progress | None = None,
    kept: KeptExpansions | None = None,
) -> Built:
    """The same, and how long it holds. `kept` are the `first_expansions`, begun by now.

    Only what has changed is planned and rendered (`making`); the pages are those of a build that
    had nothing to go by, byte for byte.
    """
    window = Window.of(context)
    show = progress or Silent()
    show.start(message("Reading calendars"), 1)
    holiday_memo.recall(store)
    units, parts = Units(store, context.output), Parts(context, store, window, kept)
    if units.is_new:  # before the digests: what is expanded for the pages is not read back then
        if kept is None and store.expansion_heads():  # of another window, if a night did not end
            day_digests(context, store, window.first, window.last)
        parts.read_all()
    digests = day_digests(context, store, window.first, window.last)
    if not (units.is_new or parts.are_local(units)):
        parts.read_all()
    show.step()
    inputs = _of_all(context, store, parts.bare.problems)
    inputs = KeptPages(context, store).of(inputs, window.weeks)
    keys = Keys(context, units, digests, inputs, window.weeks, window.months, parts)
    making = Making(context, window, units, parts, keys, inputs, show.step)
    show.start(message("Making pages"), making.steps + 1)
    spans = (*begun(context, window.weeks, window.months), *inputs.spans)
    inputs = making.worked_out(spans, sorted(inputs.with_years))
    until = parts.bare.planner.steady_until()
    parts.let_go()
    problems = Outcome.of((), [*inputs.problems, *context.archive.problems]).problems
    inputs = replace(inputs, problems=problems)
    trees = {"site": pages(inputs, making.take("site", inputs))}
    if context.config.site.own_pages:
        trees["own"] = own_pages(inputs, making.take("own", inputs))
    moved = _moved(context.output, trees)
    published = publish(context.output, trees, private=["own"])
    if not context.archive.problems:  # what is damaged is to be told again by the next run
        making.note(trees)
        units.save()
    holiday_memo.keep(store)
    show.step()
    outcome = Outcome.of(_done(context, window, published.changed - moved), problems)
    fresh: tuple[str, ...] | None = None
    if moved == len(trees):  # else there are pages of the same instant, which is not to be missed
        fresh = tuple(
            f"{tree}/{path}"
            for tree, files in trees.items()
            for path, content in files.items()
            if not isinstance(content, Kept)
        )
    return Built(outcome, until, making.planned, making.rendered, fresh)


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
    reviews, own_reviews = site_reviews(
        context, planner, begun(context, window.weeks, window.months)
    )
    # Records of closed weeks that cannot be read were asked for above.
    problems: list[Problem] = [*gathered.problems, *context.archive.problems]
    for spread in own:
        problems += spread.problems
    return replace(
        _of_all(context, store, problems),
        weeks=tuple(views.common(spread) for spread in own),
        months=tuple(months),
        own_weeks=tuple(own),
        left_out=gathered.left_out,
        reviews=reviews,
        own_reviews=own_reviews,
    )


def _of_all(context: Context, store: Store, problems: Iterable[Problem]) -> SiteInput:
    """What pages are made from besides weeks, months and longer spans."""
    whole = Window.of(context)
    longer = long_spans(context, whole.first, whole.last)
    states = store.states()
    return SiteInput(
        config=context.config,
        language=context.language,
        weeks=(),
        months=(),
        today=context.today,
        now=context.now,
        problems=Outcome.of((), problems).problems,
        states=tuple(
            states[source.id] for source in context.config.calendars if source.id in states
        ),
        entries=store.entry_counts(),
        tzdata=zones.tzdata_version(),
        version=weeksync.__version__,
        templates=templates_of(context),
        looked_back=frozenset(
            key_of(one.kind, one.id)
            for one in (*begun(context, whole.weeks, whole.months), *longer)
        ),
        spans=longer,
        with_years=frozenset(years_of(context, whole.first, whole.last)),
        can_search=True,
        marked=marked_at(context.files.marks),
        beside=frozenset(whole.shown(context.rule)).difference(whole.weeks),
    )


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
