"""Household files, from bytes to frozen records: pure, with every mistake told with its line.

`parse_toml`, `parse_marks` and `parse_check_in` read one file; the `read_…` functions give what
`cross_check` needs to look across files and still name lines. `with_ids` writes missing ids in.
`read_arriving` reads marks that were saved elsewhere.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from weeksync.lazy import lazily

if TYPE_CHECKING:
    from weeksync.read.arriving import Arrived, Line, read_arriving
    from weeksync.read.checkins import HEAD, ParsedCheckIn, parse_check_in, read_check_in
    from weeksync.read.cross import cross_check
    from weeksync.read.household import ReadFiles
    from weeksync.read.ids import MARKABLE, filled, ids_in, new_id, slug, with_ids
    from weeksync.read.marks import HEADER, ParsedMarks, parse_marks, read_marks
    from weeksync.read.parsed import Parsed, R, unread
    from weeksync.read.records import parse_toml, read_toml
    from weeksync.read.shown import nearest
    from weeksync.read.snapshots import parse_snapshot, snapshot_bytes
    from weeksync.read.weekfiles import file_week

__all__ = [
    "HEAD",
    "HEADER",
    "MARKABLE",
    "Arrived",
    "Line",
    "Parsed",
    "ParsedCheckIn",
    "ParsedMarks",
    "R",
    "ReadFiles",
    "cross_check",
    "file_week",
    "filled",
    "ids_in",
    "nearest",
    "new_id",
    "parse_check_in",
    "parse_marks",
    "parse_snapshot",
    "parse_toml",
    "read_arriving",
    "read_check_in",
    "read_marks",
    "read_toml",
    "slug",
    "snapshot_bytes",
    "unread",
    "with_ids",
]

__getattr__ = lazily(
    __name__,
    {
        "weeksync.read.arriving": ("Arrived", "Line", "read_arriving"),
        "weeksync.read.checkins": ("HEAD", "ParsedCheckIn", "parse_check_in", "read_check_in"),
        "weeksync.read.cross": ("cross_check",),
        "weeksync.read.household": ("ReadFiles",),
        "weeksync.read.ids": ("MARKABLE", "filled", "ids_in", "new_id", "slug", "with_ids"),
        "weeksync.read.marks": ("HEADER", "ParsedMarks", "parse_marks", "read_marks"),
        "weeksync.read.parsed": ("Parsed", "R", "unread"),
        "weeksync.read.records": ("parse_toml", "read_toml"),
        "weeksync.read.shown": ("nearest",),
        "weeksync.read.snapshots": ("parse_snapshot", "snapshot_bytes"),
        "weeksync.read.weekfiles": ("file_week",),
    },
)
