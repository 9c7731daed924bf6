"""The notation of a row: what each way of typing says, and what is not taken."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.model.fields import MarkKind
from weeksync.model.mark_rows import SIGNS, RowMistake, is_ticked, row_values, ticks
from weeksync.model.marking import plain_figure

WEEK = (1, 2, 3, 4, 5, 6, 7)
YES, COUNT, HOURS = MarkKind.YES_NO, MarkKind.COUNT, MarkKind.HOURS
MINUTES, SCALE = MarkKind.MINUTES, MarkKind.SCALE


def row(text: str, kind: MarkKind, asked: tuple[int, ...] = WEEK) -> str:
    """What a row says, a word for each day: a figure, yes, no, - where nothing, ~ taken back."""
    values = row_values(text, asked, kind)
    return " ".join(values.get(number, "-") or "~" for number in asked)


TICKS = {
    "1457": "yes - - yes yes - yes",
    "7": "- - - - - - yes",
    "1, 4": "yes - - yes - - -",
    "*": "yes yes yes yes yes yes yes",
    "*36": "yes yes - yes yes - yes",
    "145/36": "yes - no yes yes no -",
    "*/3": "yes yes no yes yes yes yes",
    "*6/3": "yes yes no yes yes - yes",
    "/1234567": "no no no no no no no",
    "145~2": "yes ~ - yes yes - -",
    "~2": "- ~ - - - - -",
    "x14": "yes - - yes - - -",
}


@pytest.mark.parametrize(("typed", "said"), TICKS.items())
def test_ticks_are_named_by_their_numbers(typed: str, said: str) -> None:
    """Left out is left as it is; * is every box that is due."""
    assert row(typed, YES) == said


@pytest.mark.parametrize(
    ("typed", "kind", "said"),
    [
        ("\u0661\u0664\u0665/\u0663", YES, "yes - no yes yes - -"),  # Arabic-Indic
        ("x\u06f1\u06f4", COUNT, "yes - - yes - - -"),  # extended, as in Persian
        ("\u096d\u096d\u096e\u096e\u096c\u096c\u096d", COUNT, "7 7 8 8 6 6 7"),  # Devanagari
        ("\u09ed 7,5 \u0667\u066b\u0665 -", HOURS, "7 7.5 7.5 - - - -"),  # Bengali and mixed
    ],
)
def test_digits_of_any_script_are_understood(typed: str, kind: MarkKind, said: str) -> None:
    """What the keyboard of a household gives is a figure; what is kept is ASCII."""
    assert row(typed, kind) == said


def test_boxes_that_are_not_due_are_none() -> None:
    """A slip is told with the boxes there are; * leaves them out."""
    assert row("*", YES, (1, 3)) == "yes yes"
    with pytest.raises(RowMistake, match="2 is no box here; there are 1, 3"):
        row("12", YES, (1, 3))


def test_of_more_than_nine_boxes_the_numbers_stand_apart() -> None:
    """With blanks or commas between."""
    asked = tuple(range(1, 13))
    assert ticks("1 12,3/10", asked) == {1: "yes", 12: "yes", 3: "yes", 10: "no"}
    with pytest.raises(RowMistake, match="112 is no box"):
        ticks("112", asked)


FIGURES = [
    (COUNT, "7 8 - 6", "7 8 - 6 - - -"),
    (COUNT, "7778867", "7 7 7 8 8 6 7"),
    (COUNT, "10 = 12 - 8", "10 10 12 - 8 - -"),
    (COUNT, "10=12-8", None),
    (COUNT, "1-2-3-45", None),
    (COUNT, "20==", "20 20 20 20 20 20 20"),
    (COUNT, "5 - 20==", "5 - 20 20 20 20 20"),
    (COUNT, "-- 20==", "- - 20 20 20 20 20"),
    (COUNT, "28907169549872*100", "2800 9000 7100 6900 5400 9800 7200"),
    (COUNT, "28 90 71 *100", "2800 9000 7100 - - - -"),
    (COUNT, "05--10101515", "5 - - 10 10 15 15"),
    (COUNT, "0 x ~", "0 yes ~ - - - -"),
    (COUNT, "x*", "yes yes yes yes yes yes yes"),
    (COUNT, "x13/2", "yes no yes - - - -"),
    (MINUTES, "45103030209060", "45 10 30 30 20 90 60"),
    (HOURS, "7+76+7766+", "7.5 7 6.5 7 7 6 6.5"),
    (HOURS, "7.5 7 6,5", "7.5 7 6.5 - - - -"),
    (HOURS, "7+ 10+ 07 7.50", "7.5 10.5 7 7.5 - - -"),
    (SCALE, "4434454", "4 4 3 4 4 5 4"),
    (SCALE, "44-3", "4 4 - 3 - - -"),
    (SCALE, "4==", "4 4 4 4 4 4 4"),
    (SCALE, "4 3", "4 3 - - - - -"),
]


@pytest.mark.parametrize(("kind", "typed", "said"), FIGURES)
def test_figures_stand_in_the_order_of_the_days(
    kind: MarkKind, typed: str, said: str | None
) -> None:
    """With blanks each as it stands; without them the row is full, and all have one length."""
    if said is None:
        with pytest.raises(RowMistake, match="put blanks between"):
            row(typed, kind)
    else:
        assert row(typed, kind) == said


MISTAKES = [
    (YES, "yes"),
    (YES, "0"),
    (YES, "8"),
    (YES, "11"),
    (YES, "1/1"),
    (YES, "1-3"),
    (YES, "²"),
    (COUNT, "7777"),
    (COUNT, "1 2 3 4 5 6 7 8"),
    (COUNT, "= 7"),
    (COUNT, "=="),
    (COUNT, "7 == 8"),
    (COUNT, "7 glasses"),
    (COUNT, "7.5 8"),
    (COUNT, "7+ 8"),
    (COUNT, "*100"),
    (COUNT, "x8"),
    (HOURS, "25 7"),
    (HOURS, "7.57"),
    (MINUTES, "2000 1"),
    (MINUTES, "20 1 *1000"),
    (SCALE, "46"),
    (SCALE, "x*"),
    (SCALE, "4x"),
]


@pytest.mark.parametrize(("kind", "typed"), MISTAKES)
def test_what_is_no_row_is_not_guessed_at(kind: MarkKind, typed: str) -> None:
    """Nothing of it is taken."""
    with pytest.raises(RowMistake):
        row(typed, kind)


def test_which_rows_are_ticks() -> None:
    """In a row of figures an empty box says nothing; among ticks it may."""
    assert is_ticked("1457", YES)
    assert is_ticked("x*", MINUTES)
    assert not is_ticked("x 30", MINUTES)
    assert not is_ticked("30==", MINUTES)


def test_the_notation_fits_on_a_screen() -> None:
    """Of 24 lines and 80 columns."""
    assert len(SIGNS) < 24
    assert all(len(str(one)) <= 80 for one in SIGNS)


CELLS = st.lists(st.one_of(st.integers(0, 99_999), st.none()), min_size=1, max_size=7)


def meant(cells: list[int | None]) -> dict[int, str]:
    """What the cells say, by column."""
    return {at: str(cell) for at, cell in enumerate(cells, 1) if cell is not None}


@given(CELLS)
def test_figures_apart_read_as_they_stand(cells: list[int | None]) -> None:
    """Whatever their lengths, and wherever a box is empty."""
    asked = tuple(range(1, len(cells) + 1))
    typed = " ".join("-" if cell is None else str(cell) for cell in cells)
    assert row_values(typed, asked, COUNT) == meant(cells)


@given(CELLS)
def test_figures_joined_read_as_meant_or_not_at_all(cells: list[int | None]) -> None:
    """A full row always; with empty boxes not where it could as well be other figures."""
    asked = tuple(range(1, len(cells) + 1))
    width = max(len(str(cell)) for cell in cells if cell is not None) if any(cells) else 1
    typed = "".join("-" if cell is None else str(cell).zfill(width) for cell in cells)
    try:
        found = row_values(typed, asked, COUNT)
    except RowMistake:
        assert None in cells
    else:
        assert found == meant(cells)


@given(st.lists(st.integers(0, 47), min_size=7, max_size=7))
def test_any_row_of_halves_reads_as_it_was_meant(halves: list[int]) -> None:
    """A plus sign for a half."""
    text = " ".join(f"{one // 2}{'+' if one % 2 else ''}" for one in halves)
    wanted = {at: plain_figure(Decimal(one) / 2) for at, one in enumerate(halves, 1)}
    assert row_values(text, WEEK, HOURS) == wanted


@given(st.text(alphabet="0123456789 -=~x*/+.,", max_size=20), st.sampled_from(list(MarkKind)))
def test_whatever_is_typed_is_a_row_or_a_mistake(text: str, kind: MarkKind) -> None:
    """And what it says lies in the boxes there are."""
    try:
        values = row_values(text, (1, 2, 4), kind)
    except RowMistake:
        return
    assert set(values) <= {1, 2, 4}
