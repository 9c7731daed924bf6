"""Pages of one person, made when they are asked for; nothing of what is only for others."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

import weeksync
from weeksync import zones
from weeksync.model.review import SpanKind
from weeksync.model.week import IsoWeek
from weeksync.plan import views
from weeksync.site import (
    SiteInput,
    absent_pages,
    check_in_page,
    frozen_own_page,
    neighbours,
    own_page,
)
from weeksync.site.caution import CAUTIONS
from weeksync.site.review_links import key_of
from weeksync.store import Store
from weeksync.workflow import check_in
from weeksync.workflow.build import Window, site_inputs
from weeksync.workflow.context import Context
from weeksync.workflow.gather import gather
from weeksync.workflow.kept_pages import templates_of
from weeksync.workflow.progress import Silent
from weeksync.workflow.review import begun, long_spans, own_review, spreads_of
from weeksync.workflow.year_gists import Gists
from weeksync.workflow.years import whole_year, year_for, year_planner, years_of

START, CHECK_IN = "index.html", "check-in.html"

_REVIEW = re.compile(
    r"review-([0-9]{4}(?:-W[0-9]{2}|-[0-9]{2})?|term-[a-z0-9-]{1,64})\.html", re.ASCII
)
_YEAR = re.compile(r"year-([0-9]{4})\.html", re.ASCII)


def page_for(context: Context, person: str, name: str, query: Mapping[str, str]) -> bytes | None:
    """The page of that name for that person: the start page, the one of cautions, one of a week
    that has a common page, one that looks back on what has one and has begun, the one of a year, or
    with `check-in.html` the form of `query["day"]`, without it today's.

    None where there is none; UsageError for a day that cannot have a check-in.
    """
    if context.config.person(person) is None:
        return None
    if name == CHECK_IN:
        day = check_in.named_day(context, query.get("day", ""))
        entry = check_in.held_entry(context, person, day)
        return check_in_page(_inputs(context, person, ()), person, day, entry.fields, entry.seen)
    if name == CAUTIONS:
        return own_page(_inputs(context, person, ()), name)
    if (found := _REVIEW.fullmatch(name)) is not None:
        return _review(context, person, name, found[1])
    if (found := _YEAR.fullmatch(name)) is not None:
        return _year(context, person, name, int(found[1]))
    weeks = Window.of(context).weeks
    kept = _kept(context, person, name, weeks)
    if kept is not None:
        return kept
    wanted = weeks if name == START else tuple(one for one in weeks if f"{one}.html" in name)
    return own_page(_inputs(context, person, wanted), name) if wanted else None


def _review(context: Context, person: str, name: str, key: str) -> bytes | None:
    """The page that looks back on what has a page of its own, and has begun.

    Of a week it leads to where the own questions are answered.
    """
    window = Window.of(context)
    spans = (
        *begun(context, window.weeks, window.months),
        *long_spans(context, window.first, window.last),
    )
    span = next((one for one in spans if key_of(one.kind, one.id) == key), None)
    if span is None:
        return None
    with Store.open(context.state, write=False) as store:
        gathered = gather(context, store, span.first, span.last)
    review = own_review(context, spreads_of(context, gathered.planner, span), span, person)
    inputs = _inputs(context, person, ())
    asks = span.kind is SpanKind.WEEK and bool(context.config.review.questions)
    return own_page(replace(inputs, own_reviews=(review,), can_answer=asks), name)


def _year(context: Context, person: str, name: str, number: int) -> bytes | None:
    """The page of a year; nothing of it comes from calendars, so none is read."""
    window = Window.of(context)
    years = years_of(context, window.first, window.last)
    if number not in years:
        return None
    year = whole_year(context, year_planner(context), Gists(context), number)
    inputs = SiteInput(
        config=context.config,
        language=context.language,
        weeks=(),
        months=(),
        today=context.today,
        tzdata=zones.tzdata_version(),
        version=weeksync.__version__,
        templates=templates_of(context),
        elsewhere=frozenset(window.weeks) | context.archive.weeks,
        own_years=(year_for(year, person),),
        with_years=frozenset(years),
        looked_back=frozenset(
            key_of(one.kind, one.id) for one in long_spans(context, window.first, window.last)
        ),
    )
    return own_page(inputs, name)


def _kept(context: Context, person: str, name: str, weeks: tuple[IsoWeek, ...]) -> bytes | None:
    """The page where it is that of a closed week, or of one beside it of which nothing is kept."""
    closed = {f"{week}.html": week for week in context.archive.weeks}
    if name in closed:
        found = context.archive.get(closed[name])
        if found is None:
            return None
        return frozen_own_page(found, views.for_person(found.spread, person), templates_of(context))
    beside = {one for week in closed.values() for one in neighbours(week)} - set(weeks)
    absent = [week for week in beside if f"{week}.html" == name]
    return absent_pages(_inputs(context, person, ()), absent, "own-absent").get(name)


def _inputs(context: Context, person: str, weeks: tuple[IsoWeek, ...]) -> SiteInput:
    """What the pages of these weeks are made from, as far as that person may see it."""
    window = Window.of(context)
    with Store.open(context.state, write=False) as store:
        gathered = gather(context, store, window.first, window.last)
        part = replace(window, weeks=weeks, months=())
        inputs = site_inputs(context, store, part, gathered, Silent())
    return replace(
        inputs,
        weeks=(),
        own_weeks=tuple(views.for_person(spread, person) for spread in inputs.own_weeks),
        reviews=(),
        own_reviews=(),
        problems=(),
        left_out=(),
        elsewhere=frozenset(window.weeks) | context.archive.weeks,
    )
