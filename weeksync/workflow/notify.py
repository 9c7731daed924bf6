"""Telling somebody how a night went, where `[notify]` says so."""

from __future__ import annotations

from collections import Counter

from weeksync.errors import SourceError, WeeksyncError
from weeksync.message import message
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome, Status, status_of
from weeksync.workflow.status_file import write_stopped

COMMAND_SECONDS = 60.0
"""How long the user's command may take."""


def notify(context: Context, outcome: Outcome) -> Outcome:
    """The outcome, with a problem where somebody who was to be told could not be."""
    asked = context.config.notify
    well = outcome.status is Status.FINE
    url, name = (asked.well_url, "well_url") if well else (asked.failed_url, "failed_url")
    problems = []
    if url:
        from weeksync.fetch.ping import ping

        try:
            ping(name, url)
        except SourceError as error:
            problems.append(_problem(name, error))
    if asked.failed_command and not well and not _run(context, outcome):
        problems.append(
            Problem(
                ProblemKind.SOURCE,
                message(
                    "the command “{program}” of failed_command did not do its work",
                    program=asked.failed_command[0],
                ),
                Place(file="config.toml"),
                message("try it by hand; it gets {seconds} seconds", seconds=int(COMMAND_SECONDS)),
            )
        )
    return outcome.then(Outcome.of((), problems)) if problems else outcome


def notify_stopped(context: Context, error: Exception) -> Outcome:
    """The same for a night that an error has stopped, which `status.json` is told as well."""
    status = status_of(error) if isinstance(error, WeeksyncError) else Status.NOTHING_DONE
    write_stopped(context, status)
    return notify(context, Outcome((), (), status))


def _problem(name: str, error: SourceError) -> Problem:
    remedy = message("see to it, or take {name} out of [notify]", name=name)
    return Problem(ProblemKind.SOURCE, error.message, Place(file="config.toml"), remedy)


def _run(context: Context, outcome: Outcome) -> bool:
    """Whether the command did its work; it gets a few lines that tell nothing private."""
    import subprocess

    status = str(int(outcome.status))
    words = [one.replace("{status}", status) for one in context.config.notify.failed_command]
    try:
        done = subprocess.run(  # noqa: S603 - the user's own command, as a list, without a shell
            words,
            cwd=context.folder,
            input=summary(outcome).encode(),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=COMMAND_SECONDS,
            check=False,
        )
    except (OSError, ValueError, subprocess.TimeoutExpired):
        return False
    return done.returncode == 0


def summary(outcome: Outcome) -> str:
    """What went wrong by kind and place: ids and file names, no titles, no addresses."""
    counted = Counter(
        (str(one.kind), one.place.source or one.place.file or "-")
        for one in outcome.problems
        if one.counts
    )
    lines = [f"weeksync nightly: status {int(outcome.status)}"]
    lines += [f"{kind} {place} {count}" for (kind, place), count in sorted(counted.items())]
    return "\n".join(lines) + "\n"
