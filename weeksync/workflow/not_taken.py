"""Why a mark is not written."""

from __future__ import annotations

from collections.abc import Collection

from weeksync.message import Message, message
from weeksync.model.fields import TODO_ID
from weeksync.read import nearest


class NotTaken(Exception):
    """A mark that is not written: `what` is wrong with it, and the `remedy`."""

    def __init__(self, what: Message, remedy: Message | None = None) -> None:
        super().__init__(str(what))
        self.what = what
        self.remedy = remedy


def not_known(thing: str, known: Collection[str]) -> NotTaken:
    """For an id that stands for nothing that can be marked; `known` are those that do."""
    if thing.startswith(TODO_ID):
        return NotTaken(
            message('id = "{value}" is a to-do of a calendar', value=thing),
            message(
                "end it in the calendar; of a list on a CalDAV server, tick_todos = true in"
                " config.toml lets it be ticked here, too"
            ),
        )
    what = message('id = "{value}" is no habit, lesson, break or task', value=thing)
    near = nearest(thing, known)
    if near is not None:
        return NotTaken(what, message("did you mean {near}?", near=near))
    return NotTaken(what, message("weeksync show names the ids with --json"))
