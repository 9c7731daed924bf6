"""Files that belong to one week: their names, and days in them that lie elsewhere."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta

from weeksync.message import message
from weeksync.model.chosen import WeekFile
from weeksync.model.problem import Problem
from weeksync.model.week import IsoWeek, WeekRule
from weeksync.read.household import ReadFiles
from weeksync.read.parsed import Parsed
from weeksync.read.positions import Path
from weeksync.read.text import mistake


def file_week(name: str) -> IsoWeek | None:
    """The week that a file is named for, as `weeks/2027-W12.toml`; None where it is none."""
    try:
        return IsoWeek.parse(re.sub(r"^.*/|\.[a-z]+$", "", name))
    except ValueError:
        return None


def misfiled(files: ReadFiles) -> Iterator[Problem]:
    """Files named for no week, and days that lie outside the week of their file."""
    for name in [
        *(one.name for one in files.files if one.model is WeekFile),
        *(one.name for one in files.marks),
    ]:
        if file_week(name) is None:
            yield mistake(
                name,
                None,
                message("the name of the file is no week"),
                message("name it for its ISO week, as 2027-W12"),
            )
    for parsed in files.files:
        if isinstance(parsed.checked, WeekFile):
            yield from _outside(files, parsed, parsed.checked)
    yield from _marks_outside(files)


def _outside(files: ReadFiles, parsed: Parsed[WeekFile], chosen: WeekFile) -> Iterator[Problem]:
    week = file_week(parsed.name)
    if week is None:
        return
    first, last = _days(files, week)
    for path, start, end in _spans(chosen):
        if end < first or start > last:
            what = message("{day} is not in {week}", day=start.isoformat(), week=str(week))
            remedy = message(
                "write a day from {first} to {last}, or move it to the file of its week",
                first=first.isoformat(),
                last=last.isoformat(),
            )
            yield mistake(parsed.name, parsed.line(path), what, remedy)


def _spans(chosen: WeekFile) -> Iterator[tuple[Path, date, date]]:
    for key in ("days", "placed", "breaks"):
        for index, entry in enumerate(getattr(chosen, key)):
            yield (key, index, "date"), entry.date, entry.date
    for index, lighter in enumerate(chosen.lighter):
        yield ("lighter", index, "start"), lighter.start, max(lighter.start, lighter.end)


def _days(files: ReadFiles, week: IsoWeek) -> tuple[date, date]:
    """The days a spread of that week may show: where no first weekday is set, any of CLDR's."""
    config = files.config.checked if files.config is not None else None
    weekday = config.household.first_weekday if config is not None else None
    if weekday is not None:
        days = WeekRule(first_weekday=weekday.number).days(week)
        return days[0], days[-1]
    # Weeks begin on Friday, Saturday, Sunday or Monday (CLDR, weekData/firstDay).
    return week.monday - timedelta(days=3), week.monday + timedelta(days=6)


def _marks_outside(files: ReadFiles) -> Iterator[Problem]:
    for parsed in files.marks:
        week = file_week(parsed.name)
        for mark, line in zip(parsed.marks, parsed.lines, strict=True):
            if week is not None and IsoWeek.of(mark.day) != week:
                what = message("{day} is not in {week}", day=mark.day.isoformat(), week=str(week))
                remedy = message(
                    "move the line to marks/{week}.csv", week=str(IsoWeek.of(mark.day))
                )
                yield mistake(parsed.name, line, what, remedy)
