"""The corpus as it is and mutated: the reader holds what `target` asks of it.

The same mutations are drawn each time. `python -m tests.calendar.fuzz` looks longer and further.
"""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.calendar.fuzz.finds import fails_alike, failure
from tests.calendar.fuzz.minimise import minimised
from tests.calendar.fuzz.mutate import (
    CORPUS,
    EDITS,
    LONGEST_ENTRY,
    corpus,
    edited,
    entries,
    spliced,
    thrown,
    tokens,
)
from tests.calendar.fuzz.reach import arcs, covering
from tests.calendar.fuzz.target import one_input
from tests.calendar.fuzz.texts import rendered, well_formed
from weeksync.calendar.text import unfolded

ENTRIES = entries()
TEXTS = corpus()
NUMBER = st.integers(0, 1 << 16)
EDIT = st.tuples(st.sampled_from(sorted(EDITS)), NUMBER, NUMBER, NUMBER)


@st.composite
def mutated(draw: st.DrawFn) -> bytes:
    """A text of the corpus, or two of them joined, with some edits made to it."""
    data = draw(st.sampled_from(TEXTS))
    if draw(st.integers(0, 3)) == 0:
        data = spliced(data, draw(st.sampled_from(TEXTS)), draw(NUMBER), draw(NUMBER))
    return edited(data, draw(st.lists(EDIT, min_size=1, max_size=5)))


def test_the_corpus_is_there_and_small() -> None:
    """There are texts in plenty, and each of the corpus itself is shorter than 2 KB."""
    own = [path.stat().st_size for path in CORPUS.glob("*.ics")]
    assert 50 <= len(own) <= 200
    assert max(own) < LONGEST_ENTRY
    assert len(ENTRIES) > len(own) + 90


@pytest.mark.parametrize("path", ENTRIES, ids=lambda path: path.stem)
def test_as_it_is(path: Path) -> None:
    """A text that is mutated below stands all that is asked of it before it is."""
    one_input(path.read_bytes())


@settings(max_examples=1_400, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(mutated())
def test_mutations_of_the_corpus(data: bytes) -> None:
    """Texts damaged and mixed: nothing raises, nothing good is hidden, answers fit together."""
    one_input(data)


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes(data: bytes) -> None:
    """Bytes that are no calendar at all do no harm either."""
    one_input(data)


def test_the_dictionary_is_read() -> None:
    """Its words come out as bytes, escapes resolved."""
    words = tokens()
    assert {b"BEGIN:VEVENT", b"\r\n ", b"\0", b"\\", b'"', b"\xff\xfe"} <= set(words)
    assert len(set(words)) == len(words) > 100


def test_dice_repeat_themselves() -> None:
    """The same seed throws the same texts, so a desk run can be run again."""
    throws = [[thrown(TEXTS, dice) for _ in range(20)] for dice in map(random.Random, (7, 7, 8))]
    assert throws[0] == throws[1] != throws[2]


def test_a_wrong_answer_is_found_and_made_small() -> None:
    """What fails fails with the name of what was asked, and only the part that matters is kept.

    The fault is one of the check's own making: a text that holds an X is called wrong.
    """
    small = minimised(b"BEGIN:A\nX:1\nEND:A\nY\n", lambda data: b"X" in data)
    assert small == b"X"
    assert failure(TEXTS[0]) == ""
    assert fails_alike("")(TEXTS[0])


def test_rendering_and_taking_apart_are_sound() -> None:
    """The tools themselves: a folded text unfolds to itself, parts make up the whole."""
    whole = 0
    for data in TEXTS:
        text = unfolded(data)
        assert unfolded(rendered(text, b"\r\n", 5)) == text
        for one in well_formed(text) or ():
            again = well_formed(one.around(one.entries))
            assert again == [one]
            whole += 1
    assert whole > len(TEXTS) // 2


def test_a_text_that_reaches_something_new_is_chosen() -> None:
    """Of two texts that take the same steps one is enough; one that takes others is kept."""
    event = b"BEGIN:VEVENT\nUID:a\nDTSTART:20270301T090000Z\nEND:VEVENT\n"
    rule = event.replace(b"END", b"RRULE:FREQ=DAILY\nEND")
    again = rule.replace(b"UID:a", b"UID:longer")
    assert covering([event, again, rule], arcs(event), 5) == [rule]


def test_a_cut_behind_an_event_whose_end_is_missing_tells_nothing() -> None:
    """The second master lacks its END and is read up to the third; cut there, it is whole."""
    first = "UID:a@saltmere.invalid\nDTSTAMP:20261201T090000Z\n"
    one_input(
        (
            "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//weeksync tests//EN\n"
            f"BEGIN:VEVENT\n{first}DTSTART;TZID=Europe/London:20270329T090000\nDURATION:PT1H\n"
            "RRULE:FREQ=DAILY;COUNT=4\nSUMMARY:Swim\nEND:VEVENT\n"
            f"BEGIN:VEVENT\n{first}DTSTART;TZID=Europe/London:20270329T090000\n"
            f"BEGIN:VEVENT\n{first}RECURRENCE-ID;TZID=Europe/London:20270330T090000\n"
            "DTSTART;TZID=Europe/London:20270420T090000\nDURATION:PT1H\nSUMMARY:Later\n"
            "END:VEVENT\nEND:VCALENDAR\n"
        )
        .replace("\n", "\r\n")
        .encode()
    )
