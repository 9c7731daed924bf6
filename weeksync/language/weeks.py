"""How weeks are counted in a territory, and which days are its weekend: CLDR's week data."""

from __future__ import annotations

from weeksync.language.known import forms_of, week_data
from weeksync.model.fields import Weekday
from weeksync.model.week import WeekRule


def territory_of(locale: str, region: str = "") -> str:
    """The territory whose habits count: of the locale, else of `region`, else the likely one.

    `region` is ISO 3166 with or without a subdivision, as GB-ENG; "001" (the world) where
    nothing is known.
    """
    found = forms_of(locale)
    return found.territory or region.partition("-")[0].upper() or found.likely_territory


def week_rule(locale: str, region: str = "", first_weekday: Weekday | None = None) -> WeekRule:
    """How weeks are shown: `first_weekday` where given, all else as CLDR says.

    The territory is that of `locale`; only where it has none (as `en`) the household's `region`
    decides. CLDR has a first weekday and a minimum of days for each territory (UTS 35 part 4,
    week data): GB Monday and 4, US Sunday and 1, EG Saturday and 1, PT Sunday and 4.
    """
    first, least, _, _ = week_data(territory_of(locale, region))
    return WeekRule(first if first_weekday is None else first_weekday.number, least)


def weekend(region: str) -> frozenset[int]:
    """The weekdays (0 Monday … 6 Sunday) of the weekend of an ISO 3166 region, as GB-ENG.

    CLDR's week data; Saturday and Sunday where `region` is empty or unknown.
    """
    _, _, start, end = week_data(region.partition("-")[0].upper() or "001")
    days = (end - start) % 7 + 1
    return frozenset((start + offset) % 7 for offset in range(days))
