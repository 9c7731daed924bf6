"""The week as merged: one model of everything from records, without I/O and without a clock.

In the order of a run: `assign` and `assign_todos` say whose an event is, `merge` and
`merge_todos` show one event of two calendars once, `Planner` makes weeks, months and spans of
it, `views` takes out what somebody should not or need not see, `record` writes a span as JSON.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from weeksync.lazy import lazily

if TYPE_CHECKING:
    from weeksync.plan.assign import assign_todos
    from weeksync.plan.merge import merge_todos
    from weeksync.plan.planner import Planner

__all__ = ["Planner", "assign_todos", "merge_todos"]

__getattr__ = lazily(
    __name__,
    {
        "weeksync.plan.assign": ("assign_todos",),
        "weeksync.plan.merge": ("merge_todos",),
        "weeksync.plan.planner": ("Planner",),
    },
)
