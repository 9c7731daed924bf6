"""Whom a quiet night tells that it was there: the log, and an address that waits to be asked for.

The lines are those of a whole night (`workflow.run_log`) in which every source was the same.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime

from weeksync.lean.doubt import Doubt
from weeksync.lean.log import append, heard, say, words
from weeksync.lean.note import Note
from weeksync.lean.sources import Asked, config_of

PING_SECONDS = 10.0


def log(note: Note, asked: Asked, level: str, now: int, seconds: float) -> None:
    """A line for each source and one for the run, to the log file and from `level` on to stderr."""
    lines = []
    for source, kind, objects, entries in note.sources:
        requests, took = asked.get(source, (0, 0.0))
        told: dict[str, object] = {"source": source, "kind": kind, "outcome": "same"}
        told |= {"objects": objects, "entries": entries, "changed": 0}
        told |= {"requests": requests, "seconds": f"{took:.1f}", "age": 0}
        lines.append(("info", words(told)))
    run: dict[str, object] = {"run": "nightly", "status": 0, "sources": len(lines)}
    run |= {"failed": 0, "problems": 0, "seconds": f"{seconds:.1f}"}
    lines.append(("info", words(run)))
    at = datetime.fromtimestamp(now, UTC)
    if level:
        say(sys.stderr, heard(lines, level), at)
    if note.log:
        place, least, kilobytes = note.log
        append(place, heard(lines, least), at, kilobytes * 1024)


def well(household: str) -> None:
    """Ask for the `well_url` of `[notify]`; Doubt where it does not answer at once."""
    from weeksync.lean.asking import Asking, has_proxy

    address = config_of(household)["notify"]["well_url"].strip()
    if has_proxy():
        raise Doubt
    asking = Asking(address, None, PING_SECONDS)
    answer = asking.in_time(lambda: asking.ask("GET", address, {}), PING_SECONDS)
    if answer is None or not 200 <= answer[0].status < 300:
        raise Doubt
