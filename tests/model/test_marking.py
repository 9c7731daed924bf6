"""What a mark may say, by kind."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.model.fields import MarkKind
from weeksync.model.marking import plain_digits, plain_figure, remedy_for

GOOD = {
    MarkKind.YES_NO: ("yes", "no", ""),
    MarkKind.COUNT: ("0", "7", "12583", "1000000", "yes", "no", ""),
    MarkKind.MINUTES: ("0", "12.5", "1440", "yes", "no", ""),
    MarkKind.HOURS: ("0", "7.5", "7.25", "24", "yes", "no", ""),
    MarkKind.SCALE: ("1", "5", ""),
}
BAD = {
    MarkKind.YES_NO: ("1", "Yes", "ja", "done"),
    MarkKind.COUNT: ("7.5", "-1", "1000001", "7,5", "7 glasses", "١", "1e3"),
    MarkKind.MINUTES: ("1441", "-5", "1:30", "nan", "inf", "9" * 400),
    MarkKind.HOURS: ("24.5", "7.", ".5", "75", "+7"),
    MarkKind.SCALE: ("0", "6", "3.5", "yes", "no"),
}


@pytest.mark.parametrize(
    ("kind", "value"), [(kind, value) for kind, values in GOOD.items() for value in values]
)
def test_values_that_fit(kind: MarkKind, value: str) -> None:
    """Figures within a day's bounds; ticks without a figure; nothing takes a mark back."""
    assert remedy_for(kind, value) is None


@pytest.mark.parametrize(
    ("kind", "value"), [(kind, value) for kind, values in BAD.items() for value in values]
)
def test_values_that_do_not(kind: MarkKind, value: str) -> None:
    """What to write instead is said."""
    assert str(remedy_for(kind, value)).startswith("write ")


@given(st.decimals(min_value=0, max_value=1440, places=2))
def test_figures_are_written_plainly(figure: Decimal) -> None:
    """The same number, with no zeros that say nothing."""
    text = plain_figure(figure)
    assert Decimal(text) == figure
    assert remedy_for(MarkKind.MINUTES, text) is None
    assert "." not in text or text[-1] not in "0."


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        ("7.5", "7.5"),
        ("\u0667\u066b\u0665", "7.5"),  # ARABIC-INDIC DIGIT SEVEN, ARABIC DECIMAL SEPARATOR
        ("\u06f1\u06f2\u060c\u06f3", "12,3"),  # EXTENDED ARABIC-INDIC, ARABIC COMMA
        ("\u0968 yes", "2 yes"),  # DEVANAGARI DIGIT TWO
        (
            "\u00b2 \u2460 \u5341",
            "\u00b2 \u2460 \u5341",
        ),  # superscript, circled, Han: no decimal digits
    ],
)
def test_typed_digits_become_ascii(typed: str, plain: str) -> None:
    """Decimal digits by the Unicode Character Database (property Nd), nothing else."""
    assert plain_digits(typed) == plain
