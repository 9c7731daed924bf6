"""Household files in memory, read for the checks between them."""

from __future__ import annotations

from weeksync.model.chosen import WeekFile
from weeksync.model.config import Config
from weeksync.model.fields import FileRecord
from weeksync.model.files import AppointmentsFile, HabitsFile, RoutinesFile, TasksFile, TermsFile
from weeksync.model.money import MoneyFile
from weeksync.read import ReadFiles, cross_check, read_check_in, read_marks, read_toml

CONFIG = """format = 1
[household]
name = "Marlowick"
time_zone = "Europe/London"
[[people]]
id = "ines"
name = "Ines"
[[people]]
id = "dov"
name = "Dov"
[[areas]]
id = "home"
name = "Home"
colour = "moss"
letter = "H"
"""
"""Two people and an area, in 15 lines."""

_MODELS: dict[str, type[FileRecord]] = {
    "appointments.toml": AppointmentsFile,
    "routines.toml": RoutinesFile,
    "habits.toml": HabitsFile,
    "money.toml": MoneyFile,
    "terms.toml": TermsFile,
}


def reading(files: dict[str, str], config: str | None = CONFIG) -> ReadFiles:
    """The files as read; `format = 1` is put on a line of its own before the TOML ones."""
    read = ReadFiles()
    if config is not None:
        read.config = read_toml("config.toml", config.encode(), Config)
    for name, text in files.items():
        if name.startswith("marks/"):
            read.marks.append(read_marks(name, text.encode()))
        elif name.startswith("check-ins/"):
            read.check_ins.append(read_check_in(name, text.encode(), "ines"))
        else:
            weeks_or_tasks = WeekFile if name.startswith("weeks/") else TasksFile
            model = _MODELS.get(name, weeks_or_tasks)
            read.files.append(read_toml(name, f"format = 1\n{text}".encode(), model))
    return read


def found(files: dict[str, str], config: str | None = CONFIG) -> list[str]:
    """What the checks between the files say of them, one line each."""
    return [str(problem) for problem in cross_check(reading(files, config))]
