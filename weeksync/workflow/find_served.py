"""Searching the closed weeks on a page of `weeksync serve`: `/search/?q=seed+list`.

Everybody finds what stands on common pages; whoever has unlocked their own pages also what is
theirs. Nothing is written.
"""

from __future__ import annotations

from collections.abc import Mapping

from weeksync.review.texts import words_of
from weeksync.serve.desk import FormAnswer, FormPage, Sender, Unlock
from weeksync.site.forms import render_served
from weeksync.site.search_served import found_page
from weeksync.workflow.context import Context
from weeksync.workflow.find import Found, find, place_of
from weeksync.workflow.kept_pages import templates_of


def show(
    context: Context, rest: str, query: Mapping[str, str], sender: Sender
) -> FormAnswer | None:
    """What was found; with `own` in the query one's own pages are unlocked before.

    UsageError for a query that is longer than anybody types.
    """
    if rest:
        return None
    if query.get("own") and sender.person is None:
        return Unlock()
    typed = " ".join(query.get("q", "").split())
    found = find(context, typed, sender.person) if words_of(typed) else Found((), (), 0)
    page = found_page(
        context.config,
        context.language,
        context.rule,
        typed if found.words else "",
        sender.person or "",
        tuple((hit, place_of(hit.text.text, found.words)) for hit in found.hits),
        found.count,
    )
    own = templates_of(context)
    return FormPage(render_served(context.language, "search_served.html", page, own))


def take(
    context: Context, rest: str, fields: Mapping[str, tuple[str, ...]], sender: Sender
) -> FormAnswer | None:
    """Nothing is sent here."""
    return None
