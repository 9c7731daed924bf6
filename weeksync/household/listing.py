"""Which files of a household folder are read."""

from __future__ import annotations

import re

from weeksync.household.disk import Disk

CONFIG = "config.toml"
BESIDE = (
    "appointments.toml",
    "routines.toml",
    "tasks.toml",
    "habits.toml",
    "money.toml",
    "terms.toml",
)
"""The files beside `config.toml`; each may be missing."""
FOLDERS = (
    ("weeks", ".toml"),
    ("marks", ".csv"),
    ("check-ins", ".md"),
    ("snapshots", ".json"),
    ("reviews", ".md"),
)
"""(folder, how its files' names end)."""

_YEAR_FILE = re.compile(r"tasks-[0-9]{4}\.toml", re.ASCII)


def year_files(disk: Disk) -> list[str]:
    """The files of tasks that were done, a file a year."""
    return [name for name in disk.names("", ".toml") if _YEAR_FILE.fullmatch(name)]


def strangers(disk: Disk) -> list[str]:
    """Files with names a little off: what stands in them would be missed without a word."""
    names = disk.names("", ".toml")
    return [
        name for name in names if name not in {CONFIG, *BESIDE} and not _YEAR_FILE.fullmatch(name)
    ]


def all_names(disk: Disk) -> list[str]:
    """Every file that is read."""
    found = [CONFIG, *BESIDE, *year_files(disk)]
    for folder, ending in FOLDERS:
        found += disk.names(folder, ending)
    return found
