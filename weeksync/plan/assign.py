"""Whose an event is: the calendar's person and area, then the rules of `config.toml`.

Rules are read in order; every rule whose conditions all hold applies, and what a later one says
wins, key by key.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import fields, replace
from operator import attrgetter
from typing import Any, TypeVar

from weeksync.lazy import dataclass
from weeksync.model.config import CalendarSource, Config, Preparation, Rule, ids
from weeksync.model.files import Appointment
from weeksync.model.matching import Traits, condition_of, plain_traits
from weeksync.model.occurrence import Occurrence, TodoItem


@dataclass(frozen=True, slots=True)
class _Holder:
    """What calendar and rules say; None where nothing is said."""

    persons: tuple[str, ...] | None = None
    area: str | None = None
    travel_minutes: int | None = None
    away: bool | None = None
    prepare: tuple[Preparation, ...] = ()


def assign(occurrences: Iterable[Occurrence], config: Config) -> tuple[Occurrence, ...]:
    """The occurrences with persons, area, away and travel minutes filled in, in the same order.

    An appointment (source "") says itself whose it is; rules only fill what it leaves open.
    """
    look_up = _looker(config)
    return tuple(_assigned(one, look_up) for one in occurrences)


def filling(config: Config) -> Callable[[Traits], dict[str, Any]]:
    """Says what `assign` fills in for an event of a calendar: field of `Occurrence` → value.

    For a series it is asked once, before its occurrences are made.
    """
    look_up = _looker(config)

    def fill(traits: Traits) -> dict[str, Any]:
        holder = look_up(traits)
        if holder is _NOBODY:
            return {}
        said = {name: getattr(holder, name) for name in ("persons", "travel_minutes", "away")}
        return {"area": holder.area} | {name: one for name, one in said.items() if one is not None}

    return fill


def assign_todos(todos: Iterable[TodoItem], config: Config) -> tuple[TodoItem, ...]:
    """The to-dos with persons and area filled in; they have no attendees to ask about."""
    look_up = _looker(config)
    filled = []
    for todo in todos:
        holder = look_up((todo.source, todo.title, todo.categories, ()))
        persons, area = holder.persons or (), holder.area
        if (persons, area) != (todo.persons, todo.area):
            todo = replace(todo, persons=persons, area=area)
        filled.append(todo)
    return tuple(filled)


def preparing(
    config: Config, appointments: Iterable[Appointment] = ()
) -> Callable[[Occurrence], tuple[Preparation, ...]]:
    """Says what is to be done before an occurrence: as its appointment has it, or the rules.

    An appointment that says nothing itself is left to the rules, as everything else of it is.
    """
    by_hand = {one.id: one.prepare for one in appointments if one.prepare}
    if not by_hand and not any(rule.prepare for rule in config.rules):
        return lambda one: ()
    look_up = _looker(config)

    def prepare(one: Occurrence) -> tuple[Preparation, ...]:
        own = by_hand.get(one.uid, ()) if one.source == "" else ()
        return own or look_up((one.source, one.title, one.categories, one.attendees)).prepare

    return prepare


def _assigned(one: Occurrence, look_up: Callable[[Traits], _Holder]) -> Occurrence:
    holder = look_up((one.source, one.title, one.categories, one.attendees))
    if holder is _NOBODY:
        return one
    by_hand = one.source == ""
    persons = one.persons if by_hand and one.persons else holder.persons
    area = one.area if by_hand and one.area is not None else holder.area
    # Of thousands of occurrences a year `replace` would take as long as all that is read of them.
    values = list(_values(one))
    values[_PERSONS] = one.persons if persons is None else persons
    values[_AREA] = area
    values[_TRAVEL] = _first_of(holder.travel_minutes, one.travel_minutes)
    values[_AWAY] = (one.away or bool(holder.away)) if by_hand else _first_of(holder.away, one.away)
    return Occurrence(*values)


_NOBODY = _Holder()

_FIELDS = tuple(one.name for one in fields(Occurrence))
_values = attrgetter(*_FIELDS)
_PERSONS, _AREA = _FIELDS.index("persons"), _FIELDS.index("area")
_TRAVEL, _AWAY = _FIELDS.index("travel_minutes"), _FIELDS.index("away")


V = TypeVar("V")


def _first_of(said: V | None, otherwise: V) -> V:
    return otherwise if said is None else said


def _looker(config: Config) -> Callable[[Traits], _Holder]:
    """A look-up that answers each combination of traits once: a series asks it thousandfold."""
    calendars = {calendar.id: calendar for calendar in config.calendars}
    tests = [(condition_of(rule), rule) for rule in config.rules]
    known: dict[Traits, _Holder] = {}

    def look_up(traits: Traits) -> _Holder:
        found = known.get(traits)
        if found is None:
            found = _of_calendar(calendars.get(traits[0]))
            if tests:
                plain = plain_traits(traits)
                for test, rule in tests:
                    if test(plain):
                        found = _with_rule(found, rule)
            known[traits] = found = _NOBODY if found == _NOBODY else found
        return found

    return look_up


def _of_calendar(calendar: CalendarSource | None) -> _Holder:
    if calendar is None:
        return _NOBODY
    return _Holder(persons=ids(calendar.person) or None, area=calendar.area)


def _with_rule(holder: _Holder, rule: Rule) -> _Holder:
    return _Holder(
        persons=holder.persons if rule.person is None else ids(rule.person),
        area=_first_of(rule.area, holder.area),
        travel_minutes=_first_of(rule.travel_minutes, holder.travel_minutes),
        away=_first_of(rule.away, holder.away),
        prepare=rule.prepare or holder.prepare,
    )
