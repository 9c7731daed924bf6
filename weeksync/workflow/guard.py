"""The question before a calendar is emptied: has its owner really deleted all that?

A server that answers with nothing and an export that was cut look like "everything was deleted".
So a pull after which a calendar would be empty, or would have lost nine tenths of what lies ahead,
is held back and asked about. Entries are counted, not told apart: some programs give each a new
name with every export.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from types import MappingProxyType

from weeksync.message import Message, counted, message
from weeksync.model.config import CalendarSource
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import UidGroup

FEW = 2
"""The last entry ahead may go without a question: one appointment was called off."""


def question(
    source: str, label: str, before: Iterable[UidGroup], after: Iterable[UidGroup], today: date
) -> Problem | None:
    """The question to ask before `after` replaces `before` in one collection, or None."""
    old, new = list(before), list(after)
    if old and not new:
        return _ask(
            source,
            counted(
                "the calendar “{calendar}” is suddenly empty; it held {count} entry, "
                "which is still shown",
                "the calendar “{calendar}” is suddenly empty; it held {count} entries, "
                "which are still shown",
                len(old),
                calendar=label,
            ),
        )
    old_ahead, new_ahead = count_ahead(old, today), count_ahead(new, today)
    if loses_most(old_ahead, new_ahead):
        return _ask(
            source,
            message(
                "the calendar “{calendar}” has lost most of what lies ahead: {after} of "
                "{before} entries are left; the earlier ones are still shown",
                calendar=label,
                before=old_ahead,
                after=new_ahead,
            ),
        )
    return None


def loses_most(before: int, after: int) -> bool:
    """Whether so many that lie ahead, of so many before, are too few to take without a word."""
    return before >= FEW and after * 10 <= before


def count_ahead(groups: Iterable[UidGroup], today: date) -> int:
    """How many of them are not over before `today`."""
    return sum(1 for group in groups if group.last_day is None or group.last_day >= today)


def _ask(source: str, what: Message) -> Problem:
    return Problem(
        ProblemKind.QUESTION,
        what,
        Place(source=source),
        message("if that is right, run: weeksync pull --accept {source}", source=source),
    )


def questions_about(
    source: CalendarSource,
    before: Mapping[str, tuple[UidGroup, ...]],
    after: Mapping[str, tuple[UidGroup, ...]],
    today: date,
    titles: Mapping[str, str] = MappingProxyType({}),
) -> list[Problem]:
    """The questions to ask before `after` replaces `before`, by collection."""
    asked = (
        question(source.id, titles.get(name) or source.label, groups, after.get(name, ()), today)
        for name, groups in before.items()
    )
    return [one for one in asked if one is not None]
