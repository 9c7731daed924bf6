"""Pulls as a source would bring them, made from plain words; no calendar text is parsed."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from datetime import date

from weeksync.model.pulled import IndexedObject, Pulled, PulledCollection, RawObject, UidGroup


def ics(uid: str, title: str = "Piano lesson") -> bytes:
    """The bytes of one event, as a CalDAV server has them."""
    return (
        "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//example.org//tests//EN\r\nBEGIN:VEVENT\r\n"
        f"UID:{uid}\r\nDTSTAMP:20270101T000000Z\r\nDTSTART:20270322T103000Z\r\n"
        f"SUMMARY:{title}\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
    ).encode()


def indexed(
    name: str,
    *,
    tag: str = '"1"',
    content: bytes | None = None,
    first: date | None = date(2027, 3, 21),
    last: date | None = date(2027, 3, 23),
    uid: str = "",
) -> IndexedObject:
    """An object of one group; its UID is its name where none is given."""
    raw = RawObject(name, tag, ics(uid or name) if content is None else content)
    digest = hashlib.sha256(raw.content).hexdigest()
    return IndexedObject(raw, digest, (UidGroup(uid or name, digest, first, last),))


def pull_of(
    source: str,
    collections: Mapping[str, tuple[IndexedObject, ...]],
    *,
    gone: Mapping[str, frozenset[str]] | None = None,
    sync: str = "token-1",
) -> tuple[Pulled, list[tuple[str, IndexedObject]]]:
    """A pull that brings these objects in these collections, and its index for the store."""
    gone = gone or {}
    pulled = Pulled(
        source,
        tuple(
            PulledCollection(
                name,
                title=name.title(),
                colour="#336699",
                token=sync,
                changed=tuple(one.raw for one in objects),
                gone=gone.get(name, frozenset()),
            )
            for name, objects in collections.items()
        ),
    )
    return pulled, [(name, one) for name, objects in collections.items() for one in objects]
