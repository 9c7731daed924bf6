"""A few week pages made and put in place at once, long before the whole site could be."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from datetime import date

from weeksync.model.week import IsoWeek, Month
from weeksync.site import Published, week_pages
from weeksync.site.overlay import overlay
from weeksync.store import Store
from weeksync.workflow import holiday_memo
from weeksync.workflow.build import site_inputs
from weeksync.workflow.context import Context
from weeksync.workflow.parts import Parts
from weeksync.workflow.progress import Silent
from weeksync.workflow.units import Units
from weeksync.workflow.window import Window


def build_weeks(context: Context, store: Store, weeks: Collection[IsoWeek]) -> Published | None:
    """Make the pages of these weeks, as `build` would make them, and put them in place.

    Weeks without a page, and closed ones, are passed over. None, and nothing is done, where no
    site is shown yet.
    """
    window = Window.of(context)
    wanted = tuple(week for week in window.weeks if week in weeks and week not in context.archive)
    if not wanted:
        return Published(0)
    days = [day for week in wanted for day in context.rule.days(week)]
    months = {Month.of(day) for day in days}
    part = replace(
        window, weeks=wanted, months=tuple(one for one in window.months if one in months)
    )
    holiday_memo.recall(store)
    parts = Parts(context, store, window)
    planned = _planned_from(context, wanted), context.rule.days(max(wanted))[-1]
    if parts.are_local(Units(store, context.output)):
        parts.read([planned])
    else:
        parts.read_all()
    inputs = site_inputs(context, store, part, parts.of(planned), Silent())
    shown = context.output / "site"
    closed = [week for week in context.archive.weeks if (shown / f"{week}.html").is_file()]
    inputs = replace(inputs, elsewhere=frozenset((*window.weeks, *window.months, *closed)))
    return overlay(context.output, {"site": week_pages(inputs)}, private=["own"])


def _planned_from(context: Context, weeks: Collection[IsoWeek]) -> date:
    """The first day that the plans of these weeks are made of, a margin left out.

    Where anything may be proposed in one of them, the weeks from this one on come before it.
    """
    rule, ahead = context.rule, context.config.planning.look_ahead_weeks
    this = rule.week_of(context.today)
    first = min(weeks)
    if any(this <= week <= this.shifted(ahead) for week in weeks):
        first = min(first, this)
    return rule.days(first)[0]
