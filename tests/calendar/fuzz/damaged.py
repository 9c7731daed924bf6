"""Relations: what a text must still say beside another, cut off, or with a line taken out."""

from __future__ import annotations

import re
from collections import Counter
from datetime import timedelta

from tests.calendar.fuzz.case import Case, Fact, bounded, fact, facts, same
from tests.calendar.support import calendar, event
from weeksync.calendar import Expansion, index_object
from weeksync.calendar.text import read
from weeksync.model.pulled import RawObject

DAY = timedelta(days=1)
GOOD = "good-neighbour"
_UTF_16 = {
    re.compile(rb"\xff\xfe|[^\0]\0[^\0]\0", re.DOTALL): "utf-16-le",
    re.compile(rb"\xfe\xff|\0[^\0]\0[^\0]", re.DOTALL): "utf-16-be",
}
_ENDED = re.compile(rb"\nEND:V(?:EVENT|TODO|JOURNAL)[ \t]*(?:\r\n|\r|\n)", re.IGNORECASE)
_BEGUN = re.compile(rb"^BEGIN:V(?:EVENT|TODO|JOURNAL)\b", re.MULTILINE | re.IGNORECASE)


def a_good_neighbour(case: Case) -> None:
    """A good event is found before, behind and beside the text, and the others stay.

    Behind a text in UTF-16 whose last unit is half there it cannot be told apart from it, so
    that half is taken away first; a text of less than four bytes has no encoding yet. The last
    line of a cut text is left out and becomes readable when a line end follows: what was found
    stays, more may come.
    """
    if GOOD.encode() in case.content or GOOD in case.text or bounded(case.base):
        return
    day = (case.start + 9 * DAY).isoformat().replace("-", "")
    good = calendar(event(f"DTSTART:{day}T090000Z", "SUMMARY:Good", uid=GOOD))
    ways = {
        "beside": case.ask(case.content, good),
        "behind": case.ask(_joined(case.content, good)),
    }
    if not any(sign.match(case.content) for sign in _UTF_16):
        ways["before"] = case.ask(good.encode() + case.content.removeprefix(b"\xef\xbb\xbf"))
    for way, found in ways.items():
        good_ones = [one for one in found.occurrences if one.uid == GOOD]
        assert len(good_ones) == 1 or bounded(found), f"the good event {way} is not found"
    same(facts(case.base), facts(_without_good(ways["beside"])), "with a good event beside it")


def _without_good(found: Expansion) -> Expansion:
    rest = tuple(one for one in found.occurrences if one.uid != GOOD)
    return Expansion(rest, found.todos, found.problems)


def _joined(content: bytes, good: str) -> bytes:
    content = content if len(content) > 3 else content + b"\r\n\r\n"
    for sign, codec in _UTF_16.items():
        if sign.match(content):
            return content[: len(content) // 2 * 2] + f"\r\n{good}".encode(codec)
    return content + b"\r\n" + good.encode()


def cut_anywhere(case: Case) -> None:
    """A text cut off later than an event's END still has that event.

    Half a component may at most move one instance of a series that is whole before it: an
    override whose time came through. It never takes the place of the whole ones. Not asked
    where a zone is defined behind the cut, where what follows is for this and the future, or
    where an END is missing before it and what is whole cannot be told.
    """
    ended = [found.end() for found in _ENDED.finditer(case.content)]
    for whole in ended[-3:]:
        rest = case.content[whole:]
        following = ended[ended.index(whole) + 1 :][:1] or [len(case.content)]
        if rest.lstrip(b"\r\n\0")[:1] in (b" ", b"\t"):
            continue  # the line of this END goes on
        if read(case.content[:whole]).stray:
            continue
        for share in (1, 2, 3):
            at = whole + (following[0] - whole) * share // 4
            between = case.content[whole:at].upper()
            if len(_BEGUN.findall(between)) > 1:
                continue  # the one that was begun first lacks its END, too
            if not any(word in between for word in (b"VTIMEZONE", b"THISAND")):
                _cut(case, whole, at)


def _cut(case: Case, whole: int, at: int) -> None:
    before, after = case.ask(case.content[:whole]), case.ask(case.content[:at])
    if bounded(before, after):
        return
    lost = facts(Expansion(before.occurrences)) - facts(Expansion(after.occurrences))
    days: dict[object, set[str]] = {}
    for one in lost:
        days.setdefault(one[0], set()).add(str(one[2])[:10])
    for uid, gone in days.items():
        assert len(gone) <= 1, f"cut at {at}, {uid!r} lost its times on {sorted(gone)}"


def digests_tell_changes(case: Case) -> None:
    """Where a group's digest stays the same, so do its times, whatever line was taken out."""
    if bounded(case.base):
        return
    lines = case.text.split("\n")
    before, known = case.ask(case.text), _digests(case.text)
    for at in {len(case.content) % len(lines), len(lines) // 3, len(lines) // 2}:
        text = "\n".join(lines[:at] + lines[at + 1 :])
        kept = {uid for uid, digest in _digests(text).items() if known.get(uid) == digest}
        other = case.ask(text)
        if not bounded(other):
            same(_of(before, kept), _of(other, kept), f"unseen change, without {lines[at]!r}")


def _digests(text: str) -> dict[str, str]:
    indexed, _ = index_object("test", RawObject("a.ics", "", text.encode()))
    return {group.uid: group.digest for group in indexed.groups}


def _of(found: Expansion, uids: set[str]) -> Counter[Fact]:
    return Counter(fact(one) for one in found.occurrences if one.uid in uids)
