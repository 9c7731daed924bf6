"""What an added calendar and an added year cost: nights over households that grow step by step."""

from __future__ import annotations

import math
import statistics
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from benchmarks.installed import Program
from benchmarks.measure import measure
from benchmarks.night_figures import CHANGED, COLD, QUIET, Figure
from benchmarks.night_home import NightHome, change_one_event, settle

CALENDARS, INSIDE, OUTSIDE = "calendars", "years in the window", "years outside the window"
HASHED, BY_EVENT = "bytes hashed", "and each event"
EXPONENT_LIMIT = 1.1
"""Linear is 1; the rest is what such a fit is worth."""
NOW = datetime(2027, 3, 24, 4, tzinfo=UTC)
YEAR = 52
OFTEN, TIMES = 3, 20
CHANGES = 2
"""One more calendar costs a change less than two of the same nights differ by. A busy machine only
adds, so that the least of several is nearest to what a night costs."""
FLAT = 0.15
"""Growth under this share is taken for none."""
FINE = (0, 1)


@dataclass(frozen=True, slots=True)
class Extent:
    """How far the curves go, and how many VEVENTs a calendar has in a year."""

    steps: tuple[int, ...]
    a_year: int


EXTENTS = {
    "large": Extent((1, 2, 4, 8), 500),
    "small": Extent((1, 2, 4), 250),
    "tiny": Extent((1, 2), 10),
}


@dataclass(frozen=True, slots=True)
class Row:
    """One step of a curve: how many there are, their bytes, CPU seconds of each stage."""

    number: int
    size: int
    cpu: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Step:
    """One curve; its first row has none of what is added."""

    name: str
    rows: tuple[Row, ...]
    figures: list[Figure] = field(default_factory=list)


def exponent(rows: Sequence[Row], stage: str) -> float:
    """The power p for which cost = a + b · number**p fits best (least squares), in hundredths.

    0 where the whole growth is less than what such measurements differ by.
    """
    numbers, costs = [row.number for row in rows], [row.cpu[stage] for row in rows]
    if costs[-1] - costs[0] < FLAT * costs[0]:
        return 0.0

    def misfit(power: float) -> float:
        raised = [number**power for number in numbers]
        line = statistics.linear_regression(raised, costs)
        return math.fsum(
            (cost - line.intercept - line.slope * one) ** 2
            for one, cost in zip(raised, costs, strict=True)
        )

    return min((hundredths / 100 for hundredths in range(10, 301)), key=misfit)


def per_megabyte(rows: Sequence[Row], stage: str) -> float:
    """CPU milliseconds of each added megabyte (least squares)."""
    line = statistics.linear_regression(
        [row.size / 1e6 for row in rows], [1000 * row.cpu[stage] for row in rows]
    )
    return line.slope


