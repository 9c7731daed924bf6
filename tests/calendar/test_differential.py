"""Whole calendars at random, our answer against ical.js, libical, RIE and python-dateutil.

A difference passes only in a class that RFC 5545 settles (`oracles/explained.py`). The same for
more cases: `python -m tests.calendar.oracles --cases 20000 --seed 1`.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from tests.calendar.oracles.asking import COMMANDS, Oracles
from tests.calendar.oracles.drawing import questions
from tests.calendar.oracles.question import Question
from tests.calendar.oracles.tally import Tally

CASES = 2000


@pytest.fixture(scope="module")
def tally() -> Iterator[Tally]:
    """One count over all cases, with the oracles running."""
    with Oracles() as oracles:
        yield Tally(oracles)


def test_every_difference_is_explained(tally: Tally) -> None:
    """No oracle says anything else than we do, unless the RFC settles it in our favour."""

    found: list[str] = []

    # A calendar is one number here: a smaller number is no smaller calendar.
    @settings(
        max_examples=CASES,
        phases=(Phase.explicit, Phase.generate),
        suppress_health_check=(HealthCheck.too_slow,),
        database=None,
    )
    @given(questions())
    def ask(question: Question) -> None:
        found.extend(map(str, tally.ask(question)))

    ask()
    assert not found, "\n\n".join(found[:20])


def test_enough_was_asked(
    tally: Tally, pytestconfig: pytest.Config, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nine of ten cases have two or more judges, and each oracle mostly agrees outright."""
    if tally.cases == 0:
        pytest.fail("run the whole module: this counts what the test before has asked")
    with capsys.disabled():
        print(f"\n{tally.table()}")
    assert tally.cases >= CASES
    judged = sum(number for judges, number in tally.judges.items() if judges >= 2)
    assert judged >= 0.9 * tally.cases
    for name in COMMANDS:
        count = tally.counts[name]
        answered = count["asked"] - count["refused"]
        assert count["unexplained"] == 0
        assert count["agreed"] >= 0.75 * answered, name
        assert answered >= 0.3 * count["asked"], name
