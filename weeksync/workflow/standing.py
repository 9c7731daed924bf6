"""What the pages are made from and what is shown of them, as far as file times tell.

Looked at every few seconds by `weeksync serve`, so nothing is opened: names, sizes and times
only, of a few dozen files (a household of ten years: some thousand, 10 ms).
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from weeksync.workflow.context import Context

Seen = tuple[str, int, int]
"""(place, size in bytes, time of change in nanoseconds)"""

_INSIDE = ("weeks", "marks", "check-ins", "reviews", "snapshots", "archive", "sent")


def files_of(context: Context) -> frozenset[Seen]:
    """The household's files and its own templates."""
    templates = context.config.site.templates
    folders = [context.folder, *(context.folder / name for name in _INSIDE)]
    if templates:
        folders.append(context.folder / templates)
    return frozenset(_files(folders))


def store_of(context: Context) -> frozenset[Seen]:
    """The store of pulled calendars."""
    return frozenset(_files([context.state], only={"store.sqlite3", "store.sqlite3-wal"}))


def pages_of(site: Path) -> dict[str, tuple[int, int]]:
    """The pages that are shown: name → (size, time). An unchanged page keeps both.

    Only what a browser may have open: scripts and styles change with weeksync itself.
    """
    return {
        Path(name).name: (size, changed)
        for name, size, changed in _files([site])
        if name.endswith(".html")
    }


def changed_between(
    before: dict[str, tuple[int, int]], after: dict[str, tuple[int, int]]
) -> tuple[str, ...]:
    """The names of pages that are new, different or gone, in order."""
    names = before.keys() | after.keys()
    return tuple(sorted(name for name in names if before.get(name) != after.get(name)))


def _files(folders: Iterable[Path], only: set[str] | None = None) -> Iterator[Seen]:
    for folder in folders:
        try:
            entries = list(os.scandir(folder))
        except OSError:
            continue  # a folder that is not there yet, or no longer: that shows in what is found
        for entry in entries:
            if entry.name.startswith(".") or (only is not None and entry.name not in only):
                continue  # editors and file sync keep their own in hidden files
            try:
                about = entry.stat()
                if entry.is_file():
                    yield entry.path, about.st_size, about.st_mtime_ns
            except OSError:
                continue
