"""A household as far as some people may see it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import TypeVar

from weeksync.model.files import Habit, Task
from weeksync.workflow.context import Context

T = TypeVar("T", Habit, Task)


def as_seen_by(context: Context, persons: Collection[str]) -> Context:
    """The household without the habits and tasks that none of `persons` may see.

    Marks held against it are answered for those as for what there never was: an answer tells
    neither a title nor that an id is in use, and suggests none.
    """
    files = context.files
    return replace(
        context,
        files=replace(
            files, habits=_seen(files.habits, persons), tasks=_seen(files.tasks, persons)
        ),
    )


def _seen(things: Iterable[T], persons: Collection[str]) -> tuple[T, ...]:
    return tuple(
        one for one in things if not one.only_for or not set(one.only_for).isdisjoint(persons)
    )