def curves(program: Program, place: Path, size: str, rounds: int, seed: int) -> list[Step]:
    """Measure all three curves."""
    runs = _Runs(program, place, rounds, seed)
    extent = EXTENTS[size]
    steps, most = extent.steps, extent.steps[-1]
    home = runs.home("calendars", most, 3 * most * extent.a_year, (2026, 2028))
    text = (home.folder / "config.toml").read_bytes()
    rows = []
    for number in (0, *steps):
        (home.folder / "config.toml").write_bytes(text)
        home.keep_calendars(number)
        rows.append(runs.row(home, number, home.calendars[:number]))
    found = [_linear(Step(CALENDARS, tuple(rows)))]

    years = (2027 - most // 2 - 1, 2027 + most // 2 + 1)
    home = runs.home("inside", 2, 2 * (years[1] - years[0] + 1) * extent.a_year, years)
    rows = []
    for number in (0, *steps):
        home.set_window(number * YEAR // 2, max(number * YEAR // 2 - 1, 0))
        rows.append(runs.row(home, number, home.calendars))
    found.append(_linear(Step(INSIDE, tuple(rows))))

    rows = []
    for number in (0, *steps):
        years = (2027 - 2 * number, 2027 + 2 * number)
        events = 2 * (years[1] - years[0] + 1) * extent.a_year
        home = runs.home(f"outside-{number}", 2, events, years)
        home.set_window(4, 4)
        rows.append(runs.row(home, 4 * number, home.calendars, hashes=True))
    return [*found, _flat(Step(OUTSIDE, tuple(rows)))]


def _linear(step: Step) -> Step:
    for stage in (COLD, CHANGED, QUIET):
        # With no calendar there is no event to be changed.
        rows = step.rows[1:] if stage == CHANGED and not step.rows[0].size else step.rows
        power = exponent(rows, stage)
        limit = EXPONENT_LIMIT if stage != QUIET else None  # a few ms: no exponent to speak of
        step.figures.append(Figure(f"{step.name}: {stage}", power, limit, "exponent"))
    return step


def _flat(step: Step) -> Step:
    for stage, unit in ((COLD, BY_EVENT), (CHANGED, BY_EVENT), (QUIET, HASHED)):
        grows, least = per_megabyte(step.rows, stage), per_megabyte(step.rows, unit)
        step.figures.append(
            Figure(
                f"{step.name}: {stage}",
                grows / least if least > 0 else math.inf,
                None,
                f"× {unit}",
                f"{grows:.1f} ms of each added MB",
            )
        )
    return step


@dataclass(frozen=True, slots=True)
class _Runs:
    program: Program
    place: Path
    rounds: int
    seed: int

    def home(self, name: str, calendars: int, events: int, years: tuple[int, int]) -> NightHome:
        """A household with so many calendars and events in these years."""
        folder = self.place / name
        # In a process of its own: the measuring one must stay small (see `measure`).
        code = (
            "import pathlib, sys; from benchmarks.corpus import Size, write_corpus\n"
            "n = list(map(int, sys.argv[2:]))\n"
            "write_corpus(pathlib.Path(sys.argv[1]), Size(*n[:4]), n[4])"
        )
        numbers = map(str, (calendars, events, *years, self.seed))
        measure([sys.executable, "-c", code, str(folder), *numbers])
        return NightHome(folder)

    def row(self, home: NightHome, number: int, files: list[Path], *, hashes: bool = False) -> Row:
        """Every stage over that household, the least of the rounds."""
        print(f"  {home.folder.name}, {number} …", file=sys.stderr, flush=True)
        seen: dict[str, list[float]] = {COLD: [], CHANGED: [], QUIET: []}
        for each in range(max(self.rounds, OFTEN)):
            home.clear()
            seen[COLD].append(self._night(home, 0))
            for minute in range(OFTEN):
                seen[QUIET].append(self._night(home, minute + 1))
            before = files[0].read_bytes() if files else b""
            for often in range(CHANGES):
                if files:
                    change_one_event(files[0], f"Another title {each} {often}")
                    settle()
                seen[CHANGED].append(self._night(home, 30 + often))
            if files:
                files[0].write_bytes(before)
        names = [str(path) for path in files]
        for stage, words in ((HASHED, []), (BY_EVENT, ["--events"])) if hashes else ():
            command = [sys.executable, "-m", "benchmarks.hashing", str(TIMES), *words, *names]
            seen[stage] = [measure(command).cpu / TIMES for _ in range(OFTEN)]
        size = sum(path.stat().st_size for path in files)
        return Row(number, size, {stage: min(some) for stage, some in seen.items()})

    def _night(self, home: NightHome, minute: int) -> float:
        at = (NOW + timedelta(minutes=minute)).isoformat()
        return measure(self.program.nightly(home.folder, at), env=self.program.env, fine=FINE).cpu


def curves_table(steps: Sequence[Step]) -> str:
    """Each curve: CPU milliseconds, and what one more has cost since the row above."""
    lines = []
    for step in steps:
        stages = list(step.rows[0].cpu)
        lines.append(f"{step.name:<26}{'MB':>7}" + "".join(f"{one:>19}{'+1':>8}" for one in stages))
        last: Row | None = None
        for row in step.rows:
            cells = ""
            for stage in stages:
                more = ""
                if last is not None:
                    grown = row.cpu[stage] - last.cpu[stage]
                    more = f"{1000 * grown / (row.number - last.number):+.0f}"
                cells += f"{1000 * row.cpu[stage]:>19.0f}{more:>8}"
            lines.append(f"{row.number:>26}{row.size / 1e6:>7.1f}{cells}")
            last = row
        lines.append("")
    return "\n".join(lines)
