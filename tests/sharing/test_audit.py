"""The audit: what is found, what stops, what is asked, and what is no alarm."""

from __future__ import annotations

import unicodedata
from typing import Literal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from weeksync.redact.audit import Hit, Piece, audit
from weeksync.redact.folding import runs
from weeksync.redact.held import Held, HeldKind

FORMS: tuple[Literal["NFC", "NFD", "NFKC", "NFKD"], ...] = ("NFC", "NFD", "NFKC", "NFKD")
CONFIG = "config.toml: people.name"


def search(
    text: str,
    held: str,
    kind: HeldKind,
    *,
    own: str = "",
    let_through: tuple[str, ...] = (),
    decided: tuple[str, ...] = (),
    seen: bool = True,
    also: str = "",
) -> tuple[Hit, ...]:
    """The hits of one string of the household, and of words written beside it, in one text."""
    strings = [Held(held, kind, CONFIG), Held(also, HeldKind.WORDS, "tasks.toml: tasks.title")]
    return audit(
        [Piece("week.html", "li", text, seen)],
        strings,
        own=[Piece("week.html", "li", own)],
        let_through=let_through,
        decided=decided,
    )


def stops(hits: tuple[Hit, ...]) -> list[bool]:
    """Of each hit whether it stops."""
    return [hit.stops for hit in hits]


letters = st.text(st.characters(categories=["Ll", "Lu"], max_codepoint=0x24F), min_size=4)
names = st.lists(letters, min_size=1, max_size=3).map(" ".join)


@given(name=names, data=st.data())
def test_a_name_is_found_however_it_is_written(name: str, data: st.DataObject) -> None:
    """In any case, composed or not, with accents lost, and with anything between its words."""
    assume(all(len(run) > 3 for run in runs(name)) and len(runs(name)) == len(name.split()))
    form = data.draw(st.sampled_from(FORMS))
    case = data.draw(st.sampled_from([str.upper, str.lower, str.title, str.swapcase]))
    between = data.draw(st.sampled_from([" ", "  ", "\u00a0", "-", "_", ", ", "\n", "\u2009", ""]))
    written = unicodedata.normalize(form, case(name)).replace(" ", between)
    if data.draw(st.booleans()):
        written = "".join(sign for sign in written if unicodedata.category(sign) != "Mn")
    assume(runs(written) and "".join(runs(written)) == "".join(runs(name)))
    assert any(stops(search(f"So: {written}!", name, HeldKind.PERSON)))


@pytest.mark.parametrize(
    "text",
    [
        "Marlowick",
        "the MARLOWICKS' week",
        "Mar\u00adlo\u200bwicks",
        "Márlowïcks",
        "M a r l o w i c k s",
        "marlowicks2027",
        "\uff2d\uff41\uff52\uff4c\uff4f\uff57\uff49\uff43\uff4b",
    ],
)
def test_the_name_of_the_household_stops(text: str) -> None:
    """Without its article, in the singular, with invisible signs, in wide letters."""
    assert any(stops(search(text, "The Marlowicks", HeldKind.PERSON)))


def test_a_name_within_a_word_is_asked_about() -> None:
    """A compound has it, and so may a word that has nothing to do with it."""
    (hit,) = search("Marlowickweek", "The Marlowicks", HeldKind.PERSON)
    assert (hit.word, hit.stops) == ("marlowick", False)
    assert stops(search("a normal day", "Norma", HeldKind.PERSON)) == [False]
    assert search("it was here", "Asher", HeldKind.PERSON) == ()


def test_short_names_are_found_as_whole_words_alone() -> None:
    """Dov is found, and neither in dovetail nor in pieces of other words."""
    assert stops(search("for Dov", "Dov", HeldKind.PERSON)) == [True]
    assert stops(search("Dov's", "Dov", HeldKind.PERSON)) == [True]
    assert search("dovetail joint, d ov", "Dov", HeldKind.PERSON) == ()
    assert stops(search("D o v", "Dov", HeldKind.PERSON)) == [True]
    assert stops(search("P-e-l-l", "Pell", HeldKind.PERSON)) == [True]


def test_names_without_spaces_between_words_are_found_inside() -> None:
    """Han and kana have no spaces: a name is found within what stands around it."""
    assert stops(search("田中さんの週", "田中", HeldKind.PERSON)) == [True]
    assert search("中田さんの週", "田中", HeldKind.PERSON) == ()


def test_a_child_called_may_is_asked_about_once() -> None:
    """The page's own words have "may": one decision, that is remembered; elsewhere it stops."""
    own = "somebody may recognise them"
    (hit,) = search(own, "May", HeldKind.PERSON, own=own)
    assert (hit.stops, hit.word) == (False, "may")
    assert search(own, "May", HeldKind.PERSON, own=own, decided=("may",)) == ()
    assert stops(search("Choir with May", "May", HeldKind.PERSON)) == [True]


def test_nothing_that_was_decided_excuses_a_name() -> None:
    """A name that stops goes on stopping, whatever stands among the harmless words."""
    assert stops(search("for Juno", "Juno", HeldKind.PERSON, decided=("juno",))) == [True]
    assert stops(search("for Juno", "Juno", HeldKind.PERSON, let_through=("for Juno",))) == [True]


