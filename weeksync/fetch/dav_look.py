"""What a pull leaves for the night after it: how to ask in a few words whether all is the same.

It is written into each calendar's token, beside the bookmark: which lists of calendars were read,
what they said, how the server let us in, and where the calendar is. `weeksync.lean.look` asks by
it with nothing but the standard library, and spells `listing_print` in the same way; a list that
it reads differently is taken for one that has changed.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from caldav.elements import cdav, dav, ical

from weeksync.fetch.dav_discovery import Calendar, Listing
from weeksync.fetch.dav_xml import Resource
from weeksync.model.pulled import PulledCollection

_COUNTED = (
    dav.ResourceType,
    dav.DisplayName,
    cdav.SupportedCalendarComponentSet,
    ical.CalendarColor,
)


def remembering(
    collections: Sequence[PulledCollection],
    calendars: Iterable[Calendar],
    listings: Sequence[Listing],
    choose: Sequence[str],
    login: str,
) -> tuple[PulledCollection, ...]:
    """The collections of a pull without problems, with what to ask next time in their tokens."""
    listed = [one for listing in listings for one in listing.resources]
    look = {
        "login": login,
        "choose": list(choose),
        "listings": [[listing.url, listing.depth] for listing in listings],
        "print": listing_print(listed),
    }
    urls = {calendar.name: calendar.url for calendar in calendars}
    return tuple(_with(one, {"at": urls[one.name], "look": look}) for one in collections)


def _with(one: PulledCollection, more: Mapping[str, Any]) -> PulledCollection:
    token = json.dumps({**json.loads(one.token), **more})
    return PulledCollection(one.name, one.title, one.colour, token, one.changed, one.gone)


def listing_print(resources: Iterable[Resource]) -> str:
    """SHA-256 (hex) of the calendars among them, with all that is taken from a listing."""
    told = [
        [one.name, *(_spelling(one.props[tag]) for tag in _TAGS if tag in one.props)]
        for one in resources
        if one.is_a(cdav.Calendar)
    ]
    return hashlib.sha256(json.dumps(sorted(told, key=json.dumps)).encode()).hexdigest()


_TAGS = tuple(str(one.tag) for one in _COUNTED)


def _spelling(element: Any) -> list[object]:
    """All of it as lists; servers hand out what is in it in any order."""
    text = (element.text or "") + "".join(child.tail or "" for child in element)
    named = (child for child in element if isinstance(child.tag, str))  # a comment's is none
    inner = sorted((_spelling(child) for child in named), key=json.dumps)
    return [element.tag, sorted(element.attrib.items()), text.strip(), inner]
