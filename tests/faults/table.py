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
from tests.faults.at_home import AT_HOME, played
from tests.faults.crashes import MEMORY, WORDS, Desk, check, steps_of
from tests.faults.dying import How, Worker
from tests.faults.faults import FAULTS
from tests.faults.playing import Row
from tests.faults.scenes import SCENES, Scene
from tests.faults.stage import Stage

DOCUMENT = Path(__file__).parent / "FAULTS.md"

_HEAD = """# What happens when something fails?

Each fault is played to a household whose calendars come by file, by feed and by CalDAV, in a whole
`weeksync nightly` after a good one. *Status* is its exit status: 0 all is well, 1 finished with
something to know, 2 wrong configuration, 3 nothing could be done. *Told* is the line on standard
error, which stands on the page of problems, too. Whatever fails, the other calendars are fresh, the
place in the server's list of changes is kept, no password or secret address is shown, the number of
requests is bounded, and the next good night shows everything as it is.

The commands of the last part are killed before, or in the middle of, a step, and find the disk full
from a step on: a step is whatever a process does to a file or a name below the household folder,
Python's as well as SQLite's. The tests take a few steps of each; `python -m tests.faults.crashes
--all` takes every one.

This page is written by `python -m tests.faults.table --write`, from what was seen; tests play
everything in it again and compare.
"""
SOURCES = "Between weeksync and a calendar"
HERE = "On the machine itself"
CRASHES = "Killed, or without room on the disk"
_COLUMNS = {
    SOURCES: ("fault", "kind", "status", "told", "shown"),
    HERE: ("fault", "status", "told", "kept"),
    CRASHES: ("command", "fault", "household files, state and pages"),
}
_WHOLE = "old or new, and whole; done again, it leaves what an undisturbed run leaves"


def sections(folder: Path) -> Iterator[tuple[str, list[Row]]]:
    """Everything played: (heading, its rows)."""
    with Stage.set(folder) as stage:
        yield SOURCES, [row for fault in FAULTS for row in stage.played(fault)]
        yield HERE, [here(stage, folder, name) for name in AT_HOME]
    with Worker(folder) as worker:
        desk = Desk(folder, worker)
        yield CRASHES, [crashed(desk, scene, how) for scene in SCENES for how in WORDS]


def here(stage: Stage, folder: Path, name: str) -> Row:
    """A fault of the machine, played in a folder of its own."""
    place = folder / f"here-{list(AT_HOME).index(name)}"
    place.mkdir()
    return played(name, stage, place)


def crashed(desk: Desk, scene: Scene, how: How) -> Row:
    """A command, harmed in one way at the steps that the tests take."""
    met = {check(desk, scene, how, nth) for nth in steps_of(desk, scene)}
    assert met <= {"", scene.but}, met
    kept = f"{_WHOLE}; but: {scene.but}" if scene.but else _WHOLE
    return Row(scene.name, f"{WORDS[how]} any of its steps", "", "", kept)


def document(parts: Iterable[tuple[str, list[Row]]]) -> str:
    """The page."""
    text = [_HEAD]
    for heading, rows in parts:
        columns = _COLUMNS[heading]
        text += [f"\n## {heading}\n\n", line(columns), "|" + "---|" * len(columns) + "\n"]
        text += [written(heading, row) for row in rows]
    return "".join(text)


def written(heading: str, row: Row) -> str:
    """The row as it stands on the page."""
    if heading == CRASHES:
        return line([row.fault, row.kind, row.kept])
    if heading == HERE:
        return line([row.fault, row.status, row.told, row.kept])
    if not row.status:
        return line([row.fault, row.kind, "–", "–", f"not played: {row.told}"])
    return line([row.fault, row.kind, row.status, row.told, row.kept])


def lines_of(fault: str) -> list[str]:
    """The lines of the page about a fault."""
    begin = f"| {fault} |"
    return [one for one in DOCUMENT.read_text("utf-8").splitlines(True) if one.startswith(begin)]


def named() -> list[str]:
    """The faults of the page, each once, in its order."""
    found = re.findall(r"^\| (.*?) \|", DOCUMENT.read_text("utf-8"), re.MULTILINE)
    return [one for one in dict.fromkeys(found) if one not in {"fault", "command"}]


def main(arguments: Sequence[str] | None = None) -> int:
    """Play all and print the page."""
    parser = ArgumentParser("python -m tests.faults.table", description=__doc__)
    parser.add_argument("--write", action="store_true", help=f"write {DOCUMENT.name}")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="faults-", dir=MEMORY) as folder:
        page = document(sections(Path(folder)))
    if asked.write:
        DOCUMENT.write_text(page, "utf-8")
    else:
        sys.stdout.write(page)
    return 0


if __name__ == "__main__":
    sys.exit(main())
