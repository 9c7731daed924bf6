"""Calendars of a household that somebody edits: texts, and edits drawn at random."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from random import Random

from weeksync.calendar import index_object
from weeksync.calendar.pieces import LARGE
from weeksync.model.pulled import IndexedObject, Pulled, PulledCollection, RawObject
from weeksync.store import Store

FIRST = date(2027, 1, 4)
NOTE = f"DESCRIPTION:{'More about it. ' * 50}\n"
"""What makes an entry long."""
_ZONES = {
    "London": """\
BEGIN:VTIMEZONE
TZID:Europe/London
BEGIN:STANDARD
DTSTART:19701025T020000
TZOFFSETFROM:+0100
TZOFFSETTO:+0000
RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:19700329T010000
TZOFFSETFROM:+0000
TZOFFSETTO:+0100
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU
END:DAYLIGHT
END:VTIMEZONE
""",
    # As that of the zone of its name until its clocks no longer change: in a window before that
    # nobody can tell them apart.
    "ends": """\
BEGIN:VTIMEZONE
TZID:Europe/London
BEGIN:STANDARD
DTSTART:19701025T020000
TZOFFSETFROM:+0100
TZOFFSETTO:+0000
RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:19700329T010000
TZOFFSETFROM:+0000
TZOFFSETTO:+0100
RRULE:FREQ=YEARLY;UNTIL=20270101T000000Z;BYMONTH=3;BYDAY=-1SU
END:DAYLIGHT
END:VTIMEZONE
""",
    "own": """\
