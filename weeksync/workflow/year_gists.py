"""What years and search need of closed weeks, kept so that no record is read twice.

A record of a closed week is large, and a year has 53 of them. What is needed of each is kept in
`state/years/2027.json` under the digest of its record: a record that was reopened or put back from
a copy is read anew, and a file that cannot be used is as nothing. It is made from the archive
alone and may be thrown away at any time.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import field
from datetime import date
from pathlib import Path
from typing import Any

from weeksync.errors import WeeksyncError
from weeksync.household.files import replace_file
from weeksync.lazy import dataclass
from weeksync.model.week import IsoWeek
from weeksync.model.year import Text, TextKind, YearWeek
from weeksync.workflow.clock import FIRST_YEAR, LAST_YEAR
from weeksync.workflow.context import Context

FOLDER = "years"
FORMAT = 2
"""Raised when anything else is made of a record: everything kept is made anew then."""

_MODE = 0o600
"""Amounts and what is only for some are in it."""


@dataclass
class Gists:
    """The closed weeks of a household in short; each year is read when it is asked for.

    Records that cannot be used are left out; `context.archive.problems` says so.
    """

    context: Context
    _years: dict[int, dict[str, Any]] = field(default_factory=dict)

    @property
    def years(self) -> tuple[int, ...]:
        """The ISO 8601 years with a closed week, in order, as far as weeksync works in them."""
        found = {week.year for week in self.context.archive.weeks}
        return tuple(sorted(year for year in found if FIRST_YEAR < year < LAST_YEAR))

    def weeks(self, year: int) -> dict[IsoWeek, YearWeek]:
        """The closed weeks of a year, in order."""
        from weeksync.read.plain import NotPlain, from_plain

        found: dict[IsoWeek, YearWeek] = {}
        for name, kept in self._of(year).items():
            with suppress(NotPlain):
                found[IsoWeek.parse(name)] = from_plain(YearWeek, kept["week"])
        return found

    def texts(self, year: int) -> Iterator[tuple[IsoWeek, list[list[Any]]]]:
        """(week, its texts as they are kept) of a year, the last week first: `text_of` reads one.

        Most are only looked at to see that they are not the ones looked for.
        """
        for name, kept in reversed(self._of(year).items()):
            yield IsoWeek.parse(name), kept["texts"]

    def digest(self, year: int) -> str:
        """What stands for all that the closed weeks of a year say."""
        return " ".join(f"{name} {kept['of']}" for name, kept in self._of(year).items())

    def _of(self, year: int) -> dict[str, Any]:
        if year not in self._years:
            self._years[year] = self._made(year)
        return self._years[year]

    def _made(self, year: int) -> dict[str, Any]:
        archive, kept = self.context.archive, self._kept(year)
        found: dict[str, Any] = {}
        for week in sorted(one for one in archive.weeks if one.year == year):
            digest, name = archive.digest(week), str(week)
            if name in kept and kept[name]["of"] == digest:
                found[name] = kept[name]
            elif (closed := archive.get(week)) is not None:
                from weeksync.read.plain import to_plain
                from weeksync.review.texts import texts_of
                from weeksync.review.year import year_weeks

                found[name] = {
                    "of": digest,
                    "week": to_plain(year_weeks(closed.spread, date.max, closed=True)[0]),
                    "texts": list(map(_plain_text, texts_of(closed.spread))),
                }
        if found != kept:
            self._keep(year, found)
        return found

    def _place(self, year: int) -> Path:
        return self.context.state / FOLDER / f"{year}.json"

    def _kept(self, year: int) -> dict[str, Any]:
        with suppress(OSError, ValueError, KeyError, TypeError):
            data = json.loads(self._place(year).read_bytes())
            if data["format"] == FORMAT:
                weeks: dict[str, Any] = data["weeks"]
                _look_at(weeks.items())
                return weeks
        return {}

    def _keep(self, year: int, found: dict[str, Any]) -> None:
        """Keep it where that can be done; a folder that may only be read is as good."""
        place = self._place(year)
        text = json.dumps({"format": FORMAT, "weeks": found}, ensure_ascii=False)
        with suppress(OSError, WeeksyncError):
            place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            replace_file(place, text.encode(), mode=_MODE)


def text_of(kept: list[Any]) -> Text:
    """The text as it was kept."""
    kind, text, day, common, persons, only_for = kept
    return Text(
        TextKind(kind),
        text,
        date.fromisoformat(day) if day else None,
        common,
        tuple(persons),
        tuple(only_for),
    )


def _plain_text(one: Text) -> list[Any]:
    day = one.day.isoformat() if one.day is not None else ""
    return [one.kind.value, one.text, day, one.common, list(one.persons), list(one.only_for)]


def _look_at(weeks: Iterable[tuple[str, Any]]) -> None:
    """ValueError, KeyError or TypeError where it is not what was kept."""
    for name, kept in weeks:
        IsoWeek.parse(name)
        if not (isinstance(kept["of"], str) and isinstance(kept["texts"], list)):
            raise TypeError(name)
        if any(len(one) != len(Text._fields) for one in kept["texts"]):
            raise TypeError(name)
