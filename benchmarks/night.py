"""Every figure that is promised of a night, beside its limit, in one run on one machine.

    python -m benchmarks.run night
    python -m benchmarks.run night --size small --rounds 3
    python -m benchmarks.run night --only changed week --json figures.json

A wheel of the working tree is built and installed with compiled modules, and every night is a
process of its own, started by the installed command as cron would. The stages of a round follow
each other as nights do: from nothing, nothing changed, one event changed, the day after, Monday.
After a change and on Monday the pages are compared, byte for byte, with those of a cold build in a
new folder. CPU time is that of the process with its children (getrusage(2)); the table has medians.
Ratios hold across machines, times do not. Exit status 1 where a limit is not kept.

Peak memory is that of whole processes.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import sqlite3
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime, timedelta
from importlib.metadata import version
from pathlib import Path

from benchmarks import caldav_home, night_figures
from benchmarks.corpus import SIZES
from benchmarks.installed import Program, checkout, install
from benchmarks.measure import Measured, measure
from benchmarks.night_curve import Step, curves, curves_table
from benchmarks.night_figures import (
    CALDAV,
    CHANGED,
    COLD,
    DAY,
    IMPORT,
    PARSE,
    QUIET,
    WEEK,
    Figure,
    Seen,
)
from benchmarks.night_home import NightHome, change_one_event, differences, settle

PARTS = ("cold", "quiet", "changed", "day", "week", "caldav", "small", "curve")
WEDNESDAY = datetime(2027, 3, 24, 4, tzinfo=UTC)
"""When the first night runs: the week of the corpus that measured runs play in."""
SUNDAY, MONDAY = WEDNESDAY + timedelta(days=4), WEDNESDAY + timedelta(days=5)
OFTEN = 5
"""Times that what is over in milliseconds is run in each round."""
CALENDARS = 4
"""How many calendars lie on the CalDAV server."""
FINE = (0, 1)
"""Exit statuses of a night that made its pages (1: with problems to be told)."""


@dataclass
class Night:
    """A run of the benchmark: what is measured, and what has been seen."""

    program: Program
    seed: int
    only: frozenset[str]
    place: Path
    seen: dict[str, Seen] = field(default_factory=dict)
    found: list[Figure] = field(default_factory=list)
    steps: list[Step] = field(default_factory=list)

    def wants(self, *parts: str) -> bool:
        """Whether one of the parts was asked for."""
        return not self.only or bool(self.only & set(parts))

    def note(self, size: str, stage: str, measured: Measured) -> None:
        """Keep what a stage took."""
        self.seen.setdefault(size, {}).setdefault(stage, []).append(measured)

    def run(self, size: str, stage: str, home: Path, at: datetime) -> None:
        """A night that is measured."""
        self.note(size, stage, self.night(home, at, stage))

    def night(self, home: Path, at: datetime, stage: str) -> Measured:
        """A night at that instant; what it took."""
        print(f"  {stage} …", file=sys.stderr, flush=True)
        return measure(self.program.nightly(home, at.isoformat()), env=self.program.env, fine=FINE)

    def unit(self, size: str) -> None:
        """The unit of the short stages, measured beside them."""
        for _ in range(3):
            self.note(size, IMPORT, measure([sys.executable, "-c", "import icalendar"]))

    def corpus(self, size: str) -> NightHome:
        """A corpus of that size, made once."""
        home = NightHome(self.place / size)
        if not home.folder.exists():
            # In a process of its own: the measuring one must stay small (see `measure`).
            words = ("benchmarks.corpus", size, str(home.folder), "--seed", str(self.seed))
            measure([sys.executable, "-m", *words])
            if size == "tiny":
                home.set_window(1, 1)
        return home

    def compare(self, what: str, home: NightHome, size: str, at: datetime) -> None:
        """Hold the pages against those of a cold build in a new folder."""
        twin = home.twin(self.place / "twin")
        self.run(size, COLD, twin.folder, at)
        differing = differences(home.folder / "output", twin.folder / "output")
        self.found.append(
            Figure(
                f"{size}: {what}, pages unlike a cold build",
                len(differing),
                0.0,
                "files",
                ", ".join(differing[:3]),
            )
        )


def parse(night: Night, size: str) -> None:
    """The yardstick of cold builds."""
    print("  parse, icalendar …", file=sys.stderr, flush=True)
    files = [str(path) for path in night.corpus(size).calendars]
    night.note(size, PARSE, measure([sys.executable, "-m", "benchmarks.parse", *files]))


def cold(night: Night, size: str) -> None:
    """A cold build beside the parse, and nothing else: for the second corpus."""
    parse(night, size)
    home = night.corpus(size)
    home.clear()
    night.run(size, COLD, home.folder, WEDNESDAY)


def nights(night: Night, size: str, number: int) -> None:
    """One round: nights that follow each other, each from what the last one left."""
    home = night.corpus(size)
    if night.wants("cold"):
        parse(night, size)
    home.clear()
    night.run(size, COLD, home.folder, WEDNESDAY)
    for minute in range(OFTEN if night.wants("quiet") else 0):
        night.unit(size)
        night.run(size, QUIET, home.folder, WEDNESDAY + timedelta(minutes=minute + 1))
    calendar = home.calendars[-1]
    before = calendar.read_bytes()
    try:
        if night.wants("changed"):
            change_one_event(calendar, f"Another title {number}")
            settle()
            night.unit(size)
            night.run(size, CHANGED, home.folder, WEDNESDAY + timedelta(minutes=30))
            night.compare(CHANGED, home, size, WEDNESDAY + timedelta(minutes=30))
        if night.wants("day"):
            night.unit(size)
            night.run(size, DAY, home.folder, WEDNESDAY + timedelta(days=1))
        if night.wants("week"):
            night.night(home.folder, SUNDAY, "Sunday, not measured")
            night.unit(size)
            night.run(size, WEEK, home.folder, MONDAY)
            night.compare(WEEK, home, size, MONDAY)
    finally:
        calendar.write_bytes(before)


def with_caldav(night: Night, size: str, rounds: int) -> None:
    """Nights over a server on which nothing has changed, and the requests they send."""
    files = night.corpus(size).calendars[:CALENDARS]
    home = night.place / "caldav"
    memory = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None  # noqa: S108 - a fresh folder
    with (
        tempfile.TemporaryDirectory(prefix="weeksync-bench-", dir=memory) as folder,
        caldav_home.caldav_home(Path(folder), files) as server,
    ):
        caldav_home.write_household(home, night.corpus(size).folder, server)
        settle()
        night.night(home, WEDNESDAY, "CalDAV, first pull, not measured")
        before, runs = server.requests(), rounds + 2
        for minute in range(runs):
            night.unit(size)
            night.run(size, CALDAV, home, WEDNESDAY + timedelta(minutes=minute + 1))
        each = (server.requests() - before) / runs / len(files)
    limit = night_figures.REQUESTS_LIMIT
    detail = f"{len(files)} calendars, {runs} nights"
    night.found.append(Figure(f"{size}: {CALDAV}, requests", each, limit, "a calendar", detail))


def machine(program: Program) -> str:
    """On what it was measured, and with what."""
    cpu = platform.processor() or platform.machine()
    try:
        with open("/proc/cpuinfo", encoding="utf-8") as file:
            names = [line.split(":", 1)[1].strip() for line in file if line[:10] == "model name"]
        cpu = names[0] if names else cpu
    except OSError:
        pass
    busy = os.getloadavg()[0]
    return (
        f"{datetime.now(UTC):%Y-%m-%d %H:%M} UTC; {cpu}, {os.cpu_count()} cores, load {busy:.1f}; "
        f"Python {platform.python_version()}, icalendar {version('icalendar')}, SQLite "
        f"{sqlite3.sqlite_version}\nweeksync {program.what}"
    )


def report(night: Night, size: str) -> str:
    """Everything as text."""
    found = [one for some in night.seen for one in night_figures.figures(some, night.seen[some])]
    night.found[:0] = found
    parts = []
    for some, seen in night.seen.items():
        home = night.corpus(some)
        head = f"{some}: {len(home.calendars)} calendars, {SIZES[some].events:,} events, "
        parts.append(head + f"{home.size() / 1e6:.1f} MB, seed {night.seed}")
        parts.append(night_figures.stages_table(seen) + "\n")
    if night.steps:
        parts.append(curves_table(night.steps))
        night.found += [one for step in night.steps for one in step.figures]
    return "\n".join([*parts, night_figures.limits_table(night.found)])


def main(words: Sequence[str] | None = None) -> int:
    """Measure and print; 1 where a limit is not kept."""
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks.run night",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--size", choices=tuple(SIZES), default="large")
    parser.add_argument("--rounds", type=int, default=1)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", nargs="+", choices=PARTS, default=[], help="these parts alone")
    parser.add_argument("--json", type=Path, help="write what was measured to this file, too")
    parser.add_argument("--checkout", action="store_true", help="do not install it first")
    options = parser.parse_args(words)
    with tempfile.TemporaryDirectory(prefix="weeksync-bench-") as made:
        place = Path(made)
        program = checkout() if options.checkout else install(place / "program")
        night = Night(program, options.seed, frozenset(options.only), place)
        _warm(night)
        _measure(night, options.size, options.rounds)
        head, body = machine(program), report(night, options.size)
    print(f"{head}; median of {options.rounds} rounds\n\n{body}")
    if options.json:
        options.json.write_text(_as_json(night, head), encoding="utf-8")
    return 1 if any(one.is_over for one in night.found) else 0


def _warm(night: Night) -> None:
    """What the first process would pay for the rest: compiled libraries, the disk's cache."""
    for _ in range(2):
        measure([sys.executable, "-c", "import icalendar"])
    measure([*night.program.command, "--help"], env=night.program.env)


def _measure(night: Night, size: str, rounds: int) -> None:
    for number in range(1, rounds + 1):
        print(f"round {number} of {rounds}", file=sys.stderr, flush=True)
        if night.wants("cold", "quiet", "changed", "day", "week"):
            nights(night, size, number)
        if size == "large" and night.wants("small"):
            cold(night, "small")
    if night.wants("caldav"):
        with_caldav(night, size, rounds)
    if night.wants("curve"):
        night.steps += curves(night.program, night.place / "curve", size, rounds, night.seed)


def _as_json(night: Night, head: str) -> str:
    told = {
        "machine": head,
        "figures": [{**asdict(one), "over": one.is_over} for one in night.found],
        "stages": {
            size: {stage: [asdict(one) for one in some] for stage, some in seen.items()}
            for size, seen in night.seen.items()
        },
        "curves": [asdict(step) for step in night.steps],
    }
    return json.dumps(told, indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    sys.exit(main())
