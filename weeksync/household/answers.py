"""The answers in a household folder: what people say at the end of their weeks."""

from __future__ import annotations

from weeksync.household.disk import Disk
from weeksync.model.household import ReviewAnswer
from weeksync.model.problem import Problem

FOLDER = "reviews"


def read_all_answers(
    disk: Disk, first_person: str
) -> tuple[tuple[ReviewAnswer, ...], list[Problem]]:
    """The answers by file name, and so by week, and what is wrong with their files.

    An empty answer is none. `first_person` answers in files that name nobody.
    """
    found: list[ReviewAnswer] = []
    problems: list[Problem] = []
    for name in disk.names(FOLDER, ".md"):
        content = disk.read(name)
        if content is not None:
            from weeksync.read.reviews import read_answers

            read = read_answers(name, content, first_person)
            problems += read.problems
            found += (one for one in read.answers if one.answer.strip())
    return tuple(found), problems
