"""A large text that was edited is indexed and stored as if it had never been there before.

Whatever an edit does to it: what is told of it from its pieces is what reading all of it tells.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from zoneinfo import ZoneInfo

import pytest

from weeksync.calendar import index_object, lately, pieces
from weeksync.calendar.expand import expand_whole
from weeksync.calendar.outline import outline
from weeksync.calendar.text import LONGEST_LINE, ComponentText, read
from weeksync.model.limits import ExpandLimits, ReadLimits
from weeksync.model.problem import Problem
from weeksync.model.pulled import (
    IndexedObject,
    Pulled,
    PulledCollection,
    RawObject,
    StoredObject,
    UidGroup,
)
from weeksync.store import Store

NOW = datetime(2027, 3, 24, 4, tzinfo=UTC)
ENDS = ("\r\n", "\r\n", "\n", "\r")
ZONE = (
    "BEGIN:VTIMEZONE", "TZID:Harbour", "BEGIN:STANDARD", "DTSTART:19700101T000000",
    "TZOFFSETFROM:+0100", "TZOFFSETTO:+0100", "END:STANDARD", "END:VTIMEZONE",
)  # fmt: skip
BITS = (
    b"\n", b"\r", b"\r\n", b"\n ", b"\r\n\t", b" ", b"\0", b"\xef\xbb\xbf", b"\xe4", b"\n\n",
    b"BEGIN:VEVENT\r\n", b"END:VEVENT\r\n", b"BEGIN:VEVENT", b"\nEND:VEVENT", b"begin:vevent\n",
    b"BEGIN:VALARM\n", b"\nEND:VALARM\n", b"\nEND:VCALENDAR\r\n", b"BEGIN:VCALENDAR\n", b"\r\n",
    b"END:VCALENDAR\r\nBEGIN:VCALENDAR\r\n", b"\nEND:VCALENDAR\nBEGIN:VCALENDAR\nMETHOD:CANCEL\n",
    b"\nX-WR-TIMEZONE:Europe/Oslo\n", b"\nMETHOD:CANCEL\n", b"\nUID:uid-3\r\n", b"\nTZID:x\n",
    b"\nBEGIN:VTIMEZONE\nTZID:Other\nEND:VTIMEZONE\n", b"\nBEGIN:X-BOX\n", b"\nEND:X-BOX\n",
    b"\nBEGIN:VTODO\r\nUID:do\r\nEND:VTODO\r\n", b"\nBEGIN:VFREEBUSY\nEND:VFREEBUSY\n",
)  # fmt: skip


@pytest.fixture(autouse=True)
def small(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pieces of a few entries each, so that small texts have many."""
    monkeypatch.setattr(pieces, "SIZE", 400)
    monkeypatch.setattr(pieces, "LARGE", 800)


