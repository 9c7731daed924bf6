"""`status.json` beside the pages: how the last night went, for whoever watches over the machine.

It lies outside the site, since it changes with every run, and holds nothing of what stands on
the pages: ids of calendars, times and counts.
"""

from __future__ import annotations

import json
from collections import Counter
from datetime import datetime
from pathlib import Path
from typing import Any

import weeksync
from weeksync import zones
from weeksync.errors import HouseholdError
from weeksync.household import replace_file
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome, Status
from weeksync.workflow.window import Window

NAME = "status.json"
FORMAT, KIND = 1, "weeksync.status"
TOO_OLD_HOURS = 36
"""A night is expected each day; after so long without a run, or a good pull, one was missed."""


def status_place(context: Context) -> Path:
    """Where it lies."""
    return context.output / NAME


def write_status(context: Context, store: Store, outcome: Outcome) -> None:
    """Write it; where it cannot be written the night is none the worse."""
    _write(context, _status(context, store, outcome))


def write_stopped(context: Context, status: Status) -> None:
    """Write that a night was stopped with that status; the rest stays as the night before left it,
    and where there is nothing yet, nothing is written."""
    try:
        found = json.loads(status_place(context).read_bytes())
        found |= {"run_at": _instant(context.now), "status": int(status)}
    except (OSError, ValueError, TypeError):
        return
    _write(context, found)


def _write(context: Context, record: dict[str, Any]) -> None:
    text = json.dumps(record, indent=1) + "\n"
    try:
        status_place(context).parent.mkdir(parents=True, exist_ok=True)
        replace_file(status_place(context), text.encode())
    except (OSError, HouseholdError):
        return


def _status(context: Context, store: Store, outcome: Outcome) -> dict[str, Any]:
    states, objects, entries = store.states(), store.object_counts(), store.entry_counts()
    window = Window.of(context)
    problems = Counter(str(one.kind) for one in outcome.problems)
    return {
        "format": FORMAT,
        "kind": KIND,
        "run_at": _instant(context.now),
        "expected_within_hours": TOO_OLD_HOURS,
        "status": int(outcome.status),
        "version": weeksync.__version__,
        "tzdata": zones.tzdata_version(),
        "weeks": len(window.weeks),
        "months": len(window.months),
        "problems": dict(sorted(problems.items())),
        "sources": [
            {
                "id": source.id,
                "last_tried": _instant(state.last_tried) if state else None,
                "last_good": _instant(state.last_good) if state else None,
                "failed": state.failed if state else False,
                "objects": objects.get(source.id, 0),
                "entries": entries.get(source.id, 0),
            }
            for source in context.config.calendars
            for state in [states.get(source.id)]
        ],
    }


def _instant(moment: datetime | None) -> str | None:
    return moment.isoformat(timespec="seconds") if moment is not None else None
