"""Occurrences, to-dos and problems as text of the database, and back, without any loss.

Times are kept as local time in the zone they are in, because that is what the records hold.
Text of a moment: a date `2027-03-22`; a time in the expansion's own zone
`2027-03-22T10:30:00`; in another zone of the IANA database `2027-03-22T10:30:00[Asia/Tokyo]`
(the suffix of RFC 9557); with a fixed offset `2027-03-22T10:30:00+02:00`. A `~` at the end
marks the second of two equal local times (`fold` 1, PEP 495).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields
from datetime import UTC, date, datetime, timedelta
from operator import attrgetter
from types import MappingProxyType
from typing import Any
from zoneinfo import ZoneInfo

from weeksync.message import Message
from weeksync.model.expanded import ZoneChoice
from weeksync.model.matching import Traits
from weeksync.model.occurrence import Occurrence, TodoItem
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.store.faults import Misuse
from weeksync.zones import find_zone

_OWN = ("source", "identity", "start", "end")
"""What is not shared by the occurrences of a series, or is the same for a whole expansion."""

_SHARED = tuple(one.name for one in fields(Occurrence) if one.name not in _OWN)
_DEFAULTS = [one.default for one in fields(Occurrence) if one.name not in _OWN]
_shared = attrgetter(*_SHARED)
_NOTES, _JOURNAL = _SHARED.index("notes"), _SHARED.index("journal")
_OF, _WITH = _SHARED.index("categories"), _SHARED.index("attendees")
_IN_FRONT = 3
"""How many of them stand before `start` in `Occurrence`: collection, uid, title."""

_Series = tuple[str, str, str, tuple[Any, ...]]
"""collection, uid, title, and the shared fields behind `end`."""

Fill = Callable[[Traits], dict[str, Any]]
"""Field → value for all occurrences of a series with these traits."""

_LISTS = tuple(
    index
    for index, name in enumerate(_SHARED)
    if name in {"categories", "attendees", "persons", "only_for", "also_in"}
)
_TODO = tuple(one.name for one in fields(TodoItem))
_TODO_MOMENTS = ("start", "due", "completed")
_TICK = timedelta.resolution

FIELDS = hashlib.sha256(repr((_SHARED, _DEFAULTS[_IN_FRONT:], _TODO)).encode()).hexdigest()[:16]
"""Stands for the fields of the records: rows of another weeksync's records are not read."""

_dumps = json.JSONEncoder(separators=(",", ":")).encode
_decoder = json.JSONDecoder()


def home_zone(moments: Iterable[datetime | date | None]) -> str:
    """The name of the first zone among the moments, "" where no moment has one."""
    for moment in moments:
        if isinstance(moment, datetime) and isinstance(moment.tzinfo, ZoneInfo):
            return moment.tzinfo.key
    return ""


def moment_text(moment: datetime | date, home: str) -> str:
    """The text of a moment; `home` is the zone that is not written. ValueError if naive."""
    if not isinstance(moment, datetime):
        return moment.isoformat()
    zone, fold = moment.tzinfo, "~" if moment.fold else ""
    if isinstance(zone, ZoneInfo):
        local = moment.replace(tzinfo=None).isoformat()
        return f"{local}{fold}" if zone.key == home else f"{local}[{zone.key}]{fold}"
    if zone is None:
        raise Misuse(f"{moment} has no zone")
    return f"{moment.isoformat()}{fold}"


def moment_of(text: str, home: ZoneInfo | None) -> datetime | date:
    """The moment of a text written by `moment_text`; ValueError where it is none."""
    if len(text) == 10:
        return date.fromisoformat(text)
    fold = 0
    if text[-1] == "~":
        text, fold = text[:-1], 1
    zone = home
    if text[-1] == "]":
        text, _, name = text[:-1].partition("[")
        zone = find_zone(name)
    found = datetime.fromisoformat(text)
    if found.tzinfo is not None:
        return found.replace(fold=fold)
    if zone is None:
        raise ValueError(f"{text} is in a zone that is unknown here")
    made = datetime.combine(found, found.time(), zone)  # a third of what `replace` takes
    return made.replace(fold=1) if fold else made


def occurrence_rows(
    occurrences: Iterable[Occurrence], home: str
) -> Iterator[tuple[str, str, str, str]]:
    """(what its series shares as JSON, identity, start, end) of each."""
    before: tuple[Any, ...] | None = None
    for one in occurrences:
        shared = _shared(one)
        if shared != before:
            before, values = shared, list(shared)
            while values[-1] == _DEFAULTS[len(values) - 1]:  # most end with nothing of note
                values.pop()
            text = _dumps(values)
        yield text, one.identity, moment_text(one.start, home), moment_text(one.end, home)


def occurrences_of(
    source: str,
    found: Iterable[tuple[int, int, str, str, str, str]],
    home: ZoneInfo | None,
    *,
    notes: bool = True,
    fill: Fill | None = None,
) -> Iterator[Occurrence]:
    """The occurrences that `occurrence_rows` took apart; ValueError where a row is none.

    `found` has (number of the part, of the series in it, its JSON, identity, start, end); the JSON
    of one series is read once. Without `notes` these are left empty, being most of the text; those
    of journals are there all the same. `fill` gives fields that are to have other values.
    """
    series: dict[tuple[int, int], _Series] = {}
    moments = _Moments(home)  # days and hours repeat, and looking up is faster than reading
    for part, number, shared, identity, start, end in found:
        one = series.get((part, number))
        if one is None:
            one = series[part, number] = _series_of(source, shared, fill, notes=notes)
        collection, uid, title, rest = one
        yield Occurrence(
            source, collection, uid, identity, title, moments[start], moments[end], *rest
        )


