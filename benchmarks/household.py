"""The household folder around a corpus: so many people, tasks and habits as a full week has."""

from __future__ import annotations

import random
from datetime import date, timedelta
from pathlib import Path

WEEKS_BACK, WEEKS_AHEAD = 52, 51
"""104 week pages with the current one."""
TASKS, HABITS, MARKED_DAYS = 25, 10, 42
FIRST_DUE = date(2027, 3, 1)

_HEAD = f"""format = 1

[household]
name = "The corpus"
time_zone = "Europe/London"
locale = "en_GB"
region = "GB-ENG"

[site]
weeks_back = {WEEKS_BACK}
weeks_ahead = {WEEKS_AHEAD}
"""
_PEOPLE = ("ada", "bo", "cleo", "dara")
_AREAS = (("house", "moss", "H"), ("work", "slate", "W"), ("rest", "plum", "R"))


def write_household(folder: Path, calendars: list[str], rng: random.Random) -> None:
    """Write `config.toml`, `tasks.toml`, `habits.toml` and six weeks of marks."""
    parts = [_HEAD]
    parts += [f'[[people]]\nid = "{one}"\nname = "{one.title()}"\n' for one in _PEOPLE]
    parts += [
        f'[[areas]]\nid = "{area}"\nname = "{area.title()}"\ncolour = "{tint}"\n'
        f'letter = "{letter}"\n'
        for area, tint, letter in _AREAS
    ]
    for number, name in enumerate(calendars):
        person, area = _PEOPLE[number % len(_PEOPLE)], _AREAS[number % len(_AREAS)][0]
        parts.append(
            f'[[calendars]]\nid = "calendar-{number:02}"\npath = "calendars/{name}"\n'
            f'person = "{person}"\narea = "{area}"\n'
        )
    _write(folder / "config.toml", parts)
    _write(folder / "tasks.toml", ["format = 1\n", *(_task(n, rng) for n in range(TASKS))])
    _write(folder / "habits.toml", ["format = 1\n", *(_habit(n) for n in range(HABITS))])
    _write_marks(folder / "marks", rng)


def _task(number: int, rng: random.Random) -> str:
    due = FIRST_DUE + timedelta(days=rng.randrange(56))
    return (
        f'[[tasks]]\nid = "task-{number}"\ntitle = "Task {number}"\n'
        f'person = "{rng.choice(_PEOPLE)}"\narea = "{rng.choice(_AREAS)[0]}"\n'
        f"due = {due}\nestimate = {rng.choice((15, 30, 60, 120))}\n"
    )


def _habit(number: int) -> str:
    return (
        f'[[habits]]\nid = "habit-{number}"\ntitle = "Habit {number}"\n'
        f'person = "{_PEOPLE[0]}"\norder = {number}\n'
    )


def _write_marks(folder: Path, rng: random.Random) -> None:
    weeks: dict[str, list[str]] = {}
    for day in (FIRST_DUE - timedelta(days=20) + timedelta(days=n) for n in range(MARKED_DAYS)):
        week = day.isocalendar()
        rows = weeks.setdefault(f"{week.year}-W{week.week:02}", [])
        for habit in range(HABITS):
            value = "yes" if rng.random() < 0.8 else "no"
            at = f"{day}T21:{rng.randrange(60):02}:00+00:00"
            rows.append(f"habit-{habit},{day},{_PEOPLE[0]},{value},{at},{at},tablet\n")
    for name, rows in weeks.items():
        _write(
            folder / f"{name}.csv",
            ["id,date,person,value,recorded_at,received_at,device\n", *rows],
            between="",
        )


def _write(path: Path, parts: list[str], between: str = "\n") -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(between.join(parts), encoding="utf-8")
