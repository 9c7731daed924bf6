"""The household folder on disk: read, begun, given its ids, edited, its files replaced safely."""

from __future__ import annotations

from typing import TYPE_CHECKING

from weeksync.lazy import lazily

if TYPE_CHECKING:
    from weeksync.household.archive import Archive, keep_closed, set_aside
    from weeksync.household.check_in_writing import (
        HeldCheckIn,
        Written,
        held_check_in,
        write_check_in,
    )
    from weeksync.household.files import replace_file
    from weeksync.household.ids import write_missing_ids
    from weeksync.household.mark_writing import Appended, append_marks
    from weeksync.household.new import DEFAULT_AREAS, NewHousehold, create_household, people_named
    from weeksync.household.passwords import password, password_problems
    from weeksync.household.reading import read_household
    from weeksync.household.snapshots import write_snapshot
    from weeksync.household.task_edits import TaskChange, change_tasks, files_of
    from weeksync.household.week_edits import Choice, choose

__all__ = [
    "DEFAULT_AREAS",
    "Appended",
    "Archive",
    "Choice",
    "HeldCheckIn",
    "NewHousehold",
    "TaskChange",
    "Written",
    "append_marks",
    "change_tasks",
    "choose",
    "create_household",
    "files_of",
    "held_check_in",
    "keep_closed",
    "password",
    "password_problems",
    "people_named",
    "read_household",
    "replace_file",
    "set_aside",
    "write_check_in",
    "write_missing_ids",
    "write_snapshot",
]

__getattr__ = lazily(
    __name__,
    {
        "weeksync.household.archive": ("Archive", "keep_closed", "set_aside"),
        "weeksync.household.check_in_writing": (
            "HeldCheckIn",
            "Written",
            "held_check_in",
            "write_check_in",
        ),
        "weeksync.household.files": ("replace_file",),
        "weeksync.household.ids": ("write_missing_ids",),
        "weeksync.household.mark_writing": ("Appended", "append_marks"),
        "weeksync.household.new": (
            "DEFAULT_AREAS",
            "NewHousehold",
            "create_household",
            "people_named",
        ),
        "weeksync.household.passwords": ("password", "password_problems"),
        "weeksync.household.reading": ("read_household",),
        "weeksync.household.snapshots": ("write_snapshot",),
        "weeksync.household.task_edits": ("TaskChange", "change_tasks", "files_of"),
        "weeksync.household.week_edits": ("Choice", "choose"),
    },
)
