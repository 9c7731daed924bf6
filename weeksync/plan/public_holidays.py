"""The public holidays of a region, from the `holidays` library, with the household's own."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import field
from datetime import date
from functools import partial
from typing import TYPE_CHECKING, Any

from weeksync.lazy import dataclass, hollow
from weeksync.message import message
from weeksync.model.config import Holiday
from weeksync.model.problem import Place, Problem, ProblemKind

if TYPE_CHECKING:
    from holidays import HolidayBase

_REGION = re.compile(r"([A-Z]{2})(?:-([A-Z0-9]{1,6}))?", re.ASCII | re.IGNORECASE)
_DELIMITER = "; "
"""What the library puts between the names of holidays that fall on one day."""


class PublicHolidays:
    """The public holidays of a region, asked day by day.

    `region` is an ISO 3166-1 code with an ISO 3166-2 subdivision where it matters, as `GB-ENG`;
    "" has none. `language` is a locale; names come in it where the library has it, else in the
    region's own. `own` adds days and takes days away. `problems` says where a region is not
    known; then only `own` counts (for an unknown subdivision: what its whole country keeps).
    """

    def __init__(self, region: str, language: str, own: Iterable[Holiday] = ()) -> None:
        self._country, self._subdivision, self.problems = _known(region)
        self._language = language.replace("-", "_")
        self._removed = {one.date for one in own if one.remove}
        self._added: dict[date, tuple[str, ...]] = {}
        for one in own:
            if not one.remove:
                self._added[one.date] = (*self._added.get(one.date, ()), one.name)

    def names(self, day: date) -> tuple[str, ...]:
        """What `day` is called; () where it is no public holiday."""
        if day in self._removed:
            return self._added.get(day, ())
        listed: tuple[str, ...] = ()
        if self._country:
            listed = _year(self._country, self._subdivision, self._language, day.year).get(day, ())
        return (*listed, *(name for name in self._added.get(day, ()) if name not in listed))

    def holds(self, day: date) -> bool:
        """Whether `day` is a public holiday."""
        return bool(self.names(day))


def is_region(region: str) -> bool:
    """Whether the public holidays of that ISO 3166 code are known."""
    return not _known(region)[2]


def _known(region: str) -> tuple[str, str, tuple[Problem, ...]]:
    """(country, subdivision, problems) as far as the library knows them, "" for the unknown."""
    if not region:
        return "", "", ()
    found = _REGION.fullmatch(region)
    country, subdivision = (found[1].upper(), (found[2] or "").upper()) if found else ("", "")
    if found is None or not _has(country, ""):
        return "", "", (_unknown_country(region),)
    if not _has(country, subdivision):
        return country, "", (_unknown_subdivision(region, country),)
    return country, subdivision, ()


def _unknown_country(region: str) -> Problem:
    return Problem(
        ProblemKind.MISTAKE,
        message('no public holidays are known for region = "{region}"', region=region),
        Place("config.toml"),
        message(
            "write ISO 3166 codes, as GB-ENG, US or DE-BY; or leave region out and write the "
            "days as [[holidays]]"
        ),
    )


def _unknown_subdivision(region: str, country: str) -> Problem:
    return Problem(
        ProblemKind.MISTAKE,
        message('no public holidays are known for the part in region = "{region}"', region=region),
        Place("config.toml"),
        message(
            "write a part of {country} as ISO 3166-2 has it, or {country} alone; until then only "
            "the days all of {country} keeps are counted",
            country=country,
        ),
    )


Year = Mapping[date, tuple[str, ...]]
"""The names of the holidays of a year, by day."""


@dataclass
class Known:
    """What the library was asked in this process, and what it said.

    All of it is a function of the library's release and of what is asked: to import the library
    takes longer than to plan a hundred weeks, so `workflow.holiday_memo` hands in what it said
    before, and keeps what is new.
    """

    regions: dict[tuple[str, str], bool] = field(default_factory=dict)
    """(country, subdivision) → whether its holidays are known."""
    years: dict[tuple[str, str, str, int], Year] = field(default_factory=dict)
    """(country, subdivision, language, year) → its holidays."""


KNOWN = Known()


def _has(country: str, subdivision: str) -> bool:
    found = KNOWN.regions.get((country, subdivision))
    if found is None:
        found = KNOWN.regions[country, subdivision] = _asked(country, subdivision)
    return found


def _asked(country: str, subdivision: str) -> bool:
    try:
        _holidays_of(country, subdivision)
    except NotImplementedError:
        return False
    return True


def _year(country: str, subdivision: str, language: str, year: int) -> Year:
    key = country, subdivision, language, year
    found = KNOWN.years.get(key)
    if found is None:
        found = KNOWN.years[key] = _listed(*key)
    return found


def _listed(country: str, subdivision: str, language: str, year: int) -> Year:
    known = _holidays_of(country, subdivision)
    spoken = _spoken(language, known.supported_languages, known.default_language)
    listed = _holidays_of(country, subdivision, years=year, expand=False, language=spoken)
    return {day: tuple(names.split(_DELIMITER)) for day, names in listed.items()}


def _holidays_of(country: str, subdivision: str, **options: Any) -> HolidayBase:
    """What the library has of a country; NotImplementedError where it knows none of that name.

    To know one country it imports two hundred, which takes as long as to read the calendars of a
    small household; where it cannot do without the others, it is asked as it is.
    """
    import holidays

    ask = partial(holidays.country_holidays, country, subdiv=subdivision or None, **options)
    with (
        suppress(ImportError, AttributeError, NotImplementedError),
        hollow("holidays.countries", [f"{folder}/countries" for folder in holidays.__path__]),
    ):
        return ask()
    return ask()


def _spoken(language: str, supported: Iterable[str], default: str | None) -> str | None:
    """The nearest of the library's languages; never None where it has any.

    Without a language the library asks the machine's locale for one, and the same household
    would get other names on another machine.
    """
    known = sorted(supported)
    base = language.partition("_")[0]
    for wanted in (language, base):
        if wanted in known:
            return wanted
    related = [one for one in known if one.partition("_")[0] == base]
    return next(iter(related), None) or default or next(iter(known), None)
