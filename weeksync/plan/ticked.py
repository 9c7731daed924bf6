"""To-dos of calendars as they stand with what was ticked here and waits to be written there."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from weeksync.model.occurrence import TodoItem
from weeksync.model.sent import Tick
from weeksync.plan.task_records import todo_id


def ticked(
    todos: Iterable[TodoItem],
    lists: Collection[tuple[str, str]],
    ticks: Mapping[str, Tick],
) -> tuple[TodoItem, ...]:
    """The to-dos, those of `lists` (source, collection) as ticked, and `ticks` where they can be.

    A tick that waits holds over what the server had last; one that was written does not: then the
    server's word is the newer one. What was completed elsewhere cannot be opened again here.
    """
    return tuple(
        _ticked(todo, ticks.get(todo_id(todo))) if (todo.source, todo.collection) in lists else todo
        for todo in todos
    )


def _ticked(todo: TodoItem, tick: Tick | None) -> TodoItem:
    if tick is None:
        return replace(todo, ticks=todo.open)
    if tick.waits and tick.done and todo.open:
        return replace(todo, status="COMPLETED", completed=tick.day, ticks=True)
    if tick.waits and not tick.done and not todo.open and todo.status != "CANCELLED":
        return replace(todo, status="NEEDS-ACTION", completed=None, percent=0, ticks=True)
    return replace(todo, ticks=todo.open or (tick.ours and todo.status != "CANCELLED"))
