"""Time and memory of a year of spreads as one PDF, on the demo household.

    python -m benchmarks.paper [--weeks 52] [--way duplex] [--with weasyprint]

Each line is `weeksync print` in a process of its own: reading the household and its calendars,
planning, laying out, making the PDF, looking whether everything is in it, imposing it. With
`--with chromium` the memory is that of weeksync alone, since Chromium's own processes are others.
Lines for fewer weeks show what one week costs and whether that grows with their number.
"""

from __future__ import annotations

import argparse
import platform
import sys
import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from benchmarks.measure import Measured, measure
from weeksync.model.week import IsoWeek

NOW = datetime(2027, 1, 4, 5, 40, tzinfo=UTC)
"""A Monday, so that all weeks of the year are to come."""

FIRST = IsoWeek(2027, 1)


@dataclass(frozen=True, slots=True)
class Printed:
    """A run: what it used, and what came of it."""

    weeks: int
    used: Measured
    pages: int
    kilobytes: int


def household(folder: Path) -> Path:
    """The demo household with its calendars pulled, in a folder."""
    command = [sys.executable, "-m", "weeksync", "demo", "--to", str(folder), "--now"]
    measure([*command, NOW.isoformat()])
    return folder / "household"


def printed(home: Path, weeks: int, way: str, engine: str, target: Path) -> Printed:
    """That many weeks from the first of the year on, printed and measured."""
    from pypdf import PdfReader

    used = measure(
        [
            sys.executable, "-m", "weeksync", "print", str(FIRST), "--weeks", str(weeks),
            "--way", way, "--with", engine, "--to", str(target), "--came-out", "no",
            "--household", str(home), "--now", NOW.isoformat(),
        ]
    )  # fmt: skip
    return Printed(weeks, used, len(PdfReader(target).pages), target.stat().st_size // 1024)


def main(arguments: list[str] | None = None) -> None:
    """Measure and print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--weeks", type=int, default=52, help="how many weeks at most")
    parser.add_argument("--way", default="duplex", help="how pages go on paper")
    parser.add_argument("--with", dest="engine", default="weasyprint", help="what makes the PDF")
    asked = parser.parse_args(arguments)
    print(f"spreads of the demo, {asked.way}, {asked.engine}; Python {platform.python_version()}")
    print(f"{'weeks':>5}{'pages':>7}{'CPU s':>9}{'wall s':>9}{'peak MB':>9}{'kB':>7}")
    with tempfile.TemporaryDirectory(prefix="weeksync-paper-") as name:
        home = household(Path(name) / "demo")
        for weeks in sorted({1, max(asked.weeks // 4, 1), asked.weeks}):
            one = printed(home, weeks, asked.way, asked.engine, Path(name) / "weeks.pdf")
            print(
                f"{one.weeks:>5}{one.pages:>7}{one.used.cpu:>9.1f}{one.used.wall:>9.1f}"
                f"{one.used.peak_mb:>9.0f}{one.kilobytes:>7}"
            )


if __name__ == "__main__":
    main()
