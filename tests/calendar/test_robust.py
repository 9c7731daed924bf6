"""What goes wrong inside one event costs that event; any bytes at all are for `fuzz`."""

from __future__ import annotations

from datetime import date
from importlib import import_module

import pytest

from tests.calendar import cases
from tests.calendar.support import LONDON, calendar, event, stored
from weeksync.calendar.entries import Entry, read_entry
from weeksync.calendar.expand import expand
from weeksync.calendar.text import ComponentText
from weeksync.calendar.tzids import Clocks

GOOD = stored(calendar(event("DTSTART:20270301T090000Z", "SUMMARY:Good", uid="good")), "good.ics")
START, END = date(2027, 2, 1), date(2027, 5, 1)


def test_what_nobody_thought_of_costs_one_event(monkeypatch: pytest.MonkeyPatch) -> None:
    """Any error inside one event becomes a problem that names it, and the next one is read."""

    def fails_once(component: ComponentText, uid: str, clocks: Clocks, source: str) -> Entry:
        if uid == "a":
            raise ArithmeticError
        return read_entry(component, uid, clocks, source)

    module = import_module("weeksync.calendar.expand")  # the package has a function of that name
    monkeypatch.setattr(module, "read_entry", fails_once)
    bad = stored(calendar(event("DTSTART:20270301T090000Z", "SUMMARY:Odd")))
    found = expand([bad, GOOD], START, END, LONDON)
    assert [one.title for one in found.occurrences] == ["Good"]
    assert str(found.problems[0]).startswith(
        'test (a.ics, line 3): "Odd" (a) cannot be read (ArithmeticError)'
    )


def test_equal_inputs_give_equal_outputs() -> None:
    """All cases in one source, twice: the same occurrences in the same order."""
    texts = [cases.read(name).content for name in cases.names()]
    objects = [stored(content, f"{at}.ics", str(at)) for at, content in enumerate(texts)]
    first = expand(objects, START, END, LONDON)
    assert first == expand(objects, START, END, LONDON)
    assert len(first.occurrences) > 100
