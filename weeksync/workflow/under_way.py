"""What is left of a day that is under way."""

from __future__ import annotations

from weeksync.model.week_plan import DayLoad
from weeksync.plan.day_room import first_minute, of_load
from weeksync.workflow.context import Context


def still_plannable(context: Context, load: DayLoad) -> int:
    """The minutes of a load that can still be planned from now on, as a proposal counts them.

    All of them on a day to come, and where the load has no gaps, as on a common page.
    """
    return of_load(load, first_minute(context.now), rests=False).plannable
