"""The week as merged: one model of everything from records, without I/O and without a clock.

In the order of a run: `assign` and `assign_todos` say whose an event is, `merge` and
`merge_todos` show one event of two calendars once, `Planner` makes weeks, months and spans of
it, `views` takes out what somebody should not or need not see, `record` writes a span as JSON.
"""

from weeksync.plan import record, views
from weeksync.plan.assign import assign, assign_todos
from weeksync.plan.merge import merge, merge_todos
from weeksync.plan.planner import Planner

__all__ = ["Planner", "assign", "assign_todos", "merge", "merge_todos", "record", "views"]
