"""A small household, and the commands that are cut short in it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.support.households import calendar, event, write_household

NIGHT, LATER, LAST = (f"2027-03-24T0{hour}:10:00+00:00" for hour in (4, 5, 6))
"""The good night before, the command that is cut short, and the night after that."""
HABITS = """\
# Kept as they are.
format = 1

[[habits]]
id = "walk"
title = "Walk"
person = "ann"
"""
TASKS = """\
format = 1

[[tasks]]
id = "shed"
title = "Paint the shed"   # in blue
due = 2027-03-26
"""
MORE_TASKS = '\n[[tasks]]\ntitle = "Order coal"\n'
MARKS = (
    "id,date,person,value,recorded_at,received_at,device\r\n"
    "walk,2027-03-23,ann,yes,2027-03-23T20:00:00+00:00,2027-03-23T20:00:00+00:00,kitchen\r\n"
)
TORN = "a line of marks that was cut is named each night, and the mark can be made again"


@dataclass(frozen=True)
class Scene:
    """A command that writes, what was done to the household before it, and what it writes."""

    name: str
    words: tuple[str, ...]
    prepare: Callable[[Path], None] = lambda _: None
    """After the good night, before the command."""
    night_before: bool = True
    quiet: bool = False
    """A night right before it leaves the note of a quiet night; then pages are dated one by one."""
    points: int = 2
    """At how many steps the tests harm it in each way; `--all` takes every one."""
    but: str = ""
    """What may be otherwise then, for the table."""


def _changed(folder: Path) -> None:
    with (folder / "tasks.toml").open("a", encoding="utf-8") as file:
        file.write(MORE_TASKS)
    (folder / "family.ics").write_text(
        calendar(
            event("dentist", "20270325T113000", "Dentist, moved"),
            event("choir", "20270326T190000", "Choir"),
        ),
        newline="",
    )


SCENES = (
    Scene("a night in which a calendar has changed", ("nightly",), _changed),
    Scene("the first night of all", ("nightly",), night_before=False, points=1),
    Scene("a night in which nothing has changed", ("nightly",), quiet=True, points=1),
    Scene("a mark of a habit", ("mark", "walk", "yes"), points=1, but=TORN),
    Scene("a mark that ends a task", ("mark", "shed", "done"), points=1, but=TORN),
    Scene("the close of a week", ("close", "2027-W11"), points=1),
)


def household(folder: Path) -> None:
    """The household as its people have written it."""
    config = '\n[[calendars]]\nid = "family"\npath = "family.ics"\nperson = "ann"\n'
    write_household(folder, config, habits_toml=HABITS, tasks_toml=TASKS)
    file = folder / "config.toml"
    small = file.read_text("utf-8").replace("weeks_back = 1", "weeks_back = 0\nown_pages = true")
    file.write_text(small.replace("weeks_ahead = 2", "weeks_ahead = 0"), "utf-8")
    text = calendar(event("dentist", "20270325T113000", "Dentist"))
    (folder / "family.ics").write_text(text, newline="")
    (folder / "marks").mkdir()
    (folder / "marks" / "2027-W12.csv").write_text(MARKS, newline="")


def restore(kept: Path, folder: Path) -> None:
    """`folder` as `kept` has it."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(kept, folder, symlinks=True)
