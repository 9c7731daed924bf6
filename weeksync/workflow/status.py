"""How the last night went, as it wrote it down: for a person, a monitor, a container's check."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from weeksync.errors import StoreError, UsageError
from weeksync.message import Message, counted, message
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome, Status
from weeksync.workflow.status_file import NAME, TOO_OLD_HOURS, status_place

DAYS_FROM_HOURS = 72
"""From so many hours on it is told in days."""
_OF_SOURCES = {ProblemKind.SOURCE, ProblemKind.QUESTION}


def status_record(context: Context) -> dict[str, Any]:
    """What `status.json` holds; UsageError where no night has written it."""
    try:
        found = json.loads(status_place(context).read_bytes())
        datetime.fromisoformat(found["run_at"])
    except (OSError, ValueError, TypeError, LookupError) as error:
        raise UsageError(
            message(
                "no night has written {file} yet; weeksync nightly runs one",
                file=str(status_place(context)),
            )
        ) from error
    return dict(found)


def last_night(context: Context) -> Outcome:
    """When it was, how each calendar stands, and what is to be looked at.

    A night that is older than `TOO_OLD_HOURS` is a problem: one was missed.
    """
    found = status_record(context)
    brief = _in_brief(context, found)
    lines = (_line(context, one) for one in found.get("sources", []))
    return Outcome.of((*brief.done, *lines), (*_problems(context, found), *brief.problems))


def night_in_brief(context: Context) -> Outcome:
    """When the last night was, and whether one was missed; nothing where there was none yet."""
    try:
        return _in_brief(context, status_record(context))
    except UsageError:
        return Outcome()


def _in_brief(context: Context, found: dict[str, Any]) -> Outcome:
    run_at = datetime.fromisoformat(found["run_at"])
    hours = int((context.now - run_at).total_seconds() // 3600)
    when = context.language.moment(run_at.astimezone(context.tz))
    problems = []
    if hours > TOO_OLD_HOURS:
        problems.append(
            Problem(
                ProblemKind.SOURCE,
                message("no night has run since {when}", when=when),
                Place(file=NAME),
                message("look at the timer, or run one: weeksync nightly"),
            )
        )
    return Outcome.of([_ago(hours, when)], problems)


def _ago(hours: int, when: str) -> Message:
    if hours < 1:
        return message("The last night was less than an hour ago, at {when}.", when=when)
    if hours < DAYS_FROM_HOURS:
        return counted(
            "The last night was {count} hour ago, at {when}.",
            "The last night was {count} hours ago, at {when}.",
            hours,
            when=when,
        )
    return counted(
        "The last night was {count} day ago, at {when}.",
        "The last night was {count} days ago, at {when}.",
        hours // 24,
        when=when,
    )


def _line(context: Context, source: dict[str, Any]) -> Message:
    if source.get("last_good") is None:
        return message("Calendar {source}: never pulled.", source=source["id"])
    good = datetime.fromisoformat(source["last_good"]).astimezone(context.tz)
    return counted(
        "Calendar {source}: {count} entry, as of {when}.",
        "Calendar {source}: {count} entries, as of {when}.",
        int(source.get("entries", source.get("objects", 0))),
        source=source["id"],
        when=context.language.moment(good),
    )


def _problems(context: Context, found: dict[str, Any]) -> list[Problem]:
    counts = {kind: int(n) for kind, n in found.get("problems", {}).items() if kind != "notice"}
    problems = list(_of_sources(context, found, asked=bool(counts.keys() & _OF_SOURCES)))
    other = sum(n for kind, n in counts.items() if kind not in _OF_SOURCES)
    if other:
        problems.append(
            Problem(
                ProblemKind.OBJECT,
                counted(
                    "{count} thing in files and calendars could not be read",
                    "{count} things in files and calendars could not be read",
                    other,
                ),
                Place(file=NAME),
                message("weeksync check says which"),
            )
        )
    status = int(found.get("status", 0))
    if status >= Status.WRONG_USE or (status and not problems):
        problems.append(
            Problem(
                ProblemKind.SOURCE,
                message("the last night ended with status {status}", status=status),
                Place(file=NAME),
                message("weeksync check says why"),
            )
        )
    return problems


def _of_sources(context: Context, found: dict[str, Any], *, asked: bool) -> Iterator[Problem]:
    """What the last pull has left to know of each calendar; `asked` where the night met such."""
    sources = found.get("sources", [])
    left = _left(context) if asked or any(one.get("failed") for one in sources) else {}
    for one in sources:
        problems = left.get(one["id"], ())
        yield from problems
        if one.get("failed") and not problems:
            yield Problem(
                ProblemKind.SOURCE,
                message("the calendar could not be pulled, or waits for an answer"),
                Place(source=one["id"]),
                message("weeksync check says why"),
            )


def _left(context: Context) -> dict[str, list[Problem]]:
    """Nothing where the state cannot be read: other commands tell that."""
    from weeksync.store import Store  # not for a night in which all was well

    try:
        with Store.open(context.state, write=False) as store:
            states = store.states()
    except StoreError:
        return {}
    return {
        source: [one for one in state.problems if one.kind in _OF_SOURCES]
        for source, state in states.items()
    }
