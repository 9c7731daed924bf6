"""The checks between the files of a household, gathered."""

from __future__ import annotations

from weeksync.model.problem import Problem
from weeksync.read.household import ReadFiles
from weeksync.read.references import (
    duplicates,
    unknown_marks,
    unknown_priorities,
    unknown_references,
    words_of_tasks,
)
from weeksync.read.settings import wrong_order, wrong_settings
from weeksync.read.weekfiles import misfiled


def cross_check(files: ReadFiles) -> tuple[Problem, ...]:
    """What only several values or several files together show, each with its line.

    References to persons, areas, calendars, pay days, terms and tasks that do not exist; ids
    and letters given twice; zones, locales, day parts and the order of dates; days outside the
    week of their file; and, as a notice, marks and priorities for what is in no file.
    """
    settings = wrong_settings(files.config) if files.config is not None else ()
    return (
        *settings,
        *unknown_references(files),
        *duplicates(files),
        *wrong_order(files),
        *misfiled(files),
        *words_of_tasks(files),
        *unknown_marks(files),
        *unknown_priorities(files),
    )
