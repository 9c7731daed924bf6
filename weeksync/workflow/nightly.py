"""The nightly run: pull, then build, with one outcome."""

from __future__ import annotations

from weeksync.errors import StoreDamaged
from weeksync.household.files import clear_left_over
from weeksync.workflow.build import first_expansions, make
from weeksync.workflow.context import Context
from weeksync.workflow.mending import made_anew
from weeksync.workflow.opening import open_store
from weeksync.workflow.outcome import Outcome, Status
from weeksync.workflow.progress import Progress
from weeksync.workflow.pull import pull
from weeksync.workflow.quiet import note_quiet
from weeksync.workflow.run_log import RunLog
from weeksync.workflow.status_file import write_status

WAIT = 60.0
"""Seconds that a night waits for a run by hand to finish: it should not be lost to one."""


def nightly(
    context: Context,
    *,
    progress: Progress | None = None,
    wait: float = WAIT,
    started: float | None = None,
    log: RunLog | None = None,
) -> Outcome:
    """Pull every source and build the pages, whatever the pull brought.

    A run whose sources all failed still made pages from what there is: it ends with PROBLEMS.
    `started` is when the household began to be read, in seconds since 1970; with it a note is left
    by which the next night can see that nothing has changed. A damaged state database is set aside
    and made anew, and that is said.
    """
    clear_left_over(context.folder)
    try:
        return _night(context, progress, wait, started, log)
    except StoreDamaged:
        pass  # nobody may be there to run a command for weeks
    return _night(context, progress, wait, started, log, rebuild=True)


def _night(
    context: Context,
    progress: Progress | None,
    wait: float,
    started: float | None,
    log: RunLog | None,
    *,
    rebuild: bool = False,
) -> Outcome:
    with open_store(context, rebuild=rebuild, wait=wait) as store:
        kept = first_expansions(context, store)
        stored = kept.begin if kept is not None else None
        pulled = pull(context, store, progress=progress, log=log, stored=stored)
        if rebuild:
            pulled = Outcome.of((), [made_anew(context)]).then(pulled)
        built = make(context, store, progress=progress, kept=kept)
        night = pulled.then(built.outcome)
        if pulled.status is Status.NOTHING_DONE:  # pages were made all the same
            night = Outcome(pulled.done, pulled.problems, Status.PROBLEMS).then(built.outcome)
        write_status(context, store, night)
        context.keep()
        if started is not None:
            note_quiet(context, store, night, started, built.steady_until, built.fresh)
    return night
