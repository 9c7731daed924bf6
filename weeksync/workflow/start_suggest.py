"""What can be guessed for a new household, and what there is to choose from.

The machine's own zone and language are only ever proposed; what stands in the household is what
somebody has chosen.
"""

from __future__ import annotations

import getpass
import os
import re
from functools import cache
from importlib import resources
from pathlib import Path

from babel import localedata
from babel.numbers import get_territory_currencies

from weeksync.errors import HouseholdError
from weeksync.language import Language
from weeksync.model.household import HouseholdFiles
from weeksync.plan.public_holidays import is_region

FALLBACK = "Europe/London"
_ZONE = re.compile(r".*zoneinfo/(.+)")
_AREAS = (
    "Africa", "America", "Antarctica", "Asia", "Atlantic", "Australia", "Europe", "Indian",
    "Pacific",
)  # fmt: skip
_LOCALE = re.compile(r"[a-z]{2,3}_[A-Z]{2}")


def time_zone() -> str:
    """The zone that this machine is set to, if the IANA database has it; else one to change."""
    wanted = [os.environ.get("TZ", "").removeprefix(":")]
    for place in ("/etc/localtime", "/etc/timezone"):
        try:
            path = Path(place)
            linked = _ZONE.fullmatch(str(path.resolve())) if path.is_symlink() else None
            is_text = place.endswith("timezone")
            wanted.append(linked[1] if linked else path.read_text("utf-8") if is_text else "")
        except (OSError, UnicodeDecodeError):
            continue
    names = (one.strip() for one in wanted)
    return next((one for one in names if one in zone_names() and "/" in one), FALLBACK)


def region_of(time_zone: str) -> str:
    """The country that a zone lies in (`zone.tab` of the IANA database), if its public holidays
    are known; "" for UTC and the like."""
    text = (resources.files("tzdata") / "zoneinfo" / "zone.tab").read_text("utf-8")
    rows = (line.split("\t") for line in text.splitlines() if not line.startswith("#"))
    found = next((row[0] for row in rows if row[2] == time_zone), "")
    return found if found and is_region(found) else ""


def locale_for(language: Language, region: str) -> str:
    """The language with a region: its own, else that one where CLDR has the two together."""
    name = str(language.locale)
    if "_" in name:
        return name
    return next((one for one in (f"{name}_{region}",) if region and is_locale(one)), "en_GB")


def person_name() -> str:
    """What the person at the machine calls themselves there, "" where that says nothing."""
    try:
        import pwd

        said = pwd.getpwuid(os.getuid()).pw_gecos.partition(",")[0].strip() or getpass.getuser()
    except (ImportError, KeyError, OSError):
        return ""
    first = said.split()[0] if said.split() else ""
    return "" if first.lower() in {"root", "user", "admin", "debian", "pi"} else first.capitalize()


def currency(files: HouseholdFiles) -> str:
    """The currency of the bills, else that of the household's region by CLDR, else ""."""
    if files.currency:
        return files.currency
    home = files.config.household
    territory = home.region.partition("-")[0] or home.locale.replace("-", "_").rpartition("_")[2]
    try:
        found = get_territory_currencies(territory.upper())
    except (KeyError, ValueError):
        return ""
    return str(found[0]) if found else ""


@cache
def zone_names() -> tuple[str, ...]:
    """The names of the IANA database that stand for places, and UTC."""
    text = (resources.files("tzdata") / "zones").read_text("utf-8")
    names = (one.strip() for one in text.splitlines())
    return ("UTC", *sorted(one for one in names if one.partition("/")[0] in _AREAS))


def locales(language: Language) -> tuple[tuple[str, str], ...]:
    """(locale of CLDR, its name in that language), in the order of the names."""
    languages, territories = language.locale.languages, language.locale.territories
    found = [
        (name, f"{languages[tongue]} ({territories[place]})")
        for name in localedata.locale_identifiers()
        if _LOCALE.fullmatch(name)
        for tongue, _, place in [name.partition("_")]
        if tongue in languages and place in territories
    ]
    return tuple(sorted(found, key=lambda one: one[1].casefold()))


def regions(language: Language, chosen: str) -> tuple[tuple[str, str], ...]:
    """(ISO 3166 code, its name) of all whose public holidays are known; of the chosen country its
    parts, too."""
    from holidays import country_holidays, list_supported_countries

    names = language.locale.territories
    parts = list_supported_countries()
    found: list[tuple[str, str]] = []
    for code in parts:
        if len(code) != 2 or code not in names:
            continue
        found.append((code, str(names[code])))
        if code == chosen.partition("-")[0].upper():
            aliases = country_holidays(code).subdivisions_aliases
            called = {part: name for name, part in aliases.items()}
            known = (part for part in parts[code] if is_region(f"{code}-{part}"))
            found += [
                (f"{code}-{part}", f"{names[code]}: {called.get(part, part)}") for part in known
            ]
    return tuple(sorted(found, key=lambda one: one[1].casefold()))


def is_locale(name: str) -> bool:
    """Whether CLDR has that locale."""
    try:
        Language(name)
    except HouseholdError:
        return False
    return True
