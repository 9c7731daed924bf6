"""Text is measured in the fonts that ship, and broken so that nothing of it is lost."""

from __future__ import annotations

import unicodedata
from importlib import resources
from io import BytesIO

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from weeksync.paper import fonts
from weeksync.paper.fonts import FAMILIES, font_bytes
from weeksync.paper.plain import plain_lines
from weeksync.paper.sheet import MM_PER_PT
from weeksync.paper.text import SAFETY, UNKNOWN_EM, Measure, families_of

MEASURE = Measure()
WEEK_IN_ARABIC = "الأسبوع الثاني عشر"


def advance_mm(text: str, size_pt: float, family: str = FAMILIES[0]) -> float:
    """The sum of the advances of a text's characters, as the font's own table has them."""
    font = TTFont(BytesIO(font_bytes(family, bold=False)))
    glyphs, names = font["hmtx"], font.getBestCmap()
    units: int = sum(glyphs[names[ord(one)]][0] for one in text)
    return float(units / font["head"].unitsPerEm * size_pt * MM_PER_PT)


def test_the_fonts_may_be_shipped_and_embedded() -> None:
    """Their licence is the OFL 1.1, which lies beside them, and no bit forbids embedding."""
    text = (resources.files(fonts) / "OFL.txt").read_text()
    assert "SIL OPEN FONT LICENSE Version 1.1" in text
    assert "PERMISSION & CONDITIONS" in text
    for family in FAMILIES:
        for bold in (False, True):
            font = TTFont(BytesIO(font_bytes(family, bold=bold)))
            assert "SIL Open Font License" in font["name"].getDebugName(13)
            assert font["OS/2"].fsType == 0  # OpenType, table OS/2: installable embedding


def test_every_font_has_a_space() -> None:
    """A space after an arrow may be set in the arrow's font: without one, a box is printed."""
    for family in FAMILIES:
        for bold in (False, True):
            assert 0x20 in TTFont(BytesIO(font_bytes(family, bold=bold))).getBestCmap(), family


@pytest.mark.parametrize("text", ["0123456789", "nnnn", "HHHH"])
def test_a_width_is_that_of_the_fonts_own_table(text: str) -> None:
    """Letters that are not kerned measure as their advances say, and a hundredth more."""
    wanted = advance_mm(text, 9) * SAFETY
    assert MEASURE.width_mm(text, 9) == pytest.approx(wanted, abs=1e-6)
    assert MEASURE.width_mm(text, 18) == pytest.approx(2 * wanted, abs=1e-6)


def test_arabic_is_measured_joined() -> None:
    """Letters that join are not as wide as the same letters one by one."""
    alone = sum(MEASURE.width_mm(one, 9) for one in WEEK_IN_ARABIC if one != " ")
    joined = sum(MEASURE.width_mm(word, 9) for word in WEEK_IN_ARABIC.split())
    assert 0.5 * alone < joined < 0.95 * alone


def test_every_sign_of_the_catalogues_languages_has_a_font() -> None:
    """English, German and Arabic need no other font, and neither do Greek and Cyrillic."""
    for text in (
        "Spaß, Öl – „so“ … € → −5",
        WEEK_IN_ARABIC + " ٠١٢٣٤٥٦٧٨٩ ، ؟",
        "Ελλάδα",
        "Неделя",
        "שבוע",
    ):
        families = families_of([text])
        known = set()
        for family in families:
            known |= set(TTFont(BytesIO(font_bytes(family, bold=False))).getBestCmap())
        assert {one for one in text if ord(one) not in known} == set()


def test_what_no_font_has_is_given_room() -> None:
    """A sign that another font of the machine will draw counts as wider than an em."""
    em = 9 * MM_PER_PT
    assert MEASURE.width_mm("漢", 9) == pytest.approx(UNKNOWN_EM * em * SAFETY)


@settings(max_examples=60)
@given(
    st.text(
        st.characters(codec="utf-8", categories=("L", "N", "P", "Zs"))
        | st.sampled_from(" -–/\u00a0"),
        max_size=120,
    ),
    st.floats(12, 60),
    st.booleans(),
)
def test_breaking_loses_nothing_and_every_line_fits(text: str, width: float, bold: bool) -> None:
    """All that is no white stands in the lines, in order; only a single letter may be too wide."""
    lines = MEASURE.lines(text, 9, width, bold=bold)
    assert _letters("".join(lines)) == _letters(text)
    for line in lines:
        assert len(line) == 1 or MEASURE.fits(line, 9, width, bold=bold)


def _letters(text: str) -> str:
    return "".join(one for one in text if not one.isspace() and unicodedata.category(one) != "Cf")


def test_a_no_break_space_holds_together() -> None:
    """A number and its unit go to the next line together."""
    lines = MEASURE.lines(
        "Piano lesson 45\u00a0min", 9, MEASURE.width_mm("Piano lesson 45", 9) + 0.1
    )
    assert lines == ("Piano lesson", "45\u00a0min")


def test_words_break_after_dashes_and_where_they_must() -> None:
    """After a dash or a slash; a word that is wider than a line is broken where it ends."""
    assert MEASURE.lines("town-hall", 9, MEASURE.width_mm("town-", 9) + 0.2) == ("town-", "hall")
    long = "Rindfleischetikettierungsaufgabe"
    lines = MEASURE.lines(long, 9, 20)
    assert len(lines) > 1
    assert "".join(lines) == long


def test_only_who_asks_for_it_gets_an_ellipsis() -> None:
    """With a greatest number of lines the last one ends in one, and still fits."""
    lines = MEASURE.lines("one two three four five six", 9, 16, most=2)
    assert len(lines) == 2
    assert lines[-1].endswith("…")
    assert all(MEASURE.fits(line, 9, 16) for line in lines)


def test_an_isolate_that_is_broken_is_closed_and_opened_again() -> None:
    """Each line is laid out for itself (Unicode Standard Annex 9): none leaves one open."""
    for line in MEASURE.lines("\u2068Market stall by the quay\u2069، الساعة", 9, 22):
        assert line.count("\u2068") == line.count("\u2069")


def test_markdown_becomes_plain_lines() -> None:
    """Emphasis, links and headings leave their words, lists a dash."""
    lines = plain_lines(
        "# Soon\n\n- by the **10:42**\n* [the quay](https://example.org)\nsnake_case `x`"
    )
    assert lines == ("Soon", "– by the 10:42", "– the quay", "snake_case x")
