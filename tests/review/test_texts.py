"""Finding words whatever their accents and capitals, and who may find what."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.model.archive import ClosedWeek
from weeksync.model.spread import Spread
from weeksync.model.year import TextKind
from weeksync.plan import views
from weeksync.read.archive import parse_closed
from weeksync.review.texts import fold, has_all, texts_of, visible, words_of

RECORD = Path(__file__).parents[1] / "read" / "data" / "closed-week-1.json"


@pytest.fixture(scope="module")
def spread() -> Spread:
    """The closed week of the demo household that must load for ever."""
    closed = parse_closed("archive/2027-W11.json", RECORD.read_bytes())
    assert isinstance(closed, ClosedWeek)
    return closed.spread


@pytest.mark.parametrize(
    ("written", "typed"),
    [
        ("Café", "cafe"),
        ("CRÊPE pan", "crepe"),
        ("Straße", "STRASSE"),
        ("Łódź", "lodz"),
        ("Smørrebrød", "smorrebrod"),
        ("İstanbul", "istanbul"),
        ("ΟΔΟΣ", "οδος"),
        ("ﬁnish", "finish"),
        ("سَلَام", "سلام"),
        ("שָׁלוֹם", "שלום"),
    ],
)
def test_accents_and_capitals_make_no_difference(written: str, typed: str) -> None:
    """As people type on a tablet; the pairs are ours."""
    assert fold(written) == fold(typed) or fold(typed) in fold(written)


def test_signs_that_are_letters_to_their_readers_stay() -> None:
    """The vowels of Devanagari and the voicing of Kana tell words apart."""
    assert fold("कि") != fold("कु")
    assert fold("か") != fold("が")


@given(st.text())
def test_folding_twice_changes_nothing(text: str) -> None:
    """So that indexes and queries can be folded by whoever has them."""
    assert fold(fold(text)) == fold(text)


@given(st.text(), st.text(), st.text())
def test_a_text_is_found_by_each_of_its_own_words(before: str, word: str, after: str) -> None:
    """Whatever stands before and after it."""
    assert has_all(fold(f"{before} {word} {after}"), words_of(word))


def test_what_everybody_finds_is_what_common_pages_show(spread: Spread) -> None:
    """The common texts of the whole week are the titles of its common view; no note is common."""
    common = {one[:2] for one in texts_of(spread) if one.common}
    shown = {one[:2] for one in texts_of(views.common(spread)) if one.kind is not TextKind.NOTE}
    assert common == shown
    assert not any(one.common for one in texts_of(spread) if one.kind is TextKind.NOTE)
    said = " ".join(text for _, text in common)
    assert "Takings of the stall" in said
    assert "letter drawer" not in said
    assert "narrowboat" not in said


@pytest.mark.parametrize("person", ["ines", "dov", "pell"])
def test_nobody_finds_what_is_only_for_another(spread: Spread, person: str) -> None:
    """What somebody finds beside the common texts stands on their own pages."""
    theirs = {one[:2] for one in texts_of(views.for_person(spread, person))}
    found = {one[:2] for one in texts_of(spread) if visible(one, person) and not visible(one, None)}
    assert found <= theirs
    assert any("narrowboat" in text for _, text in found)  # the note of the week
    drawer = any("letter drawer" in text for _, text in found)
    assert drawer is (person == "ines")


def test_no_word_of_a_check_in_is_found(spread: Spread) -> None:
    """They are health data: found by their day alone."""
    words = [day.check_ins for day in spread.days if day.check_ins]
    assert words
    said = " ".join(one.text for one in texts_of(spread))
    assert "a little flat" not in said
