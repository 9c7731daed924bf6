"""All 39 worked examples of RFC 5545 section 3.8.5.3, through our own expansion."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.calendar.rfc_examples import Example, examples, faults
from tests.calendar.rfc_notation import parse

EXAMPLES = examples()


def test_all_examples_are_here() -> None:
    """The section has 39 examples; where it gives two rules for one set, both are tried."""
    assert {example.number for example in EXAMPLES} == set(range(1, 40))
    assert len(EXAMPLES) == 42


def test_the_notation_is_read() -> None:
    """A list with an ellipsis, a range and an open end is written out."""
    printed = parse(["(1997 9:00 AM EDT) September 2,4,6...12,14;October 1-3", "..."])
    assert [moment.day for moment, _ in printed.times] == [2, 4, 6, 8, 10, 12, 14, 1, 2, 3]
    assert printed.open


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: example.name)
def test_example(example: Example) -> None:
    """The set is what the RFC prints: no more, where the print does not go on."""
    assert faults(example) == []


def test_another_rule_is_seen() -> None:
    """A rule that gives one time more, and one that cannot be read, do not hold."""
    assert faults(replace(EXAMPLES[0], rule="FREQ=DAILY;COUNT=11")) != []
    assert faults(replace(EXAMPLES[0], rule="FREQ=SOMETIMES")) != []
