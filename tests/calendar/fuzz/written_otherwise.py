"""Relations: what a text must say when it is written otherwise (RFC 5545 sections 2 and 3.1)."""

from __future__ import annotations

from tests.calendar.fuzz import texts
from tests.calendar.fuzz.case import Case, bounded, facts, same, same_problems
from weeksync.calendar import Expansion
from weeksync.calendar.text import unfolded


def unfolding_is_stable(case: Case) -> None:
    """What is unfolded has nothing left to unfold."""
    assert unfolded(case.text.encode()) == case.text, "unfolding twice gives something else"


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
