"""Ticks of calendars' to-dos as they are made: the journal says which to-do each is for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from weeksync.model.household import Mark
from weeksync.model.occurrence import TodoItem
from weeksync.workflow.context import Context

if TYPE_CHECKING:
    from weeksync.model.sent import Sent


def note_ticks(context: Context, ticks: Sequence[tuple[Mark, TodoItem]]) -> None:
    """Note what the marks are for, before they are written: an id alone finds no to-do.

    A mark that is known already, because it was sent once more, is noted no second time.
    """
    if not ticks:
        return
    from weeksync.household.sent import append_sent, read_sent

    known = {(line.id, line.made) for line in read_sent(context.folder)}
    fresh = [(mark, todo) for mark, todo in ticks if (mark.id, mark.counts_from) not in known]
    append_sent(context.folder, [_taken(context, mark, todo) for mark, todo in fresh])


def _taken(context: Context, mark: Mark, todo: TodoItem) -> Sent:
    from weeksync.model.sent import Sent, SentStep

    return Sent(
        at=context.now,
        step=SentStep.TAKEN,
        id=mark.id,
        day=mark.day,
        value=mark.value,
        made=mark.counts_from,
        source=todo.source,
        collection=todo.collection,
        uid=todo.uid,
        identity=todo.identity,
        title=todo.title,
    )
