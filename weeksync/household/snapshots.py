"""The snapshots of a household folder: what weeks showed when they were printed or confirmed."""

from __future__ import annotations

import os
from pathlib import Path

from weeksync.errors import HouseholdError
from weeksync.household.disk import Disk
from weeksync.household.files import replace_file
from weeksync.message import message
from weeksync.model.problem import Problem
from weeksync.model.snapshot import Snapshot
from weeksync.model.week import IsoWeek

FOLDER = "snapshots"


def read_snapshots(disk: Disk) -> tuple[dict[IsoWeek, Snapshot], list[Problem]]:
    """The snapshots by week, and what is wrong with those that cannot be used."""
    found: dict[IsoWeek, Snapshot] = {}
    problems: list[Problem] = []
    for name in disk.names(FOLDER, ".json"):
        content = disk.read(name)
        if content is not None:
            from weeksync.read import parse_snapshot

            snapshot, wrong = parse_snapshot(name, content)
            problems += wrong
            if snapshot is not None:
                found[snapshot.iso_week] = snapshot
    return found, problems


def write_snapshot(folder: Path, snapshot: Snapshot) -> Path:
    """Keep a snapshot as the one of its week, in place of an earlier one; the file it is in.

    The file is the old or the new one, whole. HouseholdError where it cannot be written.
    """
    from weeksync.read import snapshot_bytes

    path = folder / FOLDER / f"{snapshot.iso_week}.json"
    try:
        path.parent.mkdir(exist_ok=True)
    except OSError as error:
        raise HouseholdError(
            message(
                "{folder} cannot be made ({reason})",
                folder=str(path.parent),
                reason=os.strerror(error.errno or 0),
            )
        ) from error
    replace_file(path, snapshot_bytes(snapshot))
    return path
