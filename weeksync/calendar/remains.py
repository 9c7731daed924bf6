"""What a text still held that a later one of the same source no longer has, as a text of its own.

A feed that only lists what is to come drops each event when it is over, and a person deletes old
ones to have a tidy list. What happened stays on the pages of its week all the same.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta
from hashlib import sha256
from zoneinfo import ZoneInfo

from weeksync.calendar import KEPT
from weeksync.calendar.encoding import decoded
from weeksync.calendar.expand import expand
from weeksync.calendar.index import index_object
from weeksync.calendar.outline import MARGIN, outline
from weeksync.calendar.text import CalendarText, ComponentText, read
from weeksync.model.limits import ReadLimits
from weeksync.model.pulled import IndexedObject, RawObject, StoredObject, UidGroup

LONGEST = 65_536
"""Bytes of one event with its changed times; a longer one is not kept."""

LOOK = timedelta(days=400)
"""The bounds of an event are generous, those of a series more so: where they reach beyond the
present, its times are looked at for so long. What goes on for longer is not over."""

_HAPPENS = frozenset({"VEVENT", "VJOURNAL"})
"""A to-do does not happen: one that is gone is done with."""
_PASSING = (b"\nUID", b"\nDTSTAMP", b"\nCREATED", b"\nLAST-MODIFIED", b"\nSEQUENCE")


def remains(
    before: StoredObject,
    uids: Collection[str],
    after: Iterable[bytes],
    now: datetime,
    tz: ZoneInfo,
    limits: ReadLimits = ReadLimits(),  # noqa: B008 - frozen
) -> Iterator[IndexedObject]:
    """Those of `uids` that `before` holds and that were over at `now`, each a text of its own.

    `now` is aware; `tz` is the household's zone. An event that stands in one of the texts `after`
    under another UID was not removed, only exported anew, and is left out; so is one without a
    UID, of which nobody can tell.
    """
    held: dict[str, list[ComponentText]] = {}
    for component in read(before.content, limits).components:
        found = outline(component)
        if found.uid in uids and not found.uid.startswith("no-uid-"):
            held.setdefault(found.uid, []).append(component)
    there = _likenesses(after, limits) if held else frozenset()
    for uid, components in held.items():
        if any(one.kind not in _HAPPENS or one.calendar.cancels for one in components):
            continue
        if all(_likeness(one) in there for one in components):
            continue
        one = _as_object(before, uid, components)
        if one is not None and _is_over(before, one, now.astimezone(tz), tz):
            yield one


def may_be_over(groups: Iterable[UidGroup], today: date) -> bool:
    """Whether they have begun and have an end within reach, as far as their bounds tell."""
    return all(
        (group.first_day or date.min) <= today
        and group.last_day is not None
        and group.last_day - today <= LOOK
        for group in groups
    )


def _likenesses(texts: Iterable[bytes], limits: ReadLimits) -> frozenset[bytes]:
    return frozenset(
        _likeness(component) for text in texts for component in read(text, limits).components
    )


def _likeness(component: ComponentText) -> bytes:
    """The same for two exports of one event: without its name and the times of its writing."""
    lines = component.raw.replace(b"\n", b"\n\n").split(b"\n\n")
    said = sorted(line for line in lines if not (b"\n" + line.upper()).startswith(_PASSING))
    return sha256(b"\n".join([component.kind.encode(), *said])).digest()


def _as_object(
    before: StoredObject, uid: str, components: Sequence[ComponentText]
) -> IndexedObject | None:
    """These components with the rules of the zones they name; None where they are too long."""
    if sum(len(one.raw) for one in components) > LONGEST:
        return None
    calendar = components[0].calendar
    body = "".join(f"BEGIN:{one.kind}{decoded(one.raw)}\nEND:{one.kind}\n" for one in components)
    text = f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//weeksync//kept//EN\n{_zones(calendar, body)}"
    content = f"{text}{body}END:VCALENDAR\n".encode("utf-8", "replace")
    name = f"{before.name}{KEPT}{sha256(uid.encode('utf-8', 'replace')).hexdigest()[:16]}"
    return index_object(before.source, RawObject(name, "", content))[0]


def _zones(calendar: CalendarText, body: str) -> str:
    zone = f"X-WR-TIMEZONE:{calendar.default_zone}\n" if calendar.default_zone else ""
    named = (text for tzid, text in calendar.zones.items() if tzid in body)
    return zone + "".join(f"BEGIN:VTIMEZONE{text}\nEND:VTIMEZONE\n" for text in named)


def _is_over(before: StoredObject, one: IndexedObject, now: datetime, tz: ZoneInfo) -> bool:
    """Whether its last time ended by `now`."""
    last = max((group.last_day or date.max for group in one.groups), default=date.max)
    if last < now.date():
        return True
    if not may_be_over(one.groups, now.date()):
        return False
    stored = StoredObject(
        before.source, before.collection, one.raw.name, "", one.digest, one.raw.content
    )
    found = expand([stored], now.date() - MARGIN, last + MARGIN, tz)
    ends = [each.end for each in found.occurrences]
    return all(end <= (now if isinstance(end, datetime) else now.date()) for end in ends)