class _Moments(dict[str, datetime | date]):
    """Texts already read."""

    def __init__(self, home: ZoneInfo | None) -> None:
        super().__init__()
        self._home = home

    def __missing__(self, text: str) -> datetime | date:
        found = self[text] = moment_of(text, self._home)
        return found


def _series_of(source: str, text: str, fill: Fill | None, *, notes: bool) -> _Series:
    values: list[Any] = _loads(text)
    if not _IN_FRONT <= len(values) <= len(_SHARED):
        raise ValueError(f"{len(values)} fields instead of {len(_SHARED)}")
    values += _DEFAULTS[len(values) :]
    if not notes and not values[_JOURNAL]:  # of a journal they are all there is
        values[_NOTES] = ""
    for index in _LISTS:
        values[index] = tuple(values[index])
    if fill is not None:
        for name, value in fill((source, values[2], values[_OF], values[_WITH])).items():
            values[_SHARED.index(name)] = value
    return values[0], values[1], values[2], tuple(values[_IN_FRONT:])


def days_of(one: Occurrence) -> tuple[str, str]:
    """The first and the last day an occurrence touches, as `Occurrence.touches` has it."""
    start, end = one.start, one.end
    if isinstance(start, datetime) and isinstance(end, datetime):
        first, last = start.date(), end.date()
        if last > first:
            # By way of UTC: a day may begin at 01:00, and an end there is not yet in that day.
            last = (end.astimezone(UTC) - _TICK).astimezone(end.tzinfo).date()
        return first.isoformat(), max(first, last).isoformat()
    last_day = max(end - timedelta(days=1), start)
    return start.isoformat(), last_day.isoformat()


def moment_number(one: Occurrence) -> int:
    """What occurrences are sorted by: the day, whole days before times, then the instant."""
    start = one.start
    if not isinstance(start, datetime):
        return start.toordinal() * 2 * _ROOM
    # Of one date the instants differ as wall time less offset do.
    wall = start.hour * 3600 + start.minute * 60 + start.second
    east = start.utcoffset() or timedelta(0)
    return (start.toordinal() * 2 + 1) * _ROOM + wall + _DAY - east.days * _DAY - east.seconds


_DAY = 86_400
_ROOM = 4 * _DAY
"""Seconds that a wall time less an offset can be apart, and more."""


def todo_text(one: TodoItem, home: str) -> str:
    """A to-do as JSON."""
    values = {name: getattr(one, name) for name in _TODO}
    for name in _TODO_MOMENTS:
        if values[name] is not None:
            values[name] = moment_text(values[name], home)
    return _dumps(list(values.values()))


def todo_of(text: str, home: ZoneInfo | None) -> TodoItem:
    """The to-do that `todo_text` wrote; ValueError where the text is none."""
    values: dict[str, Any] = dict(zip(_TODO, _loads(text), strict=True))
    for name in _TODO_MOMENTS:
        if values[name] is not None:
            values[name] = moment_of(values[name], home)
    for name in ("categories", "persons"):
        values[name] = tuple(values[name])
    return TodoItem(**values)


def zones_text(zones: Iterable[ZoneChoice]) -> str:
    """By which clocks the zones of a source are read, as JSON."""
    return _dumps([[one.tzid, one.rules, one.clock, one.steps] for one in zones])


def zones_of(text: str) -> tuple[ZoneChoice, ...]:
    """The clocks that `zones_text` wrote; ValueError or TypeError if none."""
    return tuple(ZoneChoice(*one) for one in _loads(text))


def problems_text(problems: Iterable[Problem]) -> str:
    """Problems as JSON: sentences stay message and values, to be said in any language."""
    return _dumps(
        [
            {
                "kind": one.kind.value,
                "what": _message_data(one.what),
                "place": [one.place.file, one.place.line, one.place.source, one.place.object],
                "remedy": None if one.remedy is None else _message_data(one.remedy),
            }
            for one in problems
        ]
    )


def problems_of(text: str) -> tuple[Problem, ...]:
    """The problems that `problems_text` wrote; ValueError, TypeError or KeyError if none."""
    return tuple(
        Problem(
            ProblemKind(one["kind"]),
            _message_of(one["what"]),
            Place(*one["place"]),
            None if one["remedy"] is None else _message_of(one["remedy"]),
        )
        for one in _loads(text)
    )


def _message_data(one: Message) -> list[Any]:
    return [one.text, dict(one.values), one.plural, one.count]


def _message_of(data: list[Any]) -> Message:
    text, values, plural, count = data
    return Message(text, MappingProxyType(values), plural, count)


def _loads(text: str) -> Any:
    # Without the search for space around the text, which ours never has: a third faster.
    return _decoder.raw_decode(text)[0]
