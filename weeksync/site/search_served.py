"""The page of what `weeksync serve` has found."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from urllib.parse import urlencode

from weeksync.language import Language
from weeksync.language.find_sentences import KINDS, shortened
from weeksync.message import counted, message
from weeksync.model.config import Config
from weeksync.model.week import WeekRule
from weeksync.model.year import Hit
from weeksync.site.forms import served_frame
from weeksync.site.record.search import FoundPage, HitLine

ADDRESS = "/search/"


def found_page(
    config: Config,
    language: Language,
    rule: WeekRule,
    query: str,
    person: str,
    hits: Sequence[tuple[Hit, int]],
    count: int,
) -> FoundPage:
    """The hits, each with the place of the first word in its text, and how many there are.

    `person` is the id of the one who has unlocked their own pages, "" for nobody; `query` is ""
    where nothing was looked for.
    """
    known = config.person(person) if person else None
    heading = language.text(message("Search the closed weeks"))
    more = count - len(hits)
    return FoundPage(
        **served_frame(config, language, "search", heading),
        query=query,
        person=known.name if known is not None else "",
        unlock="" if person else f"{ADDRESS}?{urlencode({'q': query, 'own': 'yes'})}",
        count=language.text(counted("{count} found", "{count} found", count)) if query else "",
        hits=tuple(_lines(language, rule, hits)),
        more=language.text(
            counted("{count} more: say a word more.", "{count} more: say a word more.", more)
        )
        if more
        else "",
    )


def _lines(
    language: Language, rule: WeekRule, hits: Sequence[tuple[Hit, int]]
) -> Iterator[HitLine]:
    for hit, at in hits:
        number = rule.number(rule.spread_start(hit.week))[1]
        label = language.text(message("Week {number}", number=language.digits(str(number))))
        tree = "/" if hit.text.common else "/own/"
        yield HitLine(
            href=f"{tree}{hit.week}.html",
            week=f"{label}, {language.digits(f'{hit.week.year:04}')}",
            day=language.date(hit.text.day, "weekday day month") if hit.text.day else "",
            kind=language.text(KINDS[hit.text.kind]),
            text=shortened(hit.text.text, at),
        )
