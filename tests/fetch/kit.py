"""What the tests of pulls share: texts, a copy that pulls are applied to, and short waits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from weeksync.fetch import Source, source_for
from weeksync.model.config import CalendarSource
from weeksync.model.limits import PullLimits
from weeksync.model.pulled import KnownCollection, Pulled
from weeksync.read.checked import checked

LIMITS = PullLimits(timeout_seconds=10.0, budget_seconds=30.0)
SHORT = PullLimits(timeout_seconds=0.6, budget_seconds=5.0)
"""For what never ends: long enough for loopback, short enough to wait for."""
SMALL = PullLimits(timeout_seconds=10.0, budget_seconds=30.0, max_bytes=60_000)

_KINDS = {
    "event": "VEVENT\r\n{common}DTSTART:20270322T103000Z\r\nDTEND:20270322T110000Z\r\n",
    "todo": "VTODO\r\n{common}DUE;VALUE=DATE:20270326\r\n",
    "journal": "VJOURNAL\r\n{common}DTSTART;VALUE=DATE:20270323\r\n",
}


def component(kind: str, uid: str, title: str) -> bytes:
    """A VEVENT, VTODO or VJOURNAL; the title may hold letters of any script."""
    common = f"UID:{uid}@example.org\r\nDTSTAMP:20270101T000000Z\r\nSUMMARY:{title}\r\n"
    body = _KINDS[kind].format(common=common)
    return f"BEGIN:{body}END:{body.split(chr(13))[0]}\r\n".encode()


def text(*components: bytes) -> bytes:
    """An iCalendar text of these components."""
    head = b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//example.org//weeksync tests//EN\r\n"
    return head + b"".join(components) + b"END:VCALENDAR\r\n"


PIANO = text(component("event", "piano", "Piano lesson with Nora"))
SWIM = text(component("event", "swim", "Swimming – Dov & Nora 🏊"))


@dataclass
class Copy:
    """What we have of a source after some pulls, as the store keeps it."""

    objects: dict[str, dict[str, bytes]] = field(default_factory=dict)
    known: dict[str, KnownCollection] = field(default_factory=dict)

    def pull(self, source: Source, limits: PullLimits = LIMITS) -> Pulled:
        """Pull and apply what came."""
        pulled = source.pull(self.known, limits)
        self.apply(pulled)
        return pulled

    def apply(self, pulled: Pulled) -> None:
        """The copy with the changes in it; a collection that is not named is dropped."""
        for name in set(self.objects) - {one.name for one in pulled.collections}:
            del self.objects[name], self.known[name]
        for one in pulled.collections:
            mine = self.objects.setdefault(one.name, {})
            tags = dict(self.known.get(one.name, KnownCollection()).tags)
            for name in one.gone:
                del mine[name], tags[name]
            for raw in one.changed:
                mine[raw.name], tags[raw.name] = raw.content, raw.tag
            assert one.tags.keys() <= tags.keys()
            tags |= one.tags
            self.known[one.name] = KnownCollection(one.token, tags)

    def contents(self) -> set[bytes]:
        """All texts, with line ends as XML leaves them (RFC 4791, section 9.6)."""
        return {plain(one) for mine in self.objects.values() for one in mine.values()}


def plain(content: bytes) -> bytes:
    """The bytes with line feeds alone: a server may drop carriage returns inside of XML."""
    return content.replace(b"\r\n", b"\n")


def changed(pulled: Pulled) -> list[bytes]:
    """The texts that a pull brought."""
    return [plain(raw.content) for one in pulled.collections for raw in one.changed]


def gone(pulled: Pulled) -> list[str]:
    """The names that a pull says are no more."""
    return sorted(name for one in pulled.collections for name in one.gone)


def source(folder: Path = Path(), password: str | None = None, **settings: object) -> Source:
    """The source behind a `[[calendars]]` entry with these settings."""
    calendar = checked(CalendarSource, {"id": "family", **settings})
    return source_for(calendar, folder, lambda: password)


def tagged(known: Mapping[str, KnownCollection]) -> dict[str, dict[str, str]]:
    """The tags alone, to compare two states."""
    return {name: dict(one.tags) for name, one in known.items()}
