"""The nightly run: pull, then build, with one outcome."""

from __future__ import annotations

from weeksync.workflow.build import build
from weeksync.workflow.context import Context
from weeksync.workflow.opening import open_store
from weeksync.workflow.outcome import Outcome, Status
from weeksync.workflow.progress import Progress
from weeksync.workflow.pull import pull

WAIT = 60.0
"""Seconds that a night waits for a run by hand to finish: it should not be lost to one."""


def nightly(context: Context, *, progress: Progress | None = None, wait: float = WAIT) -> Outcome:
    """Pull every source and build the pages, whatever the pull brought.

    A run whose sources all failed still made pages from what there is: it ends with PROBLEMS.
    """
    with open_store(context, wait=wait) as store:
        pulled = pull(context, store, progress=progress)
        built = build(context, store, progress=progress)
    if pulled.status is Status.NOTHING_DONE:  # pages were made all the same
        pulled = Outcome(pulled.done, pulled.problems, Status.PROBLEMS)
    return pulled.then(built)
