"""What changed in one calendar on a server: first by its list of ETags, later by sync-token.

    first pull       PROPFIND Depth 1 for ETags, then the objects
    later            sync-collection for ETags (RFC 6578), then the objects that changed
    token refused    the list of ETags again, compared with what is known
    now and then     the same, whatever the token says

Nothing is filtered or expanded on the server, no ctag is believed, and an object is gone only
where a complete answer says so.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace

from caldav.elements import cdav, dav

from weeksync.errors import SourceUnreachable, SourceUnusable
from weeksync.fetch.dav import Dav, Declined
from weeksync.fetch.dav_discovery import Calendar
from weeksync.fetch.dav_objects import Listed, Objects
from weeksync.fetch.dav_xml import MEMBER_PROPS, Multistatus, Resource, short_name
from weeksync.fetch.own_changes import own_changes
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import KnownCollection, PulledCollection

FULL_EVERY = 14
"""Pulls by token after which the whole list of ETags is compared anyway."""
MOST_PAGES = 1_000
"""Parts in which a server may hand out one sync-collection answer."""


@dataclass(frozen=True, slots=True)
class Bookmark:
    """What is kept between two pulls: the server's token, and how far it may be relied on.

    `account` tells one address of `config.toml` from another; `pulls` counts those since the
    token was last put to the test; `works` is false where a server cannot do sync-collection.
    `ours` are objects that we have written since: the server will name them as changed.
    """

    account: str
    sync: str = ""
    pulls: int = 0
    works: bool = True
    ours: frozenset[str] = frozenset()

    @classmethod
    def read(cls, token: str, account: str) -> Bookmark | None:
        """The bookmark in a collection's token; None for none, or for one of another account."""
        try:
            kept = json.loads(token)
            mark = cls(
                str(kept["account"]),
                str(kept["sync"]),
                int(kept["pulls"]),
                kept["works"],
                own_changes(kept),
            )
        except (ValueError, TypeError, KeyError):
            return None
        return mark if mark.account == account else None

    def written(self) -> str:
        """The text to hand to the store; with a new token none of its changes are ours."""
        return json.dumps(
            {"account": self.account, "sync": self.sync, "pulls": self.pulls, "works": self.works}
        )


@dataclass(frozen=True, slots=True)
class Changes:
    """What a server lists: objects with their ETags, and names of objects that are no more."""

    listed: Mapping[str, Listed]
    gone: frozenset[str]
    mark: Bookmark
    unread: tuple[str, ...] = ()


def pull_calendar(
    server: Dav, calendar: Calendar, known: KnownCollection, account: str
) -> tuple[PulledCollection, tuple[Problem, ...]]:
    """The changes of one calendar, with problems of single objects.

    Raises SourceError, and Declined where the server refuses this calendar.
    """
    source = server.channel.source
    mark = Bookmark.read(known.token, account)
    tags: Mapping[str, str] = known.tags if mark is not None else {}
    changes = _changes(server, calendar, tags, mark or Bookmark(account))
    if mark is None:  # all was listed, and what is known is of another time or account
        unlisted = frozenset(known.tags) - set(changes.listed) - set(changes.unread)
        changes = replace(changes, gone=changes.gone | unlisted)
    wanted = {
        name: entry
        for name, entry in changes.listed.items()
        if not entry.tag or tags.get(name) != entry.tag
    }
    objects = Objects(server, calendar)
    objects.fetch(wanted)
    unread = (
        Problem(
            ProblemKind.OBJECT,
            message(
                'the server tells nothing of the object {place} of "{calendar}"; its last good'
                " copy is shown",
                place=short_name(name),
                calendar=calendar.title,
            ),
            Place(source=source),
        )
        for name in changes.unread
    )
    gone = (changes.gone | objects.gone) & frozenset(known.tags)
    collection = PulledCollection(
        calendar.name,
        calendar.title,
        calendar.colour,
        changes.mark.written(),
        tuple(objects.found),
        gone,
    )
    return collection, (*unread, *objects.problems)


def _changes(server: Dav, calendar: Calendar, tags: Mapping[str, str], mark: Bookmark) -> Changes:
    """By token where there is something to compare with and it is not time for the whole list.

    A token that fails is dropped and a new one begun with; if that fails too, the server is
    taken not to have sync-collection until the next time that the whole list is due.
    """
    due = mark.pulls >= FULL_EVERY
    if tags and mark.works and not due:
        found = _by_token(server, calendar, tags, mark)
        if found is not None:
            return found
        mark = Bookmark(mark.account, works=bool(mark.sync))
    elif due:
        mark = replace(mark, pulls=0, works=True)
    elif tags:
        mark = replace(mark, pulls=mark.pulls + 1)
    return _by_list(server, calendar, tags, mark)


def _by_list(server: Dav, calendar: Calendar, tags: Mapping[str, str], mark: Bookmark) -> Changes:
    answer = server.propfind(calendar.url, 1, MEMBER_PROPS)
    server.raise_if_absent(answer)
    listed, unread = {}, []
    for member in _objects(answer):
        if member.failed or (member.status or 200) >= 400:
            unread.append(member.name)
        else:
            listed[member.name] = Listed(member.href, member.text(dav.GetEtag))
    gone = frozenset(tags) - set(listed) - set(unread)
    return Changes(listed, gone, mark, tuple(unread))


def _by_token(
    server: Dav, calendar: Calendar, tags: Mapping[str, str], mark: Bookmark
) -> Changes | None:
    """What changed since the token, None where the server's answer cannot be relied on.

    It cannot where the token is refused (whatever the status), where there is no new one, or
    where something is named as changed that is not: then the token was not understood, the
    answer is a full list without a word, and what is gone is not in it.
    """
    token, listed, gone = mark.sync, dict[str, Listed](), set[str]()
    for _ in range(MOST_PAGES):
        try:
            answer = server.sync(calendar.url, token)
        except (Declined, SourceUnreachable, SourceUnusable):
            return None
        for member in _objects(answer):
            if member.status in {404, 410}:
                gone.add(member.name)
            elif member.failed or (member.status or 200) >= 400:
                return None
            else:
                listed[member.name] = Listed(member.href, member.text(dav.GetEtag))
        if not answer.sync_token:
            return None
        before, token = token, answer.sync_token
        if not _truncated(answer):
            break
        if token == before:
            return None
    else:
        return None
    if not mark.sync:
        gone = set(tags) - set(listed)
    elif any(tags.get(name) == one.tag for name, one in listed.items() if name not in mark.ours):
        return None
    return Changes(listed, frozenset(gone), replace(mark, sync=token, pulls=mark.pulls + 1))


def _truncated(answer: Multistatus) -> bool:
    """Whether the server says that there is more (RFC 6578, section 3.6)."""
    return answer.own is not None and answer.own.status == 507


def _objects(answer: Multistatus) -> list[Resource]:
    return [
        member
        for member in answer.members()
        if not member.is_a(dav.Collection)
        and not member.is_a(cdav.Calendar)
        and not member.name.endswith("/")
    ]
