"""The household folder into records: every file, and every mistake, in one run."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

from weeksync.errors import HouseholdError
from weeksync.household.answers import read_all_answers
from weeksync.household.disk import Disk
from weeksync.household.listing import CONFIG, strangers, year_files
from weeksync.household.snapshots import read_snapshots
from weeksync.message import counted, message
from weeksync.model.chosen import WeekFile
from weeksync.model.config import Config
from weeksync.model.fields import FileRecord
from weeksync.model.files import AppointmentsFile, HabitsFile, RoutinesFile, TasksFile, TermsFile
from weeksync.model.household import HouseholdFiles
from weeksync.model.money import MoneyFile
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.record import Record
from weeksync.read import (
    MARKABLE,
    Parsed,
    ReadFiles,
    cross_check,
    file_week,
    filled,
    nearest,
    read_check_in,
    read_marks,
    read_toml,
    unread,
)

MODELS: dict[str, type[FileRecord]] = {
    "appointments.toml": AppointmentsFile,
    "routines.toml": RoutinesFile,
    "tasks.toml": TasksFile,
    "habits.toml": HabitsFile,
    "money.toml": MoneyFile,
    "terms.toml": TermsFile,
}
"""The files of the folder beside `config.toml`, with their records."""


def read_household(folder: Path) -> HouseholdFiles:
    """Everything the household folder says, with every problem of every file in `problems`.

    Every entry has an id: where the file has none yet, one made from its content. Raises
    HouseholdError, whose `problems` are those of all files, where `config.toml` is missing or
    cannot be used; a mistake in one of its `[[…]]` entries leaves out that entry alone.
    """
    disk = Disk(folder)
    files = _read_all(disk)
    snapshots, wrong = read_snapshots(disk)
    answers, wrong_answers = read_all_answers(disk, files.first_person())
    problems = [*disk.problems, *_of_files(files), *cross_check(files)]
    problems += wrong + wrong_answers + _give_ids(files) + _strangers(disk)
    problems.sort(key=_order)
    if files.config is None or files.config.record is None:
        raise _unusable(folder, problems)
    together = _put_together(files, files.config.record, problems, disk.digests)
    return replace(together, snapshots=snapshots, answers=answers)


def mistakes_of(disk: Disk) -> list[Problem]:
    """What is wrong in the files of a folder and between them: what `read_household` tells."""
    files = _read_all(disk)
    found = [*disk.problems, *_of_files(files), *cross_check(files)]
    return [one for one in found if one.kind is ProblemKind.MISTAKE]


def toml_files(disk: Disk) -> dict[str, type[Record]]:
    """The TOML files of the folder beside `config.toml` that may be there, with their records."""
    weeks = disk.names("weeks", ".toml")
    years = dict.fromkeys(year_files(disk), TasksFile)
    return {**MODELS, **years, **dict.fromkeys(weeks, WeekFile)}


def _read_all(disk: Disk) -> ReadFiles:
    files = ReadFiles()
    files.config = _parsed(disk, CONFIG, Config)
    for name, model in toml_files(disk).items():
        parsed = _parsed(disk, name, model)
        if parsed is not None:
            files.files.append(parsed)
    for name in disk.names("marks", ".csv"):
        content = disk.read(name)
        if content is not None:
            files.marks.append(read_marks(name, content))
    first = files.first_person()
    for name in disk.names("check-ins", ".md"):
        content = disk.read(name)
        if content is not None:
            files.check_ins.append(read_check_in(name, content, first))
    return files


def _parsed(disk: Disk, name: str, model: type[Any]) -> Parsed[Any] | None:
    """The file as read; one that is there and cannot be read is known to say something."""
    content = disk.read(name)
    if content is not None:
        return read_toml(name, content, model)
    return unread(name, model) if name in disk.unreadable else None


def _of_files(files: ReadFiles) -> list[Problem]:
    found = [problem for one in files.all() for problem in one.problems]
    found += [problem for one in files.marks for problem in one.problems]
    return found + [problem for one in files.check_ins for problem in one.problems]


def _give_ids(files: ReadFiles) -> list[Problem]:
    """Fills in ids; says which files have none yet, which only is so if they cannot be written."""
    taken = {one for parsed in files.files for array in MARKABLE for one in parsed.ids(array)}
    problems = []
    for parsed in files.files:
        if parsed.record is None:
            continue
        parsed.record, count = filled(parsed.record, taken)
        if count:
            what = counted(
                "{count} entry has no id yet, and one made from its title for now",
                "{count} entries have no id yet, and one made from their title for now",
                count,
            )
            remedy = message("let weeksync write to the file, and it puts them in")
            problems.append(Problem(ProblemKind.NOTICE, what, Place(parsed.name), remedy))
    return problems


def _strangers(disk: Disk) -> list[Problem]:
    """Files with names a little off: what stands in them would be missed without a word."""
    problems = []
    for name in strangers(disk):
        # "tasks (copy of Dov).toml" is how file sync names what it could not merge.
        first_word = re.split(r"[^a-z]", name, maxsplit=1)[0]
        near = nearest(name, [CONFIG, *MODELS]) or nearest(f"{first_word}.toml", [CONFIG, *MODELS])
        what = message("weeksync reads no file of that name")
        remedy = (
            message("did you mean {near}?", near=near)
            if near is not None
            else message("take it away, if it was meant for weeksync")
        )
        problems.append(Problem(ProblemKind.NOTICE, what, Place(name), remedy))
    return problems


def _order(problem: Problem) -> tuple[int, str, int]:
    """`config.toml` first, then the files by name, each from top to bottom."""
    place = problem.place
    return (place.file != CONFIG, place.file, place.line or 0)


def _unusable(folder: Path, problems: list[Problem]) -> HouseholdError:
    if not (folder / CONFIG).exists():
        return HouseholdError(
            message(
                'there is no config.toml in {folder}; "weeksync new" makes a household folder',
                folder=str(folder),
            ),
            problems,
        )
    return HouseholdError(
        message("config.toml of {folder} cannot be used; correct its mistakes", folder=str(folder)),
        problems,
    )


def _put_together(
    files: ReadFiles, config: Config, problems: list[Problem], digests: dict[str, str]
) -> HouseholdFiles:
    records = [parsed.record for parsed in files.files if parsed.record is not None]

    def every(array: str) -> tuple[Any, ...]:
        return tuple(entry for record in records for entry in getattr(record, array, ()))

    weeks = {
        week: parsed.record
        for parsed in files.files
        if isinstance(parsed.record, WeekFile) and (week := file_week(parsed.name)) is not None
    }
    return HouseholdFiles(
        config=config,
        appointments=every("appointments"),
        routines=every("routines"),
        tasks=every("tasks"),
        habits=every("habits"),
        currency=next(
            (currency for r in records if (currency := getattr(r, "currency", None))), None
        ),
        bills=every("bills"),
        pay_days=every("pay_days"),
        goals=every("goals"),
        balances=every("balances"),
        terms=every("terms"),
        # Weeks have breaks, too, of another kind.
        term_breaks=tuple(b for r in records if isinstance(r, TermsFile) for b in r.breaks),
        lessons=every("lessons"),
        weeks=weeks,
        marks=tuple(mark for parsed in files.marks for mark in parsed.marks),
        check_ins=tuple(one.check_in for one in files.check_ins if one.check_in is not None),
        problems=tuple(problems),
        digests=digests,
    )
