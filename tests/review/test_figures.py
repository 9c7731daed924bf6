"""Rates, rank correlations and courses against published values; missing days by hypothesis.

Values marked "from memory" were recalled with their source and agree with what the formula gives.
"""

from __future__ import annotations

from math import isclose
from statistics import fmean

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.review.course import moving_average, slope, smoothed
from weeksync.review.rates import LEAST, rate, wilson
from weeksync.review.together import LEAST as ENOUGH
from weeksync.review.together import SHOWN, Together, interval, ranks, spearman, together

NEWCOMBE = [
    (81, 263, 0.2553, 0.3662),
    (15, 148, 0.0624, 0.1605),
    (0, 20, 0.0000, 0.1611),
    (1, 29, 0.0061, 0.1718),
]
"""Newcombe, Stat Med 1998;17:857-872, table I, method 3; from memory, and as the formula gives."""


@pytest.mark.parametrize(("times", "days", "low", "high"), NEWCOMBE)
def test_wilson_as_newcombe_prints_it(times: int, days: int, low: float, high: float) -> None:
    """Two-sided, 95 %."""
    assert wilson(times, days) == pytest.approx((low, high), abs=5e-5)


def test_wilson_one_sided_as_nist() -> None:
    """NIST/SEMATECH 7.2.4.1: 26 of 200, lower bound at 95 %: .0958 (from memory; the handbook's
    conclusion that it lies under 0.10 is read there)."""
    assert wilson(26, 200, level=0.90)[0] == pytest.approx(0.0958, abs=5e-5)


def test_a_perfect_week_proves_little() -> None:
    """7 of 7 leaves everything above .646 open, as the formula gives; no published source."""
    assert wilson(7, 7) == pytest.approx((0.646, 1.0), abs=5e-4)
    assert wilson(5, 7) == pytest.approx((0.359, 0.918), abs=5e-4)
    assert wilson(20, 28) == pytest.approx((0.529, 0.847), abs=5e-4)


def test_few_days_have_no_interval() -> None:
    """Under the least number there is the plain count."""
    assert rate(LEAST - 1, LEAST - 1).low is None
    assert rate(LEAST, LEAST).low is not None
    with pytest.raises(ValueError, match="3 of 2"):
        rate(3, 2)


@given(st.integers(1, 400).flatmap(lambda days: st.tuples(st.integers(0, days), st.just(days))))
def test_an_interval_holds_its_rate(of: tuple[int, int]) -> None:
    """It lies in 0 to 1 and around the rate; more days of the same rate make it narrower."""
    times, days = of
    low, high = wilson(times, days)
    assert 0 <= low <= times / days <= high <= 1
    wide = wilson(2 * times, 2 * days)
    assert wide[1] - wide[0] < high - low


IQ = [106, 100, 86, 101, 99, 103, 97, 113, 112, 110]
TELEVISION = [7, 27, 2, 50, 28, 29, 20, 12, 6, 17]
"""The usual worked example of the rank correlation; from memory, -29/165."""


def test_spearman_by_a_worked_example() -> None:
    """-29/165."""
    found = spearman(IQ, TELEVISION)
    assert found is not None
    assert isclose(found, -29 / 165)


def test_spearman_with_ties_and_without() -> None:
    """The manual of GeoGebra, command Spearman, prints -0.37 and 0.24."""
    tied = [(-3, 4), (-1, 4), (-2, 3), (1, 3), (2, 2), (1, 5)]
    assert spearman(*zip(*tied, strict=True)) == pytest.approx(-0.37, abs=0.005)
    assert spearman([3, 2, 4, 5, 1, 6, 8, 9], [5, 6, 8, 2, 1, 3, 4, 7]) == pytest.approx(
        0.24, abs=0.005
    )


def test_ranks_of_equals_are_shared() -> None:
    """Two on the second place take 2.5 each."""
    assert ranks([10, 20, 20, 5]) == [2.0, 3.5, 3.5, 1.0]


@given(st.lists(st.integers(-50, 50), min_size=3, max_size=40))
def test_ranks_add_up_and_keep_the_order(values: list[int]) -> None:
    """Whatever the ties, the places add up to n(n+1)/2."""
    found = ranks(values)
    assert isclose(sum(found), len(values) * (len(values) + 1) / 2)
    for a, b in zip(values, found, strict=True):
        for c, d in zip(values, found, strict=True):
            assert (a < c) == (b < d)


def test_nothing_that_never_changes_goes_together() -> None:
    """A row of equal marks has no order."""
    assert spearman([1, 1, 1, 1], [1, 2, 3, 4]) is None
    assert together([1.0] * 40, list(range(40))).rho is None


