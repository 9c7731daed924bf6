"""How the last night went, as it wrote it down: for a person, a monitor, a container's check."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from weeksync.errors import UsageError
from weeksync.message import Message, counted, message
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome, Status
from weeksync.workflow.status_file import NAME, TOO_OLD_HOURS, status_place


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
    return Outcome.of((*brief.done, *lines), (*_problems(found), *brief.problems))


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
    done = [
        counted(
            "The last night was {count} hour ago, at {when}.",
            "The last night was {count} hours ago, at {when}.",
            max(hours, 0),
            when=when,
        )
    ]
    return Outcome.of(done, problems)


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


def _problems(found: dict[str, Any]) -> Iterator[Problem]:
    for one in found.get("sources", []):
        if one.get("failed"):
            yield Problem(
                ProblemKind.SOURCE,
                message("the calendar could not be pulled, or waits for an answer"),
                Place(source=one["id"]),
                message("weeksync check says why"),
            )
    counts = {kind: int(n) for kind, n in found.get("problems", {}).items() if kind != "notice"}
    other = sum(n for kind, n in counts.items() if kind not in {"source", "question"})
    if other:
        yield Problem(
            ProblemKind.OBJECT,
            counted(
                "{count} thing in files and calendars could not be read",
                "{count} things in files and calendars could not be read",
                other,
            ),
            Place(file=NAME),
            message("weeksync check says which"),
        )
    if found.get("status", 0) >= Status.WRONG_USE:
        yield Problem(
            ProblemKind.SOURCE,
            message("the last night ended with status {status}", status=int(found["status"])),
            Place(file=NAME),
            message("weeksync check says why"),
        )