@dataclass
class Drawn:
    """A calendar drawn at random, entry by entry."""

    random: Random
    head: list[str] = field(default_factory=list)
    entries: list[bytes] = field(default_factory=list)
    tail: bytes = b"END:VCALENDAR\r\n"
    end: str = "\r\n"
    _count: int = 0

    def begin(self) -> Drawn:
        """Its frame, and some dozens of entries."""
        self.end = self.random.choice(ENDS[:-1])
        self.head = ["BEGIN:VCALENDAR", "VERSION:2.0", "X-WR-CALNAME:Boats"]
        self.head += self.random.choice([(), ZONE, (*ZONE, *ZONE), ("METHOD:PUBLISH",)])
        self.entries = [self.entry() for _ in range(self.random.randrange(20, 40))]
        return self

    def text(self) -> bytes:
        """The whole text."""
        return self._lines(*self.head) + b"".join(self.entries) + self.tail

    def entry(self) -> bytes:
        """One entry; some are series, some change one of them, some have no name or two kinds."""
        self._count += 1
        kind = self.random.choice(["VEVENT", "VEVENT", "VEVENT", "VTODO", "VJOURNAL"])
        uid = self.random.choice([f"uid-{self._count}"] * 6 + ["uid-1", "uid-3", "uid-5", ""])
        day = f"2027{self.random.randrange(1, 13):02}{self.random.randrange(1, 29):02}"
        zone = self.random.choice(["", "", ";TZID=Harbour"])
        lines = [f"BEGIN:{kind}", f"UID:{uid}" if uid else "X-NONE:1"]
        lines += [f"DTSTART{zone}:{day}T090000", f"SUMMARY:Bo{self._fold()}at {self._count} ñ"]
        lines += self.random.choice([[], [], ["RRULE:FREQ=DAILY"], [f"RECURRENCE-ID:{day}T090000"]])
        if self.random.random() < 0.3:
            lines += ["BEGIN:VALARM", "TRIGGER:-PT5M", "UID:in the alarm", "END:VALARM"]
        return self._lines(*lines, f"DESCRIPTION:{'x' * self.random.randrange(80)}", f"END:{kind}")

    def _fold(self) -> str:
        return self.random.choice(["", "", f"{self.end} ", f"{self.end}\t"])

    def _lines(self, *lines: str) -> bytes:
        return b"".join(f"{one}{self._end()}".encode() for one in lines)

    def _end(self) -> str:
        return self.random.choice(ENDS) if self.random.random() < 0.002 else self.end

    def edit(self) -> None:
        """What a person or a program does to a calendar."""
        at = self.random.randrange(len(self.entries) + 1)
        what = self.random.randrange(10)
        if what < 3 or not self.entries:
            self.entries.insert(at, self.entry())
        elif what < 5:
            del self.entries[at : at + self.random.randrange(1, 4)]
        elif what < 8:
            self.entries[at - 1] = self.entry()
        elif what == 8:
            self.entries.append(self.entries.pop(at - 1))
        else:
            self.head.insert(self.random.randrange(1, len(self.head)), "X-NOTHING:1")

    def damage(self) -> None:
        """What no program should do, and some do."""
        place = self.random.choice([*range(len(self.entries))] or [0])
        if not self.entries or self.random.random() < 0.1:
            self.tail = self._hurt(self.tail)
        else:
            self.entries[place] = self._hurt(self.entries[place])

    def _hurt(self, text: bytes) -> bytes:
        at = self.random.randrange(len(text) + 1)
        if self.random.random() < 0.3:
            return text[:at] + text[at + self.random.randrange(1, 9) :]
        return text[:at] + self.random.choice(BITS) + text[at:]


@dataclass
class Kept:
    """A store that gets one text again and again."""

    store: Store
    alone: int = 0
    """How often only some of it was read."""

    def take(self, content: bytes, limits: ReadLimits) -> tuple[Problem, ...]:
        """As a pull does."""
        raw = RawObject("a.ics", "", content)
        before = self.store.in_pieces("boats", "files", "a.ics")
        found, problems = index_object("boats", raw, limits, before)
        self.alone += found.replaced is not None
        pulled = Pulled("boats", (PulledCollection("files", changed=(raw,)),))
        self.store.apply(pulled, [("files", found)], NOW, problems)
        return problems

    def groups(self) -> tuple[UidGroup, ...]:
        """Those of the text."""
        return self.store.groups("boats").get("files", ())

    def content(self) -> bytes:
        """The text."""
        return next(self.store.objects("boats")).content

    def components(self, uid: str) -> list[object]:
        """What the pieces have of a UID."""
        some = self.store.objects_with("boats", [("files", uid)], some=True)
        return [told(one) for text in some for one in of_uid(text.content, uid)]


@contextmanager
def kept() -> Iterator[Kept]:
    """An empty one."""
    with TemporaryDirectory() as folder, Store.open(Path(folder) / "state", write=True) as store:
        store.connection.execute("PRAGMA synchronous = OFF")  # nothing of it is kept
        yield Kept(store)


def of_uid(content: bytes, uid: str) -> list[ComponentText]:
    """The components of a text that have it."""
    return [one for one in read(content).components if outline(one).uid == uid]


