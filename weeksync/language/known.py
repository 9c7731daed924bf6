"""What is known of a locale or a territory: read from CLDR once, then kept.

Babel reads all that CLDR says of a locale, which takes as long as making the pages of two weeks. So
that is done once: what pages need of it is kept beside our compiled modules (`weeksync.pycache`).
"""

from __future__ import annotations

import hashlib
import importlib.util
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from weeksync import pycache
from weeksync.language.forms import Forms

T = TypeVar("T")

MAKERS = ("cldr.py", "forms.py", "numbering.py", "known.py")
"""Our modules that say what is taken from CLDR, and how it is kept."""

_HERE = Path(__file__).parent


def forms_of(locale: str) -> Forms:
    """The forms of the locale of that name, as en_GB or de-AT; HouseholdError for no locale."""
    return _forms(locale.replace("-", "_"))


@cache
def _forms(locale: str) -> Forms:
    def read() -> tuple[Any, ...]:
        from weeksync.language.cldr import read_forms

        made = read_forms(locale)
        return tuple(getattr(made, name) for name in Forms.__slots__)

    return Forms(*kept(f"forms-{locale}", read))


@cache
def week_data(territory: str) -> tuple[int, int, int, int]:
    """(first weekday, minimum days, weekend start, weekend end) of a territory, as GB."""

    def read() -> tuple[int, int, int, int]:
        from weeksync.language.cldr import read_week_data

        return read_week_data(territory)

    return kept(f"week-{territory}", read)


def city(zone: str, locale: str) -> str:
    """The city that stands for a zone of the IANA database, as St. John's, in a locale."""
    return _cities(locale).get(zone) or zone.rpartition("/")[2].replace("_", " ")


@cache
def _cities(locale: str) -> dict[str, str]:
    def read() -> dict[str, str]:
        from weeksync.language.cldr import read_cities

        return read_cities(locale)

    return kept(f"cities-{locale}", read)


def kept(name: str, read: Callable[[], T]) -> T:
    """What `read` takes from CLDR through Babel, of what `marshal` takes; kept under that name."""
    if not name.replace("-", "_").isidentifier():
        return read()  # no name for a file, nor for anything that CLDR has
    place, about = pycache.place(str(_HERE / name)), _babel()
    found = pycache.read(place, about)
    if found is None:
        found = read()
        pycache.write(place, about, found)
    return found  # type: ignore[return-value]


@cache
def _babel() -> tuple[object, ...]:
    """Which Babel is installed, without importing it: the file that has its version; and which
    modules of ours read it."""
    spec = importlib.util.find_spec("babel")
    if spec is None or spec.origin is None:
        raise ModuleNotFoundError("babel")
    release = hashlib.sha256(Path(spec.origin).read_bytes()).hexdigest()
    return spec.origin, release, *pycache.made_by(*(_HERE / name for name in MAKERS))
