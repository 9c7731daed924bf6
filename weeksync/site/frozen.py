"""Pages of a closed week: from its record alone, and so the same bytes whatever is changed later.

Names, colours, clocks, the release of the zone data and the version of weeksync are those of the
moment of closing. The page says nothing of how the sources stand. It leads to the weeks before
and after it by their names, whether they are closed, have live pages, or nothing is kept of them:
then `absent_pages` puts a page there that says so. It leads to no month, and to no page for
entering marks from paper.

What can change the bytes is weeksync itself, as its templates and translations.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from pathlib import Path

from weeksync.language import Language
from weeksync.message import Message, message
from weeksync.model.archive import ClosedWeek, KeptZone
from weeksync.model.spread import Spread
from weeksync.model.week import IsoWeek
from weeksync.site.frame import frame
from weeksync.site.inputs import SiteInput
from weeksync.site.lasting import lasting_renderer
from weeksync.site.record import AbsentPage, Link
from weeksync.site.week import title_of, week_page
from weeksync.site.words import Words


def frozen_page(closed: ClosedWeek, common: Spread, templates: Path | None) -> bytes:
    """The page of the common site; `common` is the view of the record's spread for everybody.

    `templates` is the user's folder of templates. TemplateError where one is broken.
    """
    inputs = _inputs(closed, templates, common)
    page = week_page(inputs, Words(inputs), common, closed.week)
    return lasting_renderer(inputs.language, templates).render("week.html", page)


def frozen_own_page(closed: ClosedWeek, spread: Spread, templates: Path | None) -> bytes:
    """The page among those of one's own; `spread` is the record's whole one, or a person's view."""
    from weeksync.site.own import own_week_page

    inputs = _inputs(closed, templates, spread)
    page = own_week_page(inputs, Words(inputs), spread, closed.week)
    return lasting_renderer(inputs.language, templates).render("own_week.html", page)


def _inputs(closed: ClosedWeek, templates: Path | None, spread: Spread) -> SiteInput:
    view = closed.view
    return SiteInput(
        config=view.as_config(),
        language=Language(view.household.locale),
        weeks=(spread,),
        months=(),
        own_weeks=(spread,),
        today=date.min,  # before which no week has a page for entering it from paper
        tzdata=closed.tzdata,
        version=closed.version,
        templates=templates,
        elsewhere=neighbours(closed.week),
        zone=KeptZone(view.household.time_zone, view.clocks),
        closed_at=closed.closed_at,
    )


def neighbours(week: IsoWeek) -> frozenset[IsoWeek]:
    """The weeks before and after, as far as the calendar goes: where the page leads."""
    found = set()
    for by in (-1, 1):
        try:
            found.add(week.shifted(by))
        except (ValueError, OverflowError):
            continue
    return frozenset(found)


def absent_pages(inputs: SiteInput, weeks: Iterable[IsoWeek], kind: str) -> dict[str, bytes]:
    """Pages that say that nothing is kept of these weeks; `kind` is `absent` or `own-absent`."""
    words, renderer = Words(inputs), lasting_renderer(inputs.language, inputs.templates)
    return {
        f"{week}.html": renderer.render("absent.html", absent_page(inputs, words, week, kind))
        for week in weeks
    }


def absent_page(inputs: SiteInput, words: Words, week: IsoWeek, kind: str) -> AbsentPage:
    """The record of a page that says that a week has none."""
    days = words.rule.days(week)
    label, dates = words.week_label(days[0]), words.language.span(days[0], days[-1])
    text, remedy = _ahead(week) if days[0] > inputs.today else _not_kept(week)
    return AbsentPage(
        **frame(inputs, words, kind, label, title_of(words, label, dates)),
        id=str(week),
        dates=dates,
        previous=_link(words, week, -1),
        next=_link(words, week, 1),
        text=words.text(text),
        remedy=words.text(remedy),
    )


def _ahead(week: IsoWeek) -> tuple[Message, Message]:
    return (
        message("This week has no page yet: it lies further ahead than the weeks that have pages."),
        message("weeksync show {week} shows what is known of it", week=str(week)),
    )


def _not_kept(week: IsoWeek) -> tuple[Message, Message]:
    return (
        message(
            "Nothing is kept of this week: it lies outside of the weeks that have pages, and "
            "it was not closed."
        ),
        message(
            "weeksync show {week} shows what is known of it; weeksync close {week} keeps that",
            week=str(week),
        ),
    )


def _link(words: Words, week: IsoWeek, by: int) -> Link | None:
    return words.week_link(week.shifted(by))
