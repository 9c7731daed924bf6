"""One small calendar per situation, with what is expected of it beside it.

`NAME.ics` is the text, `NAME.toml` says in a sentence what it shows and which section of RFC
5545 (or which other source) it follows, and lists what is there in the window, worked out by
hand from that section: `start/end`, marks, `@zone` where the zone matters, title. Where `why`
stands, the RFC is silent or contradicts itself and the answer is a choice of this project.
"""

from __future__ import annotations

import tomllib
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tests.calendar.support import expanded, line, todo_line
from weeksync.calendar import index_object
from weeksync.model.problem import ProblemKind
from weeksync.model.pulled import RawObject
from weeksync.zones import zone

CASES = sorted((Path(__file__).parent / "data" / "cases").glob("*.toml"))


def read(path: Path) -> tuple[dict[str, Any], bytes]:
    """A case: what is expected, and the calendar."""
    return tomllib.loads(path.read_text("utf-8")), path.with_suffix(".ics").read_bytes()


def test_there_are_cases() -> None:
    """The folder of cases was found and each text has its expectation beside it."""
    texts = {path.stem for path in CASES[0].parent.glob("*.ics")}
    assert texts == {path.stem for path in CASES}
    assert len(texts) > 60


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_case(path: Path) -> None:
    """The calendar gives what is written beside it, and says what is wrong with it."""
    case, content = read(path)
    found = expanded(content, case["start"], case["end"], zone(case["zone"]))
    wanted = case["occurrences"]
    shown = [
        line(one, zone_too="@" in text)
        for one, text in zip(found.occurrences, wanted, strict=False)
    ]
    shown += [line(one) for one in found.occurrences[len(wanted) :]]
    assert shown == wanted, case["says"]
    assert [todo_line(one) for one in found.todos] == case.get("todos", [])
    said = [str(problem) for problem in found.problems]
    assert len(said) == len(case["problems"]), said
    for part in case["problems"]:
        assert any(part in text for text in said), said


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_bounds_of_the_index_hold(path: Path) -> None:
    """No occurrence lies outside the first and last day that the index gives its UID."""
    case, content = read(path)
    indexed, _ = index_object("test", RawObject(path.name, "", content))
    groups = {group.uid: group for group in indexed.groups}
    for one in expanded(content, case["start"], case["end"], zone(case["zone"])).occurrences:
        group = groups[one.uid]
        start, end = (
            moment.date() if isinstance(moment, datetime) else moment
            for moment in (one.start, one.end)
        )
        assert group.first_day is None or group.first_day <= start
        assert group.last_day is None or group.last_day >= end


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("cut-file", "ends in the middle"),
        ("missing-end-of-an-event", "do not match"),
        ("stray-end", "do not match"),
    ],
)
def test_damage_is_said_by_the_index(name: str, said: str) -> None:
    """What is wrong with a text as a whole is found when it is indexed, and names the text."""
    content = (CASES[0].parent / f"{name}.ics").read_bytes()
    _, problems = index_object("test", RawObject("half.ics", "", content))
    assert [problem.kind for problem in problems] == [ProblemKind.OBJECT]
    assert said in str(problems[0])
    assert "half.ics" in str(problems[0])
