"""The closed weeks of a household folder: `archive/2027-W11.json`, and what was reopened.

A week that was reopened keeps its record as `archive/2027-W11.1.json`, the next time as `.2`.
"""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from functools import cached_property
from itertools import count
from pathlib import Path

from weeksync.errors import HouseholdError
from weeksync.household.disk import Disk
from weeksync.household.files import replace_file, sync_folder
from weeksync.message import message
from weeksync.model.archive import ClosedWeek
from weeksync.model.problem import Problem
from weeksync.model.week import IsoWeek

FOLDER = "archive"
_CLOSED = re.compile(r"(\d{4}-W\d{2})\.json", re.ASCII)
_MODE = 0o600
"""Amounts and check-ins are in it."""


class Archive(Mapping[IsoWeek, ClosedWeek]):
    """The closed weeks of a household as they are on the disk, each read when it is asked for.

    A record that cannot be used is not in the mapping; what is wrong with those that were asked
    for is in `problems`. `weeks` names all that are closed, whatever their records are worth.
    """

    def __init__(self, folder: Path) -> None:
        self._disk = Disk(folder)
        self._read: dict[IsoWeek, ClosedWeek | Problem | None] = {}

    @cached_property
    def weeks(self) -> frozenset[IsoWeek]:
        """The closed weeks; no file is opened."""
        found = set()
        for name in self._disk.names(FOLDER, ".json"):
            form = _CLOSED.fullmatch(name.removeprefix(f"{FOLDER}/"))
            with suppress(ValueError):  # a year has 52 weeks, or 53
                if form is not None:
                    found.add(IsoWeek.parse(form[1]))
        return frozenset(found)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What is wrong with the records that were asked for."""
        wrong = (self._read[week] for week in sorted(self._read))
        return (*(one for one in wrong if isinstance(one, Problem)), *self._disk.problems)

    def digest(self, week: IsoWeek) -> str:
        """The SHA-256 of a record in hex; "" where it cannot be read."""
        content = self._disk.read(_name(week)) if week in self.weeks else None
        return hashlib.sha256(content).hexdigest() if content is not None else ""

    def __getitem__(self, week: IsoWeek) -> ClosedWeek:
        if week not in self._read:
            content = self._disk.read(_name(week)) if week in self.weeks else None
            self._read[week] = _parsed(week, content) if content is not None else None
        found = self._read[week]
        if not isinstance(found, ClosedWeek):
            raise KeyError(week)
        return found

    def __contains__(self, week: object) -> bool:
        return isinstance(week, IsoWeek) and self.get(week) is not None

    def __iter__(self) -> Iterator[IsoWeek]:
        return (week for week in sorted(self.weeks) if self.get(week) is not None)

    def __len__(self) -> int:
        return sum(1 for _ in self)


def keep_closed(folder: Path, closed: ClosedWeek) -> Path | None:
    """Write the record of a week that is closed now; None, and nothing is written, where it is
    closed already, also by a run at the same time. HouseholdError where it cannot be written.

    The times at which the week was reopened before are taken into it.
    """
    from weeksync.household.editing import held
    from weeksync.read.archive import closed_bytes

    path = folder / _name(closed.week)
    _make(path.parent)
    with held(folder):
        if os.path.lexists(path):
            return None
        before = _before(folder, closed.week)
        known = {at for one in before for at in (*one.reopened, *closed.reopened)}
        content = closed_bytes(replace(closed, reopened=tuple(sorted(known))))
        replace_file(path, content, mode=_MODE)
    return path


def set_aside(folder: Path, week: IsoWeek, at: datetime) -> Path | None:
    """Open a closed week again at that moment; the file in which its record is kept from now on.

    None where it is not closed. The record says that it was reopened; one that is damaged is kept
    as it is. HouseholdError where that cannot be written: then the week is closed as it was.
    """
    from weeksync.household.editing import held
    from weeksync.read.archive import closed_bytes

    path = folder / _name(week)
    with held(folder):
        archive = Archive(folder)
        if week not in archive.weeks:
            return None
        number = next(n for n in count(1) if not os.path.lexists(_aside(folder, week, n)))
        beside = _aside(folder, week, number)
        closed = archive.get(week)
        try:
            if closed is None:
                os.rename(path, beside)
            else:
                record = replace(closed, reopened=(*closed.reopened, at))
                replace_file(beside, closed_bytes(record), mode=_MODE)
                path.unlink()
            sync_folder(path.parent)
        except OSError as error:
            raise HouseholdError(
                message(
                    "{file} could not be set aside ({reason}); the week is closed as it was",
                    file=str(path),
                    reason=os.strerror(error.errno or 0),
                )
            ) from error
    return beside


def _before(folder: Path, week: IsoWeek) -> list[ClosedWeek]:
    """The records of the week from before it was reopened, as far as they can be read."""
    from weeksync.read.archive import parse_closed

    disk, found = Disk(folder), []
    for name in disk.names(FOLDER, ".json"):
        if re.fullmatch(rf"{FOLDER}/{week}\.\d+\.json", name, re.ASCII):
            one = parse_closed(name, disk.read(name) or b"")
            found += [one] if isinstance(one, ClosedWeek) else []
    return found


def _parsed(week: IsoWeek, content: bytes) -> ClosedWeek | Problem:
    from weeksync.read.archive import parse_closed

    return parse_closed(_name(week), content)


def _name(week: IsoWeek) -> str:
    return f"{FOLDER}/{week}.json"


def _aside(folder: Path, week: IsoWeek, number: int) -> Path:
    return folder / FOLDER / f"{week}.{number}.json"


def _make(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise HouseholdError(
            message(
                "{folder} cannot be made ({reason})",
                folder=str(folder),
                reason=os.strerror(error.errno or 0),
            )
        ) from error
