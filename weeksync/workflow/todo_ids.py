"""To-dos of calendars by the ids that pages give them: those that can be ticked."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import timedelta

from weeksync.calendar.expand import expand
from weeksync.model.occurrence import TodoItem
from weeksync.plan import assign_todos, merge_todos
from weeksync.plan.task_records import todo_id
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.ticks import tick_lists, with_ticks

AROUND = timedelta(days=400)
"""So far from today times of a to-do that recurs can be ticked."""


def tickable_todos(context: Context) -> Mapping[str, TodoItem]:
    """The to-dos that can be ticked, with what waits to be written; none where no list is switched
    on. Only objects that hold to-dos are read."""
    if not any(source.tick_todos for source in context.config.calendars):
        return {}
    start, end = context.today - AROUND, context.today + AROUND
    found: list[TodoItem] = []
    with Store.open(context.state, write=False) as store:
        lists = tick_lists(context, store)
        for source in dict.fromkeys(source for source, _ in lists):
            objects = (
                one
                for one in store.objects(source)
                if (source, one.collection) in lists and b"VTODO" in one.content.upper()
            )
            limits = context.expand_limits
            found += expand(objects, start, end, context.tz, limits, context.today).todos
        order = tuple(source.id for source in context.config.calendars)
        todos = merge_todos(assign_todos(found, context.config), order)
        return {todo_id(one): one for one in with_ticks(context, store, todos) if one.ticks}
