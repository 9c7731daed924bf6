"""Where pages that look back stand, and which of them there are."""

from __future__ import annotations

from weeksync.message import message
from weeksync.model.review import SpanKind, SpanName
from weeksync.model.week import IsoWeek, Month
from weeksync.site.inputs import SiteInput
from weeksync.site.record import Link
from weeksync.site.words import Words

SEARCH = "search.html"
"""The page on which words of closed weeks are looked for."""

SEARCH_SCRIPT = "search.js"
"""Its script."""


def index_name(year: int) -> str:
    """The script with the texts of the closed weeks of a year."""
    return f"search-{year:04}.js"


def key_of(kind: SpanKind, ident: str) -> str:
    """What a span is called in the name of its page: terms have names of people's own."""
    return f"term-{ident}" if kind is SpanKind.TERM else ident


def review_name(span: IsoWeek | Month | str) -> str:
    """The page that looks back on a week or a month, or on the span of that key."""
    return f"review-{span}.html"


def name_of(span: SpanName) -> str:
    """The page that looks back on the span."""
    return review_name(key_of(span.kind, span.id))


def key_link(
    inputs: SiteInput, words: Words, kind: SpanKind, ident: str, text: str = ""
) -> Link | None:
    """A link to the page that looks back on a span of that kind; None where there is none."""
    key = key_of(kind, ident)
    if key not in inputs.looked_back:
        return None
    return Link(review_name(key), text or words.text(message("Look back")))


def review_link(
    inputs: SiteInput, words: Words, span: IsoWeek | Month, text: str = ""
) -> Link | None:
    """A link to the page that looks back on it; None where there is none."""
    if str(span) not in inputs.looked_back:
        return None
    return Link(review_name(span), text or words.text(message("Look back")))


def year_name(year: int) -> str:
    """The page of a year."""
    return f"year-{year:04}.html"


def year_link(inputs: SiteInput, words: Words, year: int, text: str = "") -> Link | None:
    """A link to the page of a year; None where there is none."""
    if year not in inputs.with_years:
        return None
    return Link(year_name(year), text or words.language.digits(f"{year:04}"))


def recent_reviews(inputs: SiteInput, words: Words, *, own: bool = False) -> tuple[Link, ...]:
    """Links from the start page: the pages that look back on the last two weeks and months, on
    the term and the year, the page of the year, and the one for searching."""
    week, month, say = words.rule.week_of(inputs.today), Month.of(inputs.today), words.text
    found = [
        review_link(inputs, words, one, words.week_label(words.rule.spread_start(one)))
        for one in (week.shifted(-1), week)
    ]
    found += [
        review_link(inputs, words, one, words.month_name(one)) for one in (month.shifted(-1), month)
    ]
    found += [
        key_link(inputs, words, one.kind, one.id, one.title or words.language.digits(one.id))
        for one in inputs.spans
        if one.first <= inputs.today <= one.last
    ]
    year = say(message("All weeks of {year}", year=words.language.digits(f"{week.year:04}")))
    found.append(year_link(inputs, words, week.year, year))
    if inputs.can_search and not own:
        found.append(Link(SEARCH, say(message("Search"))))
    return tuple(one for one in found if one is not None)
