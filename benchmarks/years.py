"""How long a household of ten years waits for the page of a year, and for a search.

    python -m benchmarks.years [--weeks 520] [--rounds 10] [--keep FOLDER]

It generates the household (`benchmarks.ten_years`), builds it and serves it, each in a process of
its own. Of each page the first request of a process that has just started is told apart from later
ones; while the first ones are answered, serve makes the whole site once more. Exit status 1 where
one of them takes a second or more.
"""

from __future__ import annotations

import argparse
import os
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode, urlsplit

from benchmarks.measure import ROOT, measure
from benchmarks.serve import Running
from benchmarks.ten_years import NOW, WEEKS, bytes_of
from weeksync.serve import Access

PERSON, PIN = "ines", "4711-owl"
LIMIT = 1.0
"""Seconds that nobody notices on a Sunday evening."""

PAGES = {
    "year, common": "/year-2019.html",
    "year, own": "/own/year-2019.html",
    "this year, own": "/own/year-2027.html",
    "search, everybody": "/search/?q=cafe+table",
    "search, own": "/search/?q=lantern+night",
}
"""What is asked for; those of one's own with the cookie of an unlocked person."""


@dataclass
class Asked:
    """Seconds of each request of a page, and the bytes of its answer."""

    seconds: list[float] = field(default_factory=list)
    size: int = 0


@contextmanager
def served(household: Path) -> Iterator[Running]:
    """`weeksync serve` over the household, on a free port."""
    line = [sys.executable, "-m", "weeksync", "serve", "--household", str(household)]
    line += ["--port", "0", "--now", NOW.isoformat()]
    process = subprocess.Popen(line, cwd=ROOT, stdout=subprocess.PIPE, text=True)
    try:
        assert process.stdout is not None  # noqa: S101 - for the type checker
        said = process.stdout.readline()
        yield Running(said[said.index("http") :].strip(), process)
    finally:
        process.send_signal(signal.SIGTERM)
        process.communicate(timeout=60)


class Visitor:
    """A browser that sends back its cookies."""

    def __init__(self, address: str) -> None:
        parts = urlsplit(address)
        self._where = parts.hostname or "", parts.port or 80
        self._cookie = ""

    def unlock(self) -> None:
        """Give the PIN."""
        form = urlencode({"person": PERSON, "pin": PIN, "next": "index.html"})
        self._ask("POST", "/own/unlock", form)

    def get(self, path: str) -> bytes:
        """The page; AssertionError where it cannot be had."""
        return self._ask("GET", path)

    def _ask(self, method: str, path: str, body: str = "") -> bytes:
        connection = HTTPConnection(*self._where, timeout=120)
        headers = {"Cookie": self._cookie} if self._cookie else {}
        if body:
            headers |= {
                "Origin": f"http://{self._where[0]}:{self._where[1]}",
                "Content-Type": "application/x-www-form-urlencoded",
            }
        connection.request(method, path, body or None, headers)
        answer = connection.getresponse()
        content = answer.read()
        cookies = [value.partition(";")[0] for value in answer.headers.get_all("set-cookie") or ()]
        self._cookie = "; ".join(filter(None, (self._cookie, *cookies)))
        connection.close()
        if answer.status not in {200, 303}:
            raise AssertionError(f"{method} {path}: {answer.status}")
        return content


def ask(household: Path, rounds: int) -> tuple[dict[str, Asked], dict[str, Asked], float]:
    """(first requests of fresh processes, one a page; later ones, most memory in megabytes)."""
    fresh, warm, peak = {}, {}, 0.0
    for name, path in PAGES.items():
        with served(household) as running:
            visitor = Visitor(running.address)
            if "own" in name:
                visitor.unlock()
            fresh[name] = _timed(visitor, path, 1)
            peak = max(peak, running.peak_mb())
    with served(household) as running:
        visitor = Visitor(running.address)
        visitor.unlock()
        for name, path in PAGES.items():
            warm[name] = _timed(visitor, path, rounds)
        peak = max(peak, running.peak_mb())
    return fresh, warm, peak


def _timed(visitor: Visitor, path: str, rounds: int) -> Asked:
    asked = Asked()
    for _ in range(rounds):
        began = time.perf_counter()
        asked.size = len(visitor.get(path))
        asked.seconds.append(time.perf_counter() - began)
    return asked


def table(fresh: Mapping[str, Asked], warm: Mapping[str, Asked]) -> str:
    """The figures as text."""
    lines = [f"{'':<20}{'first, s':>10}{'later, s':>10}{'worst, s':>10}{'kB':>8}"]
    for name in PAGES:
        first, later = fresh[name], warm[name]
        lines.append(
            f"{name:<20}{first.seconds[0]:>10.3f}{statistics.median(later.seconds):>10.3f}"
            f"{max(later.seconds):>10.3f}{later.size / 1e3:>8.0f}"
        )
    return "\n".join(lines)


def main() -> int:
    """Generate, build, serve, print; the exit status."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.years", description=__doc__)
    parser.add_argument("--weeks", type=int, default=WEEKS)
    parser.add_argument("--rounds", type=int, default=10)
    parser.add_argument("--keep", type=Path, help="where the household goes, to be kept")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="weeksync-bench-") as made:
        household = options.keep or Path(made) / "home"
        python = sys.executable
        if not household.exists():
            weeks = ["--weeks", str(options.weeks)]
            measure([python, "-m", "benchmarks.ten_years", str(household), *weeks])
        Access(household / "state" / "access.json").set_pin(PERSON, PIN)
        where = ["--household", str(household), "--now", NOW.isoformat()]
        builds = [measure([python, "-m", "weeksync", "build", *where]) for _ in range(2)]
        find = measure([python, "-m", "weeksync", "find", "cafe", "table", *where])
        fresh, warm, peak = ask(household, options.rounds)
        records = bytes_of(household)
        short = sum(path.stat().st_size for path in (household / "state" / "years").iterdir())
        index = sum(
            path.stat().st_size for path in (household / "output" / "site").glob("search-*.js")
        )
    print(
        f"{options.weeks} closed weeks: records {records / 1e6:.1f} MB, in short "
        f"{short / 1e6:.1f} MB, indexes of the browser {index / 1e6:.2f} MB; {os.cpu_count()} cores"
    )
    for name, one in (("first build", builds[0]), ("build again", builds[1]), ("find", find)):
        print(f"{name:<20}{one.cpu:>9.2f} CPU s{one.wall:>8.2f} s{one.peak_mb:>7.0f} MB")
    print(table(fresh, warm))
    print(f"serve, most memory  {peak:.0f} MB")
    slow = [name for name in PAGES if max(*fresh[name].seconds, *warm[name].seconds, 0.0) >= LIMIT]
    print("all under a second" if not slow else f"a second or more: {', '.join(slow)}")
    return 1 if slow else 0


if __name__ == "__main__":
    sys.exit(main())
