"""Where pages that look back stand, and which of them there are."""

from __future__ import annotations

from weeksync.message import message
from weeksync.model.week import IsoWeek, Month
from weeksync.site.inputs import SiteInput
from weeksync.site.record import Link
from weeksync.site.words import Words


def review_name(span: IsoWeek | Month | str) -> str:
    """The page that looks back on a week or a month."""
    return f"review-{span}.html"


def review_link(
    inputs: SiteInput, words: Words, span: IsoWeek | Month, text: str = ""
) -> Link | None:
    """A link to the page that looks back on it; None where there is none."""
    if str(span) not in inputs.looked_back:
        return None
    return Link(review_name(span), text or words.text(message("Look back")))


def recent_reviews(inputs: SiteInput, words: Words) -> tuple[Link, ...]:
    """Links to the pages that look back on the last two weeks and the last two months."""
    week, month = words.rule.week_of(inputs.today), Month.of(inputs.today)
    found = [
        review_link(inputs, words, one, words.week_label(words.rule.spread_start(one)))
        for one in (week.shifted(-1), week)
    ]
    found += [
        review_link(inputs, words, one, words.month_name(one)) for one in (month.shifted(-1), month)
    ]
    return tuple(one for one in found if one is not None)
