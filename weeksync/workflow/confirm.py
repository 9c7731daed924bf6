"""Confirming a week: what it shows now is what later changes are counted from."""

from __future__ import annotations

from weeksync.errors import UsageError
from weeksync.household import write_snapshot
from weeksync.message import message
from weeksync.model.week import IsoWeek
from weeksync.plan.snapshot import take
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome, unique
from weeksync.workflow.show import planned


def confirm(context: Context, week: IsoWeek) -> Outcome:
    """Take the snapshot of a week as it is shown now, in place of an earlier one.

    UsageError where the week is over: what it showed while it lasted cannot be told any more.
    """
    if context.rule.days(week)[-1] < context.today:
        raise UsageError(
            message("{week} is over; name this week or a later one, as next", week=str(week))
        )
    gathered, spread = planned(context, week)
    place = write_snapshot(context.folder, take(spread, context.local_now))
    done = [
        message(
            "{week} is confirmed as it stands now ({place}); what changes from here on is listed "
            "with it.",
            week=str(week),
            place=str(place),
        )
    ]
    return Outcome.of(done, unique((*gathered.problems, *spread.problems)))
