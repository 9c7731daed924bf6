"""A household of ten years: the demo household with a closed week for each of 520 weeks.

    python -m benchmarks.ten_years FOLDER [--weeks 520] [--seed 1]

A week of the demo is closed as any week is, and its record is put back week by week: its days are
moved, its marks and its titles drawn anew. Marks and check-ins lie beside them as files, too, since
a household that has been kept for ten years has them.
"""

from __future__ import annotations

import argparse
import json
import random
import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from weeksync import demo
from weeksync.household import keep_closed
from weeksync.model.archive import ClosedWeek
from weeksync.model.week import IsoWeek
from weeksync.read.archive import parse_closed
from weeksync.workflow.close import close_week
from weeksync.workflow.context import Context
from weeksync.workflow.opening import open_store
from weeksync.workflow.pull import pull

NOW = datetime(2027, 3, 24, 6, 40, tzinfo=UTC)
CLOSED = IsoWeek.parse("2027-W11")
"""The last week that is over at `NOW`, and the last of the closed ones."""
WEEKS = 520
CHECK_INS = 4
"""In each week."""

_DAY = re.compile(r"\d{4}-\d{2}-\d{2}(?=T|$)", re.ASCII)
_WEEK = re.compile(r"\d{4}-W\d{2}", re.ASCII)

_DOING = (
    "Mend", "Paint", "Sort", "Carry", "Look after", "Write about", "Ask for", "Bring back",
    "Weigh", "Wash", "Sharpen", "Draw", "Count", "Air", "Hang up", "Oil", "Label", "Plant",
)  # fmt: skip
_THINGS = (
    "the gate latch", "the blue ladder", "jars for the stall", "the seed list", "Pell's atlas",
    "the café table", "Juno's recorder", "the upstairs lamp", "the narrow shelf", "the rain barrel",
    "the library card", "the old drawings", "Nana Brice's letters", "the lane hedge", "the kettle",
    "the bicycle bell", "the crêpe pan", "the winter curtains", "the map of the shore", "the loft",
)  # fmt: skip
_WHERE = ("", " before noon", " with Dov", " for the lantern night", " by the step", " again")


def write_ten_years(folder: Path, weeks: int = WEEKS, seed: int = 1) -> Path:
    """Write the household; the same numbers give the same files."""
    rng = random.Random(seed)
    demo.copy_to(folder)
    context = Context.read(folder, NOW)
    with open_store(context) as store:
        pull(context, store)
    close_week(context, CLOSED)
    pattern = folder / "archive" / f"{CLOSED}.json"
    record, marks = json.loads(pattern.read_bytes()), folder / "marks" / f"{CLOSED}.csv"
    rows = marks.read_text("utf-8").splitlines(keepends=True)
    words = sorted((folder / "check-ins").glob("2027-03-1?.md"))
    pattern.unlink()
    for back in range(weeks):
        moved = _moved(record, -back)
        _draw(moved, rng)
        found = parse_closed(f"archive/{CLOSED.shifted(-back)}.json", json.dumps(moved).encode())
        if not isinstance(found, ClosedWeek):
            raise AssertionError(found)
        keep_closed(folder, found)
        if back:
            _beside(folder, found.week, rows, words, rng, -back)
    return folder


def bytes_of(folder: Path) -> int:
    """How much its archive is, in bytes."""
    return sum(path.stat().st_size for path in (folder / "archive").iterdir())


def _moved(value: Any, weeks: int) -> Any:
    """The same with every day, moment and week of it so many weeks later."""
    by = timedelta(weeks=weeks)

    def day(found: re.Match[str]) -> str:
        return (date.fromisoformat(found[0]) + by).isoformat()

    def moved(one: Any) -> Any:
        if isinstance(one, dict):
            return {key: moved(inner) for key, inner in one.items()}
        if isinstance(one, list):
            return list(map(moved, one))
        if isinstance(one, str) and _WEEK.fullmatch(one):
            return str(IsoWeek.parse(one).shifted(weeks))
        return _DAY.sub(day, one, count=1) if isinstance(one, str) and _DAY.match(one) else one

    return moved(value)


def _draw(record: dict[str, Any], rng: random.Random) -> None:
    """Titles, notes and marks of the week's own."""

    def title() -> str:
        return f"{rng.choice(_DOING)} {rng.choice(_THINGS)}{rng.choice(_WHERE)}"

    spread = record["spread"]
    for day in spread["days"]:
        for one in (*day.get("priorities", ()), *day.get("tasks", ())):
            one["title"] = title()
        for one in day.get("occurrences", ()):
            if rng.random() < 0.5:
                one["occurrence"]["title"] = title()
    for row in spread["habits"]:
        for cell in row["cells"]:
            if cell["state"] in {"marked", "missed", "not recorded"}:
                _draw_cell(row, cell, rng)
    spread["notes"] = ". ".join(title() for _ in range(6))


def _draw_cell(row: dict[str, Any], cell: dict[str, Any], rng: random.Random) -> None:
    cell.pop("value", None)
    cell["state"] = rng.choices(("marked", "missed", "not recorded"), (70, 15, 15))[0]
    if cell["state"] == "not recorded":
        return
    full = cell["state"] == "marked"
    if row["kind"] == "yes/no":
        cell["value"] = "yes" if full else "no"
    elif row["kind"] == "scale":
        cell["value"] = str(rng.randint(1, 5))
    else:
        target = row.get("target") or 5
        cell["value"] = f"{target * (rng.uniform(1, 1.2) if full else rng.uniform(0.4, 0.9)):.0f}"


def _beside(
    folder: Path,
    week: IsoWeek,
    rows: list[str],
    words: list[Path],
    rng: random.Random,
    weeks: int,
) -> None:
    """The files of marks and check-ins that the week was closed from."""
    days: Callable[[str], str] = lambda text: re.sub(  # noqa: E731
        r"\d{4}-\d{2}-\d{2}",
        lambda one: (date.fromisoformat(one[0]) + timedelta(weeks=weeks)).isoformat(),
        text,
    )
    marks = folder / "marks" / f"{week}.csv"
    if not marks.exists():
        marks.write_text("".join((rows[0], *map(days, rows[1:]))), encoding="utf-8")
    for path in rng.sample(words, min(CHECK_INS, len(words))):
        beside = path.with_name(f"{days(path.stem)}.md")
        if not beside.exists():
            beside.write_bytes(path.read_bytes())


def main() -> None:
    """Write it to a folder."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.ten_years", description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--weeks", type=int, default=WEEKS)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    write_ten_years(options.folder, options.weeks, options.seed)


if __name__ == "__main__":
    main()
