"""A household's own appointment and a calendar's event of the same rule say the same."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from pydantic import ValidationError

from tests.calendar.fuzz.case import SMALL, Case, bounded, instant
from tests.calendar.support import LONDON, calendar, event
from weeksync.calendar import from_appointments
from weeksync.calendar.values import written
from weeksync.model.files import Appointment
from weeksync.read.checked import checked

_RULE = re.compile(r"\nRRULE[^:\n]*:([^\n]*)", re.IGNORECASE)
_START = re.compile(r"\nDTSTART[^:\n]*:([^\n]*)", re.IGNORECASE)


def as_an_appointment(case: Case) -> None:
    """The text's last rule and start, once as an event and once as an appointment.

    Problems are compared by their being there: the two parts put them into other words, and
    those of an event that cannot touch the window are not looked for.
    """
    rules, begun = _RULE.findall(case.text), _START.findall(case.text)
    moment = _start(begun[-1]) if begun else None
    if not rules or not rules[-1].strip() or moment is None:
        return
    try:
        ours = checked(
            Appointment,
            {
                "id": "a",
                "title": "Same",
                "start": moment,
                "end": moment + timedelta(hours=1),
                "repeats": rules[-1].strip(),
            },
        )
    except ValidationError:
        return  # the household's files take fewer rules, and say so
    text = calendar(
        event(f"DTSTART:{_text(ours.start)}", f"DTEND:{_text(ours.end)}", f"RRULE:{ours.repeats}")
    )
    theirs = case.ask(text)
    if bounded(theirs):
        return  # the household's own appointments are not counted, only the steps to them
    found = from_appointments([ours], case.start, case.end, LONDON, SMALL)
    assert found.problems or not theirs.problems, "only the event has a problem"
    if not found.problems:
        times = [
            [(instant(one.start), instant(one.end)) for one in expansion.occurrences]
            for expansion in (found, theirs)
        ]
        assert times[0] == times[1], f"appointment {times[0][:5]}, event {times[1][:5]}"


def _text(moment: object) -> str:
    assert isinstance(moment, datetime)
    return f"{moment.year:04}{moment:%m%dT%H%M%S}"


def _start(value: str) -> datetime | None:
    try:
        moment = written(value)
    except ValueError:
        return None
    return None if moment.is_date else moment.local
