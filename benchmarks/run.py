"""Measure weeksync on a corpus, beside one parse of the same bytes with `icalendar`.

    python -m benchmarks.run small
    python -m benchmarks.run large --rounds 1
    python -m benchmarks.run plan
    python -m benchmarks.run night

`night` measures all that is promised of a night, beside its limits: see `benchmarks.night`.
`plan` measures planning a crowded week alone, in this process: see `benchmarks.plan`.

Every stage is a process of its own, started as a user or cron would start it. The stages take
turns, so that a busy moment of the machine does not fall on one of them alone; the table shows
the median of the rounds. Times of one machine say little: look at the ratios.
"""

from __future__ import annotations

import argparse
import os
import platform
import shutil
import statistics
import sys
import tempfile
from importlib.metadata import version
from pathlib import Path

from benchmarks import night, plan
from benchmarks.measure import Measured, measure

STAGES = ("import icalendar", "parse, icalendar", "pull", "build, cold", "nightly, unchanged")
YARDSTICK = STAGES[1]
NOW = "2027-03-24T06:40:00+00:00"


def commands(household: Path) -> dict[str, list[str]]:
    """The command of each stage, in the order in which they have to run."""
    calendars = sorted(str(path) for path in (household / "calendars").iterdir())
    python = sys.executable
    weeksync = [python, "-m", "weeksync"]
    where = ["--household", str(household), "--now", NOW]
    return dict(
        zip(
            STAGES,
            (
                [python, "-c", "import icalendar"],
                [python, "-m", "benchmarks.parse", *calendars],
                [*weeksync, "pull", *where],
                [*weeksync, "build", *where],
                [*weeksync, "nightly", *where],
            ),
            strict=True,
        )
    )


def measure_rounds(household: Path, rounds: int) -> dict[str, Measured]:
    """The median of each stage over so many rounds, each from an empty state."""
    seen: dict[str, list[Measured]] = {stage: [] for stage in STAGES}
    for number in range(rounds):
        for made in ("state", "output"):
            shutil.rmtree(household / made, ignore_errors=True)
        for stage, command in commands(household).items():
            print(f"round {number + 1} of {rounds}: {stage} …", file=sys.stderr, flush=True)
            seen[stage].append(measure(command))
    return {stage: _median(all_of_it) for stage, all_of_it in seen.items()}


def _median(all_of_it: list[Measured]) -> Measured:
    return Measured(
        statistics.median(one.cpu for one in all_of_it),
        statistics.median(one.wall for one in all_of_it),
        statistics.median(one.peak_mb for one in all_of_it),
    )


def table(measured: dict[str, Measured]) -> str:
    """The figures as text, with the CPU time of each stage in units of the yardstick."""
    lines = [f"{'stage':<20}{'CPU s':>9}{'wall s':>9}{'peak MB':>9}{'÷ parse':>9}"]
    unit = measured[YARDSTICK].cpu
    for stage, one in measured.items():
        lines.append(
            f"{stage:<20}{one.cpu:>9.2f}{one.wall:>9.2f}{one.peak_mb:>9.0f}{one.cpu / unit:>9.2f}"
        )
    return "\n".join(lines)


def main() -> None:
    """Write the corpus, measure, print the table."""
    if sys.argv[1:2] == ["night"]:
        sys.exit(night.main(sys.argv[2:]))
    parser = argparse.ArgumentParser(
        prog="python -m benchmarks.run",
        description=__doc__,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("size", choices=("small", "large", "plan", "night"))
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rounds", type=int, help="3 for small, 1 for large, 25 for plan")
    options = parser.parse_args()
    if options.size == "plan":
        plan.main(options.rounds or 25, options.seed)
        return
    rounds = options.rounds or (3 if options.size == "small" else 1)
    with tempfile.TemporaryDirectory(prefix="weeksync-bench-") as folder:
        household = Path(folder) / options.size
        seed = ["--seed", str(options.seed)]
        # In a process of its own: the measuring one must stay small (see `measure`).
        measure([sys.executable, "-m", "benchmarks.corpus", options.size, str(household), *seed])
        size = sum(path.stat().st_size for path in (household / "calendars").iterdir())
        measured = measure_rounds(household, rounds)
    print(
        f"{options.size}: {size / 1e6:.1f} MB, seed {options.seed}, median of {rounds}; "
        f"Python {platform.python_version()}, icalendar {version('icalendar')}, "
        f"{os.cpu_count()} cores"
    )
    print(table(measured))


if __name__ == "__main__":
    main()
