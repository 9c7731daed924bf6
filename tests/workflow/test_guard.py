"""A calendar is never emptied without a question."""

from __future__ import annotations

from datetime import date

import pytest

from weeksync.model.problem import ProblemKind
from weeksync.model.pulled import UidGroup
from weeksync.workflow.guard import question

TODAY = date(2027, 3, 24)


def groups(past: int, ahead: int) -> list[UidGroup]:
    """That many UIDs of the past and of the future."""
    old = date(2027, 1, 1)
    return [UidGroup(f"past{n}", "", old, old) for n in range(past)] + [
        UidGroup(f"ahead{n}", "", old, None if n % 2 else date(2027, 5, 1)) for n in range(ahead)
    ]


@pytest.mark.parametrize(
    ("before", "after", "asked"),
    [
        ((0, 0), (0, 0), False),
        ((1, 0), (0, 0), True),
        ((5, 20), (0, 0), True),
        ((5, 20), (5, 2), True),
        ((5, 20), (5, 3), False),
        ((50, 1), (50, 0), False),
        ((50, 2), (50, 0), True),
        ((50, 2), (50, 1), False),
        ((50, 9), (50, 1), False),
        ((50, 9), (50, 0), True),
        ((50, 10), (50, 1), True),
        ((0, 0), (5, 5), False),
    ],
)
def test_question_is_asked_when_nearly_all_is_gone(
    before: tuple[int, int], after: tuple[int, int], asked: bool
) -> None:
    """Empty, or nine tenths of the future entries lost: held back."""
    problem = question("family", "Family", groups(*before), groups(*after), TODAY)
    assert (problem is not None) is asked
    if problem is not None:
        assert problem.kind is ProblemKind.QUESTION
        assert "weeksync pull --accept family" in str(problem)
        assert "Family" in str(problem)