BEGIN:VTIMEZONE
TZID:Europe/London
BEGIN:STANDARD
DTSTART:19700101T000000
TZOFFSETFROM:+0300
TZOFFSETTO:+0300
END:STANDARD
END:VTIMEZONE
""",
    "none": "",
}
_KINDS = (
    *("single", "single", "single", "days", "weekly", "weekly", "count", "monthly", "until"),
    *("yearly", "todo", "todo", "todos", "broken", "journal", "moved", "two"),
)


def _at(day: date, hour: int) -> str:
    return f"TZID=Europe/London:{day:%Y%m%d}T{hour:02}0000"


@dataclass
class Entry:
    """One UID: its kind, its day, and what an edit changes."""

    uid: str
    kind: str
    day: date
    hour: int
    number: int = 0
    note: str = ""

    def text(self) -> str:
        """Its components."""
        times = f"DTSTART;{_at(self.day, self.hour)}\nDURATION:PT1H\n"
        title = f"SUMMARY:{self.kind} {self.number}\n"
        last = self.day + timedelta(days=60 + self.number)
        lines = {
            "single": times,
            "days": f"DTSTART;VALUE=DATE:{self.day:%Y%m%d}\n"
            f"DTEND;VALUE=DATE:{self.day + timedelta(days=1 + self.hour):%Y%m%d}\n",
            "weekly": f"{times}RRULE:FREQ=WEEKLY\n",
            "count": f"{times}RRULE:FREQ=WEEKLY;BYDAY=MO,TH;COUNT={9 + self.number}\n",
            "monthly": f"{times}RRULE:FREQ=MONTHLY;BYMONTHDAY=12;COUNT={4 + self.number}\n",
            "until": f"{times}RRULE:FREQ=DAILY;INTERVAL=3;UNTIL={last:%Y%m%d}T120000Z\n",
            "yearly": f"{times}RRULE:FREQ=YEARLY;BYMONTH=2,5,9;UNTIL=20291231T000000Z\n",
            "broken": f"{times}RRULE:FREQ=NEVER\n",
        }
        if self.kind in {"todo", "todos"}:
            rule = "RRULE:FREQ=WEEKLY\n" if self.kind == "todos" else ""
            done = "STATUS:COMPLETED\n" if self.number % 3 == 2 else ""
            due = f"DUE;{_at(self.day, self.hour)}\n"
            return self._component("VTODO", f"DTSTART;{_at(self.day, 0)}\n{due}{rule}{done}{title}")
        if self.kind == "journal":
            return self._component("VJOURNAL", times.partition("DURATION")[0] + title)
        if self.kind == "two":  # one UID for two things, which is odd, and what belongs to it
            journal = self._component("VJOURNAL", times.partition("DURATION")[0] + title)
            return self._component("VEVENT", times + title) + journal
        if self.kind == "moved":
            series = f"{times}RRULE:FREQ=WEEKLY;COUNT=8\nEXDATE;{_at(self._week(3), self.hour)}\n"
            moved = f"RECURRENCE-ID;{_at(self._week(2), self.hour)}\n"
            moved += f"DTSTART;{_at(self._week(2) + timedelta(days=self.number), 9)}\n"
            return self._component("VEVENT", series + title) + self._component(
                "VEVENT", moved + title
            )
        return self._component("VEVENT", lines[self.kind] + title)

    def _week(self, number: int) -> date:
        return self.day + timedelta(weeks=number)

    def _component(self, name: str, lines: str) -> str:
        head = f"BEGIN:{name}\nUID:{self.uid}\nDTSTAMP:20270101T000000Z\n"
        return f"{head}{lines}{self.note}END:{name}\n"


@dataclass
class Text:
    """One object: its entries and the zone rules above them."""

    entries: list[Entry] = field(default_factory=list)
    zone: str = "London"
    head: str = ""

    def bytes(self) -> bytes:
        """The whole text."""
        body = "".join(one.text() for one in self.entries)
        text = f"BEGIN:VCALENDAR\nVERSION:2.0\n{self.head}{_ZONES[self.zone]}{body}END:VCALENDAR\n"
        return text.encode()


@dataclass
class Calendars:
    """Objects by source and (collection, name), and what of them the store has."""

    random: Random
    odd: bool
    texts: dict[str, dict[tuple[str, str], Text]] = field(default_factory=dict)
    _stored: dict[str, dict[tuple[str, str], bytes]] = field(default_factory=dict)
    _count: int = 0

    def begin(self, sources: Iterable[str]) -> None:
        """Some objects for each source, one of them so large that it is kept in pieces."""
        for number, source in enumerate(sources):
            self.texts[source] = {}
            for place in (("home", "a.ics"), ("home", "b.ics"), ("work", "a.ics")):
                count = self.random.randrange(1, 5)
                if not number and place == ("home", "b.ics"):
                    count = LARGE // len(NOTE) + self.random.randrange(-6, 4)
                entries = [self._entry() for _ in range(count)]
                for one in entries if count > 9 else ():
                    one.note = NOTE
                self.texts[source][place] = Text(entries)

    def _entry(self) -> Entry:
        self._count += 1
        kinds = _KINDS if self.odd else _KINDS[:-1]
        day = FIRST + timedelta(days=self.random.randrange(-200, 300))
        # Some stand in two calendars.
        uid = f"uid-{self.random.randrange(6)}" if self.random.random() < 0.1 else None
        hour = self.random.randrange(0, 24)
        return Entry(uid or f"{self._count}", self.random.choice(kinds), day, hour)

    def edit(self) -> str:
        """One edit at random; what it was."""
        texts = self.texts[self.random.choice(sorted(self.texts))]
        place = self.random.choice(sorted(texts)) if texts else ("home", "new.ics")
        text = texts.setdefault(place, Text())
        edits = ["change", "change", "move", "add", "remove", "rename", "drop", "head", "reorder"]
        what = self.random.choice([*edits, "zone"])
        if what == "add" or not text.entries:
            text.entries.insert(self.random.randrange(len(text.entries) + 1), self._entry())
        elif what == "change":
            self.random.choice(text.entries).number += 1
        elif what == "move":
            self.random.choice(text.entries).day += timedelta(days=self.random.randrange(-99, 99))
        elif what == "remove":
            text.entries.remove(self.random.choice(text.entries))
        elif what == "rename":
            texts[place[0], f"{self.random.randrange(99)}.ics"] = texts.pop(place)
        elif what == "drop":
            del texts[place]
        elif what == "head":
            text.head += "X-NOTHING:one more line\n"
        elif what == "reorder":
            self.random.shuffle(text.entries)
        else:
            text.zone = self.random.choice(sorted(_ZONES if self.odd else {"London", "none"}))
        return what

    def pull(self, store: Store, at: datetime) -> None:
        """Bring into the store what is not there yet."""
        for source, texts in self.texts.items():
            now = {place: text.bytes() for place, text in texts.items()}
            before = self._stored.get(source, {})
            changed = {place: one for place, one in now.items() if before.get(place) != one}
            gone = before.keys() - now.keys()
            if changed or gone or not before:
                apply(store, source, changed, at, gone, {name for name, _ in now})
            self._stored[source] = now


def apply(
    store: Store,
    source: str,
    changed: dict[tuple[str, str], bytes],
    at: datetime,
    gone: Iterable[tuple[str, str]] = (),
    names: Iterable[str] = (),
) -> None:
    """Take objects over into a store, as a pull does."""
    indexed: list[tuple[str, IndexedObject]] = []
    for (collection, name), content in changed.items():
        before = store.in_pieces(source, collection, name)
        raw = RawObject(name, "", content)
        indexed.append((collection, index_object(source, raw, before=before)[0]))
    collections = tuple(
        PulledCollection(
            name,
            changed=tuple(one.raw for its, one in indexed if its == name),
            gone=frozenset(one for its, one in gone if its == name),
        )
        for name in sorted({*names, *(name for name, _ in changed)})
    )
    store.apply(Pulled(source, collections), indexed, at.astimezone(UTC), [])