def test_too_few_days_say_nothing() -> None:
    """Up to 13 nothing, up to 27 points, from 28 on the figure: bounds of our own."""
    line = [float(n % 9) for n in range(60)]
    assert together(line[: SHOWN - 1], line[: SHOWN - 1]).points == ()
    shown = together(line[: ENOUGH - 1], line[: ENOUGH - 1])
    assert shown.points
    assert shown.rho is None
    assert together(line[:ENOUGH], line[:ENOUGH]).rho == pytest.approx(1.0)


def width(one: Together) -> float:
    """How wide the interval is."""
    assert one.low is not None
    assert one.high is not None
    return one.high - one.low


def test_more_pairs_widen_the_interval() -> None:
    """Bonferroni: with twenty pairs what was told by one is told no more."""
    first = [float(n * 7 % 30) for n in range(30)]
    second = [float((n * 7 + n % 4 * 6) % 30) for n in range(30)]
    one, many = together(first, second), together(first, second, pairs=20)
    assert one.rho == many.rho
    assert width(one) < width(many)


def test_an_interval_of_independent_days() -> None:
    """r = .5: n = 28 gives about .16 to .74 by Fisher's z; a rank correlation's is a bit wider."""
    low, high = interval(0.5, 28)
    assert low < 0.16 < 0.5 < 0.74 < high
    assert (low, high) == pytest.approx((0.16, 0.74), abs=0.03)


def test_days_that_resemble_the_day_before_count_for_less() -> None:
    """Two slow waves over 60 days tell less than the same values in any order."""
    slow = [float(n // 10) for n in range(60)]
    mixed = [slow[n * 7 % 60] for n in range(60)]
    noise = [float(n * 37 % 11) for n in range(60)]
    a = together(slow, [x + y / 4 for x, y in zip(slow, noise, strict=True)])
    b = together(mixed, [x + y / 4 for x, y in zip(mixed, noise, strict=True)])
    assert width(a) > width(b)


@given(
    st.lists(st.tuples(st.none() | st.integers(0, 9), st.none() | st.integers(0, 9)), max_size=80)
)
def test_missing_days_are_left_out(days: list[tuple[int | None, int | None]]) -> None:
    """A day with one of the two only changes neither the number of days nor rho."""
    first = [None if a is None else float(a) for a, _ in days]
    second = [None if b is None else float(b) for _, b in days]
    both = [(a, b) for a, b in zip(first, second, strict=True) if a is not None and b is not None]
    found = together(first, second)
    assert found.days == len(both)
    if found.rho is not None:
        assert found.rho == spearman([a for a, _ in both], [b for _, b in both])
        assert found.low is not None
        assert found.high is not None
        assert -1 <= found.low <= found.rho <= found.high <= 1


def test_moving_average_as_nist() -> None:
    """NIST/SEMATECH 6.4.2.1, MA(3) of its twelve values (from memory, and recomputed)."""
    values = [9, 8, 9, 12, 9, 12, 11, 7, 13, 9, 11, 10]
    printed = [8.667, 9.667, 10, 11, 10.667, 10, 10.333, 9.667, 11, 10]
    found = moving_average(values, 3)
    assert found[:2] == [None, None]
    assert [round(one, 3) for one in found[2:] if one is not None] == printed


def test_exponential_smoothing_as_nist() -> None:
    """NIST/SEMATECH 6.4.3.1, weight .1 (from memory, and recomputed): the errors squared add up
    to 208.82; the handbook prints 208.94 from rounded values."""
    values = [71, 70, 69, 68, 64, 65, 72, 78, 75, 75, 75, 70]
    printed = [71, 70.9, 70.71, 70.44, 69.80, 69.32, 69.58, 70.43, 70.88, 71.29, 71.67]
    found = [one for one in smoothed(values, 0.1) if one is not None]
    assert found == pytest.approx(printed, abs=0.006)
    errors = [(a - b) ** 2 for a, b in zip(values[1:], found, strict=True)]
    assert sum(errors) == pytest.approx(208.82, abs=0.01)


def test_slope_as_sen_printed_it() -> None:
    """Sen 1968, his example: 21 slopes, median 4 (from memory, and recomputed)."""
    points = list(zip([1, 2, 3, 4, 10, 12, 18], [9, 15, 19, 20, 45, 55, 78], strict=True))
    assert slope(points) == 4
    assert slope(points[:1]) is None
    assert slope([(1, 2), (1, 5)]) is None


@given(st.lists(st.none() | st.integers(0, 20), max_size=40), st.integers(1, 9))
def test_means_are_of_what_is_there(values: list[int | None], span: int) -> None:
    """Each lies between the least and the most of its span, or is not given."""
    found = moving_average(values, span)
    assert len(found) == len(values)
    for end, one in enumerate(found, 1):
        here = [x for x in values[max(0, end - span) : end] if x is not None]
        if one is not None:
            assert one == fmean(here)
