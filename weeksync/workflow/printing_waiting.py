"""Sheets that were made and of which nobody has said yet whether they came out.

What they show is kept with the state until somebody does: by then calendars may show something
else, and changes are to be counted from what is on the paper.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from weeksync.household import write_snapshot
from weeksync.household.files import replace_file
from weeksync.message import message
from weeksync.model.snapshot import Snapshot
from weeksync.model.week import IsoWeek
from weeksync.read import parse_snapshot, snapshot_bytes
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome

FOLDER = "printed"


def let_wait(context: Context, snapshots: Iterable[Snapshot]) -> None:
    """Keep what was made until it is said whether it came out, in place of what waited before."""
    for snapshot in snapshots:
        place = _place(context, snapshot.iso_week)
        place.parent.mkdir(parents=True, exist_ok=True)
        replace_file(place, snapshot_bytes(snapshot), mode=0o600)


def waiting(context: Context, weeks: Iterable[IsoWeek]) -> tuple[Snapshot, ...]:
    """What of those weeks was made and waits; one that cannot be read counts as none."""
    found = []
    for week in weeks:
        try:
            content = _place(context, week).read_bytes()
        except OSError:
            continue
        snapshot, _ = parse_snapshot(f"{week}.json", content)
        if snapshot is not None and snapshot.iso_week == week:
            found.append(snapshot)
    return tuple(found)


def came_out(context: Context, snapshots: Iterable[Snapshot]) -> Outcome:
    """What was printed counts from here on; HouseholdError where that cannot be kept."""
    done = []
    for snapshot in snapshots:
        place = write_snapshot(context.folder, snapshot)
        _place(context, snapshot.iso_week).unlink(missing_ok=True)
        done.append(
            message(
                "{week} counts as printed ({place}); what changes from here on is listed with it.",
                week=snapshot.week,
                place=str(place),
            )
        )
    return Outcome.of(done, ())


def did_not(context: Context, snapshots: Iterable[Snapshot]) -> Outcome:
    """It did not come out: nothing counts, and nothing waits any more."""
    for snapshot in snapshots:
        _place(context, snapshot.iso_week).unlink(missing_ok=True)
    said = message("Then it does not count as printed; changes are counted as before.")
    return Outcome.of([said], ())


def _place(context: Context, week: IsoWeek) -> Path:
    return context.state / FOLDER / f"{week}.json"