def test_a_short_number_of_a_note_is_asked_about() -> None:
    """A note "10", and a time of ten o'clock."""
    (hit,) = search("10:00\u201311:00", "10", HeldKind.WORDS)
    assert (hit.stops, hit.word) == (False, "10")
    assert search("10:00", "10", HeldKind.WORDS, decided=("10",)) == ()


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("2 Ferrier Row, Saltmere Cross", [True, True, True, True]),
        ("Meeting at ferrier row", [True, True]),
        ("saltmere", [True]),
        ("SALT-MERE", [True]),
        ("In a row", []),
    ],
)
def test_a_place_stops_whole_in_part_and_by_a_proper_word(text: str, found: list[bool]) -> None:
    """The address, its street, its town; "row" has three letters and is no street by itself."""
    parts = ["2 Ferrier Row, Saltmere Cross", "2 Ferrier Row", "Saltmere Cross"]
    strings = [Held(part, HeldKind.PLACE, "calendar home: LOCATION") for part in parts]
    hits = audit([Piece("week.html", "li", text)], strings, own=(), let_through=())
    assert all(hit.stops for hit in hits)
    assert bool(hits) == bool(found)


def test_an_ordinary_word_of_a_place_does_not_stop() -> None:
    """In "Market office" no word is a name, nor is one that people write with a small letter."""
    assert (
        search("Market stall", "Market office", HeldKind.PLACE, let_through=("Market stall",)) == ()
    )
    (asked,) = search("at the harbour", "Old Harbour", HeldKind.PLACE, also="walk to the harbour")
    assert not asked.stops
    assert stops(search("Harbour", "Old Harbour", HeldKind.PLACE)) == [True]


def test_an_address_in_small_letters_makes_no_ordinary_word() -> None:
    """Whoever writes ines@saltmere.invalid has not said that Saltmere is a word."""
    for address in ("ines@saltmere.invalid", "https://saltmere.invalid/a", "saltmere.invalid"):
        hits = search("to Saltmere", "Old Saltmere", HeldKind.PLACE, also=f"Read to {address}")
        assert stops(hits) == [True]


def test_a_title_that_a_rule_let_through_is_no_alarm() -> None:
    """Exactly that string, wherever else it stands; a longer one is another."""
    through = ("Market stall",)
    assert search("Market stall", "Market stall", HeldKind.WORDS, let_through=through) == ()
    assert search("Market stall", "Market stall", HeldKind.PLACE, let_through=through) == ()
    longer = search("Market stall by Nora", "Market stall by Nora", HeldKind.WORDS)
    assert stops(longer)[0]


def test_a_whole_title_that_leaks_stops_and_a_word_of_it_is_asked_about() -> None:
    """Nothing but a fault puts a title there that no rule lets through."""
    assert stops(search("Term report", "Term report", HeldKind.WORDS))[0]
    (hit,) = search("a report", "Term report", HeldKind.WORDS)
    assert (hit.word, hit.stops) == ("report", False)
    assert search("and so to", "and so to bed", HeldKind.WORDS) == ()


@pytest.mark.parametrize(
    ("minor", "text", "found"),
    [
        ("81500", "\u00a3815.00", [True]),
        ("81500", "815,00 \u20ac", [True]),
        ("81500", "815", [False]),
        ("123450", "1\u202f234,50", [True]),
        ("123450", "1,234.50", [True]),
        ("2850", "28.50", [False]),
        ("2400", "24", []),
        ("2400", "\u00a324", [False]),
        ("2400", "GBP 24", [False]),
        ("2400", "24 o'clock", []),
        ("81500", "8:15", []),
        ("81500", "08:15\u201309:00", []),
        ("0", "0", []),
        ("81500", "\u0668\u0661\u0665\u066b\u0660\u0660", [True]),
    ],
)
def test_amounts_are_found_as_numbers(minor: str, text: str, found: list[bool]) -> None:
    """With and without fraction and grouping; five digits stop, fewer may be something else."""
    assert stops(search(text, minor, HeldKind.AMOUNT)) == found


@pytest.mark.parametrize(
    "text",
    ["01632 960 123", "(01632) 960-123", "+44 1632 960123", "tel:+441632960123", "01632.960.123"],
)
def test_telephone_numbers_are_found_as_numbers(text: str) -> None:
    """However it is grouped, and with or without the country's code.

    01632 960000 to 960999 belong to nobody: Ofcom keeps them for plays (from memory).
    """
    assert stops(search(text, "01632 960123", HeldKind.PHONE)) == [True]
    assert search("01632 960124", "01632 960123", HeldKind.PHONE) == ()


def test_an_e_mail_address_stops_even_if_it_was_let_through() -> None:
    """It is never shared."""
    mail = "nora@example.invalid"
    assert any(stops(search(f"Write to {mail}", mail, HeldKind.EMAIL, let_through=(mail,))))


def test_words_of_a_style_sheet_are_nobody_s() -> None:
    """What is not seen and the same without a household is excused; what is more is not."""
    own = "display: grid; color-scheme: light"
    assert search(own, "Light", HeldKind.PERSON, own=own, seen=False) == ()
    assert stops(search(f"{own}; Grid Nora", "Nora", HeldKind.PERSON, own=own, seen=False)) == [
        True
    ]


@given(own=st.text(), held=st.text(), kind=st.sampled_from(HeldKind))
def test_any_strings_can_be_searched(own: str, held: str, kind: HeldKind) -> None:
    """The audit never fails, and what it finds it found in the text."""
    for hit in search(own, held, kind):
        assert hit.word


def test_those_that_stop_come_first() -> None:
    """And each word is told once."""
    strings = [
        Held("report", HeldKind.WORDS, "tasks.toml: tasks.title"),
        Held("Nora", HeldKind.PERSON, CONFIG),
        Held("Nora", HeldKind.NAME, "calendar home: ATTENDEE, CN"),
    ]
    hits = audit([Piece("a", "li", "Nora's report")], strings, own=(), let_through=())
    assert [(hit.word, hit.stops) for hit in hits] == [("nora", True), ("report", False)]
