"""Fields for when something is: the day and the hours of an appointment, the hours of a routine."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from typing import Any

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.fields import parse_hours
from weeksync.site.record import FormField
from weeksync.workflow.edit_codecs import Codec, Values, clock_text, read_clock, read_day
from weeksync.workflow.edit_words import EditWords, Given, Slip

DAY, FROM, LAST, UNTIL = "day", "from", "last_day", "until"
"""The fields of `Moment`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment(Codec):
    """`start` and `end` of an appointment: a day, and the times or none for the whole day.

    In the file `end` is the first moment, or day, that no longer belongs to it; people say the
    last day that does.
    """

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        day, begins, last, ends = _shown(record) if record is not None else ("", "", "", "")
        whole = words.say(message("Without it, the whole day."))
        later = words.say(message("Where it is not over on the same day."))
        return (
            _field(words, "date", DAY, day, message("Day"), required=True),
            _field(words, "date", LAST, last, message("Last day"), hint=later),
            _field(words, "time", FROM, begins, message("From"), hint=whole),
            _field(words, "time", UNTIL, ends, message("Until")),
        )

    def _read(self, words: EditWords, given: Given) -> Values:
        day, last = read_day(given, DAY), read_day(given, LAST)
        begins, ends = read_clock(given, FROM), read_clock(given, UNTIL)
        if day is None:
            raise Slip(DAY, message("there is no date here yet"), message("choose a day"))
        if last is not None and last < day:
            raise Slip(
                LAST,
                message("the last day lies before the first"),
                message("choose the same day or a later one"),
            )
        if begins is None:
            return _whole_days(day, last, ends)
        start = datetime.combine(day, begins)
        if ends is None:
            return self._open_end(start, last, given)
        until = last or day
        if last is None and ends <= begins:
            until = day + timedelta(days=1)  # over midnight
        return {"start": start, "end": datetime.combine(until, ends)}

    def _open_end(self, start: datetime, last: date | None, given: Given) -> Values:
        if last is not None and last != start.date():
            raise Slip(
                UNTIL,
                message("a last day is given, and no time at which it ends"),
                message("give the time, or empty the last day"),
            )
        return {"start": start, "end": None}


def _field(
    words: EditWords, kind: str, name: str, value: str, label: Any, **more: Any
) -> FormField:
    values = (value,) if value else ()
    return FormField(kind, name, words.say(label), values, narrow=True, **more)


def _shown(record: Any) -> tuple[str, str, str, str]:
    """(day, from, last day, until) as the fields have them."""
    start, end = record.start, record.end
    if not isinstance(start, datetime):
        last = end - timedelta(days=1) if end is not None else start
        return start.isoformat(), "", last.isoformat() if last != start else "", ""
    day, begins = start.date(), clock_text(start.time())
    if end is None:
        return day.isoformat(), begins, "", ""
    ends = end.time()
    usual = day if ends > start.time() else day + timedelta(days=1)
    last = "" if end.date() == usual else end.date().isoformat()
    return day.isoformat(), begins, last, clock_text(ends)


def _whole_days(day: date, last: date | None, ends: time | None) -> Values:
    if ends is not None:
        raise Slip(
            FROM,
            message("it has a time at which it ends, and none at which it begins"),
            message("give both, or neither for the whole day"),
        )
    end = last + timedelta(days=1) if last is not None and last != day else None
    return {"start": day, "end": end}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours(Codec):
    """`hours` of a routine: from and until, over midnight where the end is not later."""

    def _fields(self, words: EditWords, record: Any, rows: int) -> tuple[FormField, ...]:
        held = parse_hours(self.value(record) or "")
        begins, ends = (_clock(one) for one in held) if held is not None else ("", "")
        return (
            _field(words, "time", FROM, begins, message("From"), required=True),
            _field(words, "time", UNTIL, ends, message("Until"), required=True),
        )

    def _read(self, words: EditWords, given: Given) -> Values:
        begins, ends = read_clock(given, FROM), read_clock(given, UNTIL)
        for name, clock in ((FROM, begins), (UNTIL, ends)):
            if clock is None:
                raise Slip(name, message("there is no time here yet"), message("choose one"))
        return {self.key: f"{begins:%H:%M}-{ends:%H:%M}"}


def _clock(minutes: int) -> str:
    return f"{minutes // 60 % 24:02}:{minutes % 60:02}"
