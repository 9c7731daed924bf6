"""A few week pages made and put in place at once, long before the whole site could be."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from weeksync.model.week import IsoWeek, Month
from weeksync.site import Published, week_pages
from weeksync.site.overlay import overlay
from weeksync.store import Store
from weeksync.workflow.build import Window, site_inputs
from weeksync.workflow.context import Context
from weeksync.workflow.gather import gather
from weeksync.workflow.progress import Silent


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
    gathered = gather(context, store, window.first, window.last)
    inputs = site_inputs(context, store, part, gathered, Silent())
    shown = context.output / "site"
    closed = [week for week in context.archive.weeks if (shown / f"{week}.html").is_file()]
    inputs = replace(inputs, elsewhere=frozenset((*window.weeks, *window.months, *closed)))
    return overlay(context.output, {"site": week_pages(inputs)}, private=["own"])
