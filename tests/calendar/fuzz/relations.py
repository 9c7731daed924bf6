"""Relations between answers: what a text must say when it is written or asked otherwise.

A fuzzer that only waits for exceptions misses every wrong answer. Each relation here takes a
case, changes the text or the question in a way that must not matter (or must matter in a way
that is known), and holds the two answers against each other. Where a relation does not apply,
the function says why and returns; a budget that was met is always such a reason, since what is
left out then depends on the order of things.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import fields, replace
from datetime import date, datetime, timedelta
from typing import Any

from tests.calendar.fuzz import texts
from tests.calendar.fuzz.case import (
    SMALL,
    Case,
    Fact,
    bounded,
    fact,
    facts,
    instant,
    own_rules,
    same,
    same_problems,
    source_bounded,
    unknown_zone,
)
from tests.calendar.support import LONDON, calendar, event
from weeksync.calendar import Expansion, index_object
from weeksync.calendar.text import read, unfolded
from weeksync.calendar.window import Window
from weeksync.model.pulled import RawObject
from weeksync.zones import zone

DAY = timedelta(days=1)
GOOD = "good-neighbour"
_UTC = zone("UTC")
_ELSEWHERE = tuple(map(zone, ("Australia/Lord_Howe", "Pacific/Apia", "America/Sao_Paulo")))
_UTF_16 = {
    re.compile(rb"\xff\xfe|[^\0]\0[^\0]\0", re.DOTALL): "utf-16-le",
    re.compile(rb"\xfe\xff|\0[^\0]\0[^\0]", re.DOTALL): "utf-16-be",
}
_ENDED = re.compile(rb"\nEND:V(?:EVENT|TODO|JOURNAL)[ \t]*(?:\r\n|\r|\n)", re.IGNORECASE)


def unfolding_is_stable(case: Case) -> None:
    """What is unfolded has nothing left to unfold."""
    assert unfolded(case.text.encode()) == case.text, "unfolding twice gives something else"


def equal_inputs(case: Case) -> None:
    """The same bytes give the same answer, in the same order."""
    again = case.ask_anew([case.content], case.start, case.end, LONDON)
    assert again == case.base, "the same bytes give another answer"


def line_ends_and_folds(case: Case) -> None:
    """CRLF, LF, CR and folds at any width are ways to write the same (section 3.1).

    Problems name physical lines, so other folds may put them elsewhere and line ends may not.
    """
    plain = case.ask(texts.rendered(case.text, b"\n"))
    for eol in (b"\r\n", b"\r"):
        again = case.ask(texts.rendered(case.text, eol))
        assert again == plain, f"written with {eol!r} it differs"
    for eol, width, fold in ((b"\n", 7, b"\t"), (b"\r\n", 40, b" "), (b"\n", 0, b"")):
        again, what = case.ask(texts.rendered(case.text, eol, width, fold)), f"folds of {width}"
        same(facts(case.base), facts(again), what)
        same_problems(case.base, again, what)


def case_of_names(case: Case) -> None:
    """Names are the same in upper and lower case (section 2); a UID of ours is of the text."""
    if case.named:
        text = texts.each_line(case.text, texts.other_case)
        other = case.ask(text)
        same(facts(case.base), facts(other), "names in the other case")
        _same_problems(case, text, other, "names in the other case")


def case_of_words(case: Case) -> None:
    """So are rules, durations, times and fixed words (section 2)."""
    if case.named:
        text = texts.each_line(case.text, texts.lower_words)
        other = case.ask(text)
        same(facts(case.base), facts(other), "words in lower case")
        _same_problems(case, text, other, "words in lower case")


def _same_problems(case: Case, text: str, other: Expansion, what: str) -> None:
    """Compare problems, unless the index takes the two for different in the days they touch.

    What cannot touch the window is not read, and what is wrong in it is not told.
    """
    if case.bounds == Case(text.encode()).bounds:
        same_problems(case.base, other, what)


def order_of_lines(case: Case) -> None:
    """Properties stand in any order (section 3.6); of a doubled one the first counts."""
    text = texts.by_name(case.text)
    if case.named and text is not None:
        other = case.ask(text)
        same(facts(case.base), facts(other), "lines in another order")
        _same_problems(case, text, other, "lines in another order")


def order_of_components(case: Case) -> None:
    """Components stand in any order; only versions of equal rank are told apart by it."""
    if case.calendars is None or bounded(case.base):
        return
    parts = [
        one.around(sorted(one.entries, key=_uid_line, reverse=True), zones_last=True)
        for one in case.calendars
    ]
    other = case.ask("".join(parts))
    if not bounded(other):
        same(facts(case.base), facts(other), "components in another order")
        same_problems(case.base, other, "components in another order")


def _uid_line(entry: list[str]) -> str:
    return next((line.partition(":")[2] for line in entry if texts.name_of(line) == "UID"), "")


def an_object_each(case: Case) -> None:
    """A calendar in one object or in one for each component holds the same."""
    if case.calendars is None or bounded(case.base):
        return
    parts = [one.around([entry]) for one in case.calendars for entry in one.entries]
    other = case.ask(*parts)
    same(facts(case.base), facts(other), "an object for each component")


def once_more(case: Case) -> None:
    """An object that is there twice says nothing new."""
    other = case.ask(case.content, case.content)
    if not bounded(case.base, other):
        same(facts(case.base), facts(other), "the object is there twice")


def strangers(case: Case) -> None:
    """Properties and components nobody knows are passed over (sections 3.1, 3.6)."""
    if case.named:
        other = case.ask(texts.with_strangers(case.text))
        same(facts(case.base), facts(other), "unknown properties and an alarm")


def other_windows(case: Case) -> None:
    """A wider, a shifted and two half windows show the same where they overlap.

    Not so where a zone's own rules were judged by the window they are used in (3.2.19).
    """
    start, end, middle = case.start, case.end, case.start + 40 * DAY
    windows = [(start, middle), (middle, end), (start + DAY, end + DAY)]
    if start.year > 1 and end.year < 9999:
        windows.append((start - 50 * DAY, end + 50 * DAY))
    for low, high in windows:
        other = case.ask(case.content, start=low, end=high)
        if bounded(case.base, other) or own_rules(case.base, other):
            continue
        both = Window.of(max(low, start), min(high, end), LONDON)
        what = f"the window from {low} to {high}"
        same(_inside(case.base, both), _inside(other, both), what)


def _inside(found: Expansion, window: Window) -> Counter[Fact]:
    return Counter(fact(one) for one in found.occurrences if window.meets(one.start, one.end))


def other_households(case: Case) -> None:
    """Where the household lives does not move what has a zone.

    Not asked where anything in the text is read in the household's zone.
    """
    floating = any(texts.is_floating(line) for line in case.text.split("\n"))
    if floating or "X-WR-TIMEZONE" in case.text.upper() or bounded(case.base):
        return
    low, high = case.base_window.low + 2 * DAY, case.base_window.high - 2 * DAY
    for tz in _ELSEWHERE:
        other = case.ask(case.content, tz=tz)
        if not (bounded(other) or own_rules(case.base, other) or unknown_zone(case.base)):
            here = Counter(_zoned(case.base, low, high))
            same(here, Counter(_zoned(other, low, high)), f"the household lives in {tz.key}")


def _zoned(found: Expansion, low: datetime, high: datetime) -> list[Fact]:
    return [
        (one.uid, one.identity, instant(one.start), instant(one.end), one.zone)
        for one in found.occurrences
        if isinstance(one.start, datetime)
        and one.zone
        and one.bounds(_UTC)[0] < high
        and one.bounds(_UTC)[1] > low
    ]


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


def larger_budgets(case: Case) -> None:
    """A larger budget changes nothing where none was met, and takes nothing from an event.

    Where a whole source meets its budget, more of one event may cost another.
    """
    sizes = {one.name: getattr(SMALL, one.name) for one in fields(SMALL)}
    twice: dict[str, Any] = {
        name: size * 2 for name, size in sizes.items() if isinstance(size, int)
    }
    limits = replace(SMALL, **twice)
    other = case.ask_anew([case.content], case.start, case.end, LONDON, limits)
    if not bounded(case.base):
        same(facts(case.base), facts(other), "a larger budget where none was met")
    elif not source_bounded(case.base, other):
        lost = facts(case.base) - facts(other)
        assert not lost, f"a larger budget loses {[*lost][:3]}"


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


def four_centuries_later(case: Case) -> None:
    """The calendar repeats after 400 years to the day and weekday; UTC knows nothing else."""
    if "TZ" in case.text.upper().replace("X-WR-TIMEZONE", "TZ") or case.end.year > 9_500:
        return
    later = texts.years_later(case.text, 400)
    if later is None or not case.named:
        return
    start, end = (one.replace(year=one.year + 400) for one in (case.start, case.end))
    now = case.ask(case.content, tz=_UTC)
    then = case.ask(later, tz=_UTC, start=start, end=end)
    if not bounded(now, then):
        what = "400 years later"
        same(Counter(_moved(now, 400)), Counter(_moved(then, 0)), what)
        same_problems(now, then, what)


def _moved(found: Expansion, years: int) -> list[Fact]:
    return [
        (one.uid, _add(one.start, years), _add(one.end, years), one.title, one.cancelled)
        for one in found.occurrences
    ]


def _add(moment: datetime | date, years: int) -> str:
    return instant(moment.replace(year=moment.year + years))


RELATIONS: tuple[Callable[[Case], None], ...] = (
    unfolding_is_stable,
    equal_inputs,
    line_ends_and_folds,
    case_of_names,
    case_of_words,
    order_of_lines,
    order_of_components,
    an_object_each,
    once_more,
    strangers,
    other_windows,
    other_households,
    a_good_neighbour,
    cut_anywhere,
    larger_budgets,
    digests_tell_changes,
    four_centuries_later,
)
"""All of them; each raises AssertionError where the answers do not fit together."""
