"""Places of problems, as people read them."""

from __future__ import annotations

import pytest

from weeksync.language import Language
from weeksync.message import message
from weeksync.model.problem import Place, Problem, ProblemKind


@pytest.mark.parametrize(
    ("place", "text"),
    [
        (Place(), ""),
        (Place(file="tasks.toml"), "tasks.toml"),
        (Place(file="tasks.toml", line=14), "tasks.toml:14"),
        (Place(source="school"), "school"),
        (Place(source="school", object="export.ics"), "school"),
        (Place(source="school", object="export.ics", line=1203), "school (export.ics, line 1203)"),
        (Place(source="school", object="{line}.ics", line=1), "school ({line}.ics, line 1)"),
    ],
)
def test_places(place: Place, text: str) -> None:
    """A file with its line; a source, with object and line where both are known."""
    assert str(place) == text
    assert Language("en_GB").text(place.text()) == text


def test_a_problem_on_one_line() -> None:
    """Place, sentence, remedy."""
    place = Place(source="school", object="export.ics", line=3)
    problem = Problem(ProblemKind.OBJECT, message("it is odd"), place, message("mend it"))
    assert str(problem) == "school (export.ics, line 3): it is odd; mend it"
