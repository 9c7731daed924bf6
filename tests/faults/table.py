"""`python -m tests.faults.table`: every fault, played, and what came of it.

With `--write` the documentation `FAULTS.md` beside this file is written anew from what was seen.
"""

from __future__ import annotations

import re
import sys
import tempfile
from argparse import ArgumentParser
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from tests.calendar.table import line
from tests.faults.faults import FAULTS
from tests.faults.playing import Row

DOCUMENT = Path(__file__).parent / "FAULTS.md"

_HEAD = """# What happens when something fails?

Each fault is played to a household whose calendars come by file, by feed and by CalDAV, in a whole
`weeksync nightly` after a good one. *Status* is its exit status: 0 all is well, 1 finished with
something to know, 2 wrong configuration, 3 nothing could be done. *Told* is the line on standard
error, which stands on the page of problems, too. Whatever fails, the other calendars are fresh, the
place in the server's list of changes is kept, no password or secret address is shown, the number of
requests is bounded, and the next good night shows everything as it is.

This page is written by `python -m tests.faults.table --write`, from what was seen; tests play
everything in it again and compare.
"""
SOURCES = "Between weeksync and a calendar"
_COLUMNS = {SOURCES: ("fault", "kind", "status", "told", "shown")}


def sections(folder: Path) -> Iterator[tuple[str, list[Row]]]:
    """Everything played: (heading, its rows)."""
    from tests.faults.stage import Stage

    with Stage.set(folder) as stage:
        yield SOURCES, [row for fault in FAULTS for row in stage.played(fault)]


def document(parts: Iterable[tuple[str, list[Row]]]) -> str:
    """The page."""
    text = [_HEAD]
    for heading, rows in parts:
        columns = _COLUMNS[heading]
        text += [f"\n## {heading}\n\n", line(columns), "|" + "---|" * len(columns) + "\n"]
        text += map(written, rows)
    return "".join(text)


def written(row: Row) -> str:
    """The row as it stands on the page."""
    if not row.status:
        return line([row.fault, row.kind, "–", "–", f"cannot happen: {row.told}"])
    return line([row.fault, row.kind, row.status, row.told, row.kept])


def lines_of(fault: str) -> list[str]:
    """The lines of the page about a fault."""
    begin = f"| {fault} |"
    return [one for one in DOCUMENT.read_text("utf-8").splitlines(True) if one.startswith(begin)]


def named() -> list[str]:
    """The faults of the page, each once, in its order."""
    found = re.findall(r"^\| (.*?) \|", DOCUMENT.read_text("utf-8"), re.MULTILINE)
    return [one for one in dict.fromkeys(found) if one not in {"fault", "---"}]


def main(arguments: Sequence[str] | None = None) -> int:
    """Play all and print the page."""
    parser = ArgumentParser("python -m tests.faults.table", description=__doc__)
    parser.add_argument("--write", action="store_true", help=f"write {DOCUMENT.name}")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="faults-") as folder:
        page = document(sections(Path(folder)))
    if asked.write:
        DOCUMENT.write_text(page, "utf-8")
    else:
        sys.stdout.write(page)
    return 0


if __name__ == "__main__":
    sys.exit(main())
