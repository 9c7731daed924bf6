"""Measure reading and expanding two years of a corpus, beside bare libraries on the same bytes.

    python -m benchmarks.expansion small
    python -m benchmarks.expansion large --rounds 3

Each leg is a process of its own that reads all calendar files and keeps what it has found: `parse`
is one bare parse with `icalendar`; `libraries` that parse and `recurring-ical-events` over the 104
weeks; `weeksync` reads and expands the same weeks with every guard: repair, zones, budgets,
problems. `start` is the interpreter with nothing in it, whose memory is taken off in the column
"over start". The legs take turns; the table shows medians. What the second library takes alone is
`libraries` less `parse`.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

from benchmarks.measure import Measured, measure

LEGS = ("start", "parse", "libraries", "weeksync")
WEEKS = 104
FIRST = date(2026, 3, 23)
"""A Monday, a year before the week that measured runs play in."""
ZONE = "Europe/London"
MOST_TIME, MOST_MEMORY = 1.5, 0.3
"""What is promised: CPU over that of the libraries, peak memory over that of the parse."""


def parse(paths: list[Path]) -> int:
    """Parse each file with `icalendar`; the number of components."""
    from icalendar import Calendar

    calendars = [Calendar.from_ical(path.read_bytes()) for path in paths]
    return sum(len(calendar.subcomponents) for calendar in calendars)


def libraries(paths: list[Path]) -> int:
    """Parse and expand each file with the bare libraries; the number of occurrences."""
    import recurring_ical_events  # type: ignore[import-untyped]
    from icalendar import Calendar

    end = FIRST + timedelta(weeks=WEEKS)
    calendars = [Calendar.from_ical(path.read_bytes()) for path in paths]
    found = [recurring_ical_events.of(calendar).between(FIRST, end) for calendar in calendars]
    return sum(map(len, found))


def weeksync(paths: list[Path]) -> int:
    """Read and expand each file as a source of its own; the number of occurrences."""
    from weeksync.calendar.expand import expand
    from weeksync.model.pulled import StoredObject
    from weeksync.zones import zone

    end, tz = FIRST + timedelta(weeks=WEEKS), zone(ZONE)
    found = [
        expand(
            [StoredObject(path.stem, "files", path.name, "", "", path.read_bytes())],
            FIRST,
            end,
            tz,
        )
        for path in paths
    ]
    return sum(len(one.occurrences) for one in found)


_RUN: dict[str, Callable[[list[Path]], int]] = {
    "start": lambda paths: 0,
    "parse": parse,
    "libraries": libraries,
    "weeksync": weeksync,
}


def measure_legs(calendars: Path, rounds: int) -> dict[str, Measured]:
    """The median of each leg over so many rounds; the legs of a round follow each other."""
    paths = sorted(str(path) for path in calendars.iterdir())
    seen: dict[str, list[Measured]] = {leg: [] for leg in LEGS}
    for number in range(rounds):
        for leg in LEGS:
            print(f"round {number + 1} of {rounds}: {leg} …", file=sys.stderr, flush=True)
            seen[leg].append(
                measure([sys.executable, "-m", "benchmarks.expansion", "--leg", leg, *paths])
            )
    return {
        leg: Measured(
            statistics.median(one.cpu for one in all_of_it),
            statistics.median(one.wall for one in all_of_it),
            statistics.median(one.peak_mb for one in all_of_it),
        )
        for leg, all_of_it in seen.items()
    }


def table(measured: dict[str, Measured]) -> str:
    """The figures as text, and the two ratios that are promised."""
    start = measured["start"]
    lines = [f"{'leg':<12}{'CPU s':>9}{'peak MB':>9}{'over start':>12}"]
    for leg, one in measured.items():
        over = one.peak_mb - start.peak_mb
        lines.append(f"{leg:<12}{one.cpu:>9.2f}{one.peak_mb:>9.0f}{over:>12.0f}")
    parsed, bare, ours = (measured[leg] for leg in LEGS[1:])
    alone = bare.cpu - parsed.cpu
    over = (ours.peak_mb - start.peak_mb) / (parsed.peak_mb - start.peak_mb)
    return "\n".join(
        [
            *lines,
            f"CPU: weeksync ÷ libraries {ours.cpu / bare.cpu:.2f} (at most {MOST_TIME}), "
            f"÷ their expansion alone {ours.cpu / alone:.2f}, ÷ parse {ours.cpu / parsed.cpu:.2f}",
            f"peak memory: weeksync ÷ parse {ours.peak_mb / parsed.peak_mb:.2f}, "
            f"over start {over:.2f} (at most {MOST_MEMORY})",
        ]
    )


def main() -> None:
    """Write the corpus, measure, print the table; or be one leg."""
    if sys.argv[1:2] == ["--leg"]:
        print(_RUN[sys.argv[2]]([Path(name) for name in sys.argv[3:]]))
        return
    parser = argparse.ArgumentParser(prog="python -m benchmarks.expansion", description=__doc__)
    parser.add_argument("size", choices=("small", "large"))
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rounds", type=int, default=3)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="weeksync-bench-") as folder:
        # In a process of its own: the measuring one must stay small (see `measure`).
        corpus = [sys.executable, "-m", "benchmarks.corpus", options.size, folder]
        measure([*corpus, "--seed", str(options.seed)])
        calendars = Path(folder) / "calendars"
        size = sum(path.stat().st_size for path in calendars.iterdir())
        measured = measure_legs(calendars, options.rounds)
    print(f"{options.size}: {size / 1e6:.1f} MB, {WEEKS} weeks, median of {options.rounds}")
    print(table(measured))


if __name__ == "__main__":
    main()
