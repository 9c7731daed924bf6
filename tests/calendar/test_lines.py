"""Bytes to characters, characters to properties: what has no calendar of its own to show it."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.calendar.encoding import as_utf8, decoded
from weeksync.calendar.lines import LONGEST, read_lines, unescaped

NAMES = frozenset({"SUMMARY", "DESCRIPTION", "RRULE", "EXDATE", "DTSTART"})


@given(st.text(st.characters(codec="utf-8", exclude_characters="\ufeff")))
def test_utf_8_is_read_as_such(text: str) -> None:
    """What is UTF-8 stays what it is, in UTF-16 too."""
    assert decoded(as_utf8(text.encode())) == text
    assert decoded(as_utf8(("BEGIN" + text).encode("utf-16"))) == "BEGIN" + text


@given(st.binary(max_size=200))
def test_every_byte_is_some_character(content: bytes) -> None:
    """Nothing raises, nothing is dropped but marks, and ASCII is never touched."""
    text = decoded(content)
    assert [one for one in text if one.isascii()] == [chr(one) for one in content if one < 128]
    assert decoded(content.decode("latin-1").encode()) == content.decode("latin-1")


def test_single_bytes_are_those_of_windows_1252() -> None:
    """As the Encoding Standard has them; the five that Windows-1252 leaves out are controls."""
    assert decoded(b"\x80 \x85 \x93\xe9\x94") == "€ … “é”"
    assert [ord(one) for one in decoded(b"\x81 \x8d \x8f \x90 \x9d")[::2]] == [
        0x81, 0x8D, 0x8F, 0x90, 0x9D,
    ]  # fmt: skip


@pytest.mark.parametrize("odd", [b"\xff", b"\xe9 ", b"\xc3\xa9\xff"])
def test_megabytes_of_odd_bytes_take_no_longer_than_they_should(odd: bytes) -> None:
    """Five megabytes of bytes that are no UTF-8 are read in a few seconds at most."""
    begun = time.process_time()
    text = decoded(odd * (5_000_000 // len(odd)))
    assert time.process_time() - begun < 5
    assert len(text) >= 3_000_000


def test_a_text_that_never_ends_is_cut() -> None:
    """A hundred thousand lines that are no properties: what can be shown is kept, at once."""
    begun = time.process_time()
    found = read_lines("\nDESCRIPTION:a" + "\nwords" * 100_000, NAMES)
    assert time.process_time() - begun < 2
    (line,) = found["DESCRIPTION"]
    assert LONGEST < len(line.value) < LONGEST + 10
    assert unescaped(line.value).endswith("…")


@pytest.mark.parametrize(
    "after",
    [
        "DTEND:20270301",
        "X-ODD;A=b:c",
        "DRESSCODE:CASUAL",
        "dtend:20270301",
        "END:VALARM",
        "COLOR:red",
    ],
)
def test_what_is_a_property_is_never_part_of_a_text(after: str) -> None:
    """Known names in any case, extensions, and what has the form of a property."""
    found = read_lines(f"\nSUMMARY:a\n{after}\nwords", NAMES)
    assert [line.value for line in found["SUMMARY"]] == ["a"]


@pytest.mark.parametrize(
    "after",
    ["Note: bring shoes", "https://saltmere.invalid/", "10:30 start", "WARNING: wet paint", "-"],
)
def test_what_is_a_sentence_is_part_of_it(after: str) -> None:
    """A colon alone makes no property."""
    found = read_lines(f"\nSUMMARY:a\n{after}", NAMES)
    assert [line.value for line in found["SUMMARY"]] == [f"a\n{after}"]


def test_lists_go_on_only_where_they_were_broken_off() -> None:
    """A rule that is whole stays as it is, whatever stands below it."""
    found = read_lines("\nRRULE:FREQ=DAILY\nTU\nEXDATE:20270301,\n20270302\n20270303", NAMES)
    assert [line.value for line in found["RRULE"]] == ["FREQ=DAILY"]
    assert [line.value for line in found["EXDATE"]] == ["20270301,20270302"]
