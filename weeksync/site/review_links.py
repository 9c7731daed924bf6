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
