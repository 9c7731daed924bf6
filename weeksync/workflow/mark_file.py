"""`weeksync mark --from FILE`: marks that a tablet has saved, taken into the household.

The file itself is only read. Taking it a second time writes nothing: each mark counts once.
"""

from __future__ import annotations

import os
from itertools import count
from pathlib import Path

from weeksync.errors import HouseholdError, UsageError
from weeksync.household import replace_file
from weeksync.household.files import MOST_BYTES, read_file
from weeksync.message import Message, counted, message
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.read import Arrived, Line, read_arriving
from weeksync.workflow.close import kept_but_closed
from weeksync.workflow.context import Context
from weeksync.workflow.mark import take_marks
from weeksync.workflow.outcome import Outcome

MOST_TOLD = 20
"""Refused lines that are told one by one."""


def take_file(context: Context, path: Path) -> Outcome:
    """Take the marks of a file; those that are refused are kept in a file beside it.

    UsageError where there is no such file or it is none of marks; then nothing was written.
    """
    arrived = _read(context, path)
    lines = [line for line in arrived.lines if line.mark is not None]
    taken = take_marks(context, [line.mark for line in lines if line.mark is not None])
    refused = {line.number: (line, line.problem) for line in arrived.lines if line.problem}
    for one in taken.refused:
        line = lines[one.place]
        place = Place(str(path), line.number)
        refused[line.number] = line, Problem(ProblemKind.MISTAKE, one.what, place, one.remedy)
    done = [
        counted("{count} mark is new.", "{count} marks are new.", taken.new),
        counted("{count} was there already.", "{count} were there already.", taken.known),
    ]
    done += map(kept_but_closed, taken.closed)
    problems = [problem for _, (_, problem) in sorted(refused.items()) if problem is not None]
    told = problems[:MOST_TOLD]
    if refused:
        kept = [line for _, (line, _) in sorted(refused.items())]
        told.append(_kept(path, arrived, kept))
    elif taken.new:
        done.append(BUILD)
    return Outcome.of(done, told)


BUILD = message("weeksync build puts what is new on the pages.")
"""What is said when marks have been written."""


def _read(context: Context, path: Path) -> Arrived:
    found = read_file(path.parent, path.name)
    if found is None:
        raise UsageError(message("there is no file {path}", path=str(path)))
    if isinstance(found, Problem):
        raise _unusable(path, found)
    arrived = read_arriving(str(path), found, context.now)
    if arrived.problem is not None:
        raise _unusable(path, arrived.problem)
    return arrived


def _unusable(path: Path, problem: Problem) -> HouseholdError:
    return HouseholdError(message("{path} is no file of marks", path=str(path)), [problem])


def _kept(path: Path, arrived: Arrived, lines: list[Line]) -> Problem:
    """Writes the refused lines beside the file, and says where they are."""
    header = [arrived.header] if arrived.header else []
    content = b"".join(text + b"\n" for text in [*header, *(line.text for line in lines)])
    beside = _free_place(path, content)
    try:
        replace_file(beside, content)
    except HouseholdError:
        return Problem(ProblemKind.MISTAKE, _refused(path, len(lines)))
    return Problem(ProblemKind.MISTAKE, _refused(beside, len(lines)))


def _refused(place: Path, number: int) -> Message:
    return counted(
        "{count} line was refused and is kept in {file}: correct it there, and take that file",
        "{count} lines were refused and are kept in {file}: correct them there, and take that file",
        number,
        file=str(place),
    )


def _free_place(path: Path, content: bytes) -> Path:
    """A name beside the file that is free, or holds just these lines already."""
    for number in count(1):
        word = "refused" if number == 1 else f"refused-{number}"
        place = path.with_name(f"{path.stem}.{word}{path.suffix}")
        if not os.path.lexists(place):
            return place
        if place.is_file() and place.stat().st_size <= MOST_BYTES and place.read_bytes() == content:
            return place
    raise AssertionError(path)  # pragma: no cover - numbers do not end
