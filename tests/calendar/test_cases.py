"""Every case gives what is written beside it; `cases` says how they are written."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

import pytest

from tests.calendar import cases
from weeksync.calendar import index_object
from weeksync.calendar.expand import expand
from weeksync.model.pulled import RawObject

NAMES = cases.names()


def test_there_are_cases() -> None:
    """The folder of cases was found, and each text has its expectation beside it."""
    texts = {path.name for path in cases.FOLDER.glob("*.ics")}
    assert texts == {one.name for name in NAMES for one in cases.read(name).objects}
    assert len(NAMES) > 250


@pytest.mark.parametrize("name", NAMES)
def test_case(name: str) -> None:
    """The calendar gives what is written beside it, and says what is wrong with it."""
    assert cases.faults(cases.read(name)) == []


@pytest.mark.parametrize("name", NAMES)
def test_bounds_of_the_index_hold(name: str) -> None:
    """No occurrence lies outside the first and last day that the index gives its UID."""
    case = cases.read(name)
    for source in {one.source for one in case.objects}:
        objects = [one for one in case.objects if one.source == source]
        bounds: dict[tuple[str, str], list[tuple[object, object]]] = {}
        for one in objects:
            indexed, _ = index_object(source, RawObject(one.name, "", one.content))
            for group in indexed.groups:
                days = bounds.setdefault((one.collection, group.uid), [])
                days.append((group.first_day, group.last_day))
        for found in expand(objects, case.start, case.end, case.tz).occurrences:
            start, end = (
                moment.date() if isinstance(moment, datetime) else moment
                for moment in (found.start, found.end)
            )
            assert any(
                (first is None or first <= start) and (last is None or last >= end)  # type: ignore[operator]
                for first, last in bounds[found.collection, found.uid]
            )


def test_a_case_that_does_not_hold_is_seen() -> None:
    """A changed time, a missing problem and a changed detail are each a fault."""
    case = cases.read("unknown-zone")
    assert cases.faults(case) == []
    changes: tuple[dict[str, Any], ...] = (
        {"occurrences": [case.occurrences[0].replace("08:00Z", "09:00Z"), *case.occurrences[1:]]},
        {"problems": []},
        {"problems": ["something else"]},
        {"todos": ["-/- One"]},
        {"details": [{"at": 0, "place": "Hall"}]},
    )
    for change in changes:
        assert len(cases.faults(replace(case, **change))) == 1