def told(one: ComponentText) -> object:
    """All that a component has but where it lies."""
    its = one.calendar
    return one.kind, one.raw, one.whole, its.zones, its.default_zone, its.cancels


def whole(content: bytes, limits: ReadLimits) -> tuple[IndexedObject, tuple[Problem, ...]]:
    """The index of a text that is read as a small one is."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(pieces, "LARGE", len(content) + 1)
        return index_object("boats", RawObject("a.ics", "", content), limits)


def check(home: Kept, content: bytes, limits: ReadLimits = ReadLimits()) -> None:  # noqa: B008
    """Take it, and hold all that is known of it then against reading it whole."""
    problems = home.take(content, limits)
    expected, said = whole(content, limits)
    assert problems == said
    assert home.groups() == expected.groups
    assert home.content() == content
    assert [one.digest for one in home.store.objects("boats")] == [expected.digest]


@pytest.mark.parametrize("seed", range(12))
def test_a_calendar_that_is_edited_a_hundred_times(seed: int) -> None:
    """Entries come, go, change and move; most edits are read alone, and each group stays to be
    had alone as it is in the whole."""
    drawn = Drawn(Random(f"pieces {seed}")).begin()
    with kept() as home:
        for number in range(100):
            content = drawn.text()
            check(home, content)
            if number % 20 == 0:
                for group in home.groups():
                    expected = [told(one) for one in of_uid(content, group.uid)]
                    assert home.components(group.uid) == expected
            drawn.edit()
        assert home.alone > 60


@pytest.mark.parametrize("seed", range(5))
def test_a_calendar_that_is_damaged_and_mended(seed: int) -> None:
    """Lines are cut, marks are lost, bytes come from elsewhere; and good edits go on beside."""
    random, alone = Random(f"damaged pieces {seed}"), 0
    for _ in range(5):
        drawn = Drawn(random).begin()
        with kept() as home:
            for _ in range(50):
                good = [*drawn.entries], drawn.tail
                for _ in range(random.randrange(1, 3)):
                    random.choice([drawn.edit, drawn.damage, drawn.damage])()
                check(home, drawn.text())
                if random.random() < 0.95:
                    drawn.entries, drawn.tail = good
                    drawn.edit()
                    check(home, drawn.text())
            alone += home.alone
    assert alone > 30


@pytest.mark.parametrize(
    "limits", [ReadLimits(entries=30), ReadLimits(marks=70), ReadLimits(zones=0)], ids=repr
)
def test_limits_of_reading_hold_for_the_text_as_a_whole(limits: ReadLimits) -> None:
    """A text that grows beyond them, and shrinks again, is told of as any other."""
    drawn = Drawn(Random("limits")).begin()
    drawn.head += ZONE
    drawn.entries = drawn.entries[:20]
    with kept() as home:
        for number in range(60):
            check(home, drawn.text(), limits)
            if number < 30:
                drawn.entries.insert(drawn.random.randrange(len(drawn.entries)), drawn.entry())
            else:
                del drawn.entries[drawn.random.randrange(len(drawn.entries))]


def test_a_line_without_an_end_before_the_next_entry_counts() -> None:
    """Where an edit takes the line end between two entries the second one has no beginning."""
    drawn = Drawn(Random("glued")).begin()
    drawn.end = "\n"
    drawn.entries = [drawn.entry() for _ in range(30)]
    with kept() as home:
        check(home, drawn.text())
        for at in range(30):
            before = drawn.entries[at]
            for cut in (before[:-1], b" " + before, before + b" x\n", before + b"\0"):
                drawn.entries[at] = cut
                check(home, drawn.text())
            drawn.entries[at] = before
            check(home, drawn.text())


def test_what_changes_often_at_one_place_finds_room_for_ever() -> None:
    """Numbers between two pieces come to an end; then all of them are given anew."""
    drawn = Drawn(Random("room")).begin()
    with kept() as home:
        for number in range(120):
            check(home, drawn.text())
            at = len(drawn.entries) // 2
            if number % 3 == 2:
                del drawn.entries[at - 4 : at + 4]
            else:
                drawn.entries[at:at] = [drawn.entry() for _ in range(4)]
        assert home.alone > 60


def test_a_changed_event_writes_its_piece_and_itself() -> None:
    """All other rows of the text stay as they are."""
    drawn = Drawn(Random("rows")).begin()
    drawn.entries = [drawn.entry() for _ in range(40)]
    with kept() as home:
        check(home, drawn.text())
        rows = {"piece": 0, "uid_group": 0}
        before = {table: _rows(home.store, table) for table in rows}
        drawn.entries[20] = drawn.entries[20].replace(b"SUMMARY:", b"SUMMARY:New ")
        check(home, drawn.text())
        assert home.alone == 1
        for table in rows:
            assert len(before[table] - _rows(home.store, table)) == 1
            assert len(_rows(home.store, table) - before[table]) == 1


def _rows(store: Store, table: str) -> set[tuple[object, ...]]:
    return {row[1:] for row in store.connection.execute(f"SELECT * FROM {table}")}  # noqa: S608


def test_a_line_that_is_too_long_stands_in_a_piece_as_in_the_whole() -> None:
    """It is cut where it is read, and that is said when it is expanded."""
    drawn = Drawn(Random("long")).begin()
    drawn.entries[9] = drawn.entries[9].replace(b"SUMMARY:", b"SUMMARY:" + b"y" * LONGEST_LINE)
    with kept() as home:
        check(home, drawn.text())
        for group in home.groups():
            expected = [told(one) for one in of_uid(drawn.text(), group.uid)]
            assert home.components(group.uid) == expected


@pytest.mark.parametrize("limits", [ReadLimits(), ReadLimits(entries=30)], ids=repr)
def test_what_was_read_for_the_index_is_what_is_read_again(limits: ReadLimits) -> None:
    """Also of texts that are damaged; it is handed out once, and within the same limits."""
    random, known = Random("lately"), 0
    for _ in range(150):
        drawn = Drawn(random).begin()
        if random.random() < 0.5:
            drawn.damage()
        content = drawn.text()
        index_object("boats", RawObject("a.ics", "", content), limits)
        assert lately.take(content, ReadLimits(entries=5)) is None
        found = lately.take(content, limits)
        if found is not None:
            known += 1
            assert [told(one) for one in found.components] == [
                told(one) for one in read(content, limits).components
            ]
        assert lately.take(content, limits) is None
    assert known > 40


@pytest.mark.parametrize("entries", [5, 20, 120_000])
def test_what_was_read_for_the_index_is_expanded_as_if_read_anew(entries: int) -> None:
    """However many entries of a source are looked at."""
    limits, tz = ExpandLimits(entries_per_source=entries), ZoneInfo("Europe/London")
    window = date(2027, 3, 1), date(2027, 6, 1)
    for seed in range(20):
        content = Drawn(Random(f"expanded {seed}")).begin().text()
        one = StoredObject("boats", "files", "a.ics", "", "", content)
        anew = expand_whole([one, one], *window, tz, limits)
        index_object("boats", RawObject("a.ics", "", content), limits.read)
        assert expand_whole([one, one], *window, tz, limits) == anew
        assert anew.parts


def test_only_the_last_texts_are_remembered(monkeypatch: pytest.MonkeyPatch) -> None:
    """As many as there is room for; one that is larger than that is not."""
    texts = [Drawn(Random(f"room {number}")).begin().text() for number in range(4)]
    monkeypatch.setattr(lately, "ROOM", sum(map(len, texts[2:])))
    limits = ReadLimits()
    for content in texts:
        index_object("boats", RawObject("a.ics", "", content), limits)
    known = [lately.take(content, limits) is not None for content in texts]
    assert known == [False, False, True, True]
    monkeypatch.setattr(lately, "ROOM", len(texts[0]) - 1)
    index_object("boats", RawObject("a.ics", "", texts[0]), limits)
    assert lately.take(texts[0], limits) is None
