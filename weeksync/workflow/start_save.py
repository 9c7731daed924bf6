"""What is answered on the first evening, and later when something is added: checked, and written.

Terminal and page bring the same answers here. Each call writes all of its answers or none, and
gives back why not: for each mistake the answer it is in (from 0) and the key it is about.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from datetime import date

from weeksync.household.config_edits import (
    TextEdit,
    add_entry,
    change_entry,
    drop_entry,
    named_anywhere,
    save,
    set_top,
    set_values,
    with_id,
)
from weeksync.household.listing import CONFIG
from weeksync.household.new import area_named, one_more, rename_in_examples
from weeksync.household.new_password import password_name, write_password
from weeksync.household.toml_edits import Value
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import Area, CalendarSource, Person
from weeksync.model.fields import Weekday
from weeksync.read.plain import to_plain
from weeksync.workflow.context import Context
from weeksync.workflow.start_offers import HabitOffer, rule_of


@dataclass(frozen=True, slots=True)
class Wrong:
    """Why nothing was written: of which answer, from 0, and about which key; "" for the whole."""

    row: int
    key: str
    what: Message
    remedy: Message | None = None


@dataclass(frozen=True, slots=True)
class PersonAnswer:
    """A person; one without a name that is there already is to be taken away."""

    name: str
    child: bool = False
    looks_after_children: bool = False
    id: str = ""


@dataclass(frozen=True, slots=True)
class AreaAnswer:
    """An area; one without a name that is there already is to be taken away."""

    name: str
    letter: str = ""
    colour: str = ""
    id: str = ""


@dataclass(frozen=True, slots=True)
class RoutineAnswer:
    """A standing routine; `hours` as 07:30-08:30."""

    title: str
    hours: str
    days: tuple[Weekday, ...]
    persons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HabitAnswer:
    """A habit of one person; `offer` is what it was taken over from, if anything."""

    title: str
    person: str
    days: tuple[Weekday, ...] = ()
    times_a_week: int | None = None
    target: float | None = None
    area: str = ""
    offer: HabitOffer | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class BillAnswer:
    """A bill: `amount` in minor units, `every` one of `start_offers.EVERY`."""

    title: str
    first: date
    every: str = "month"
    amount: int | None = None
    by_hand: bool = False


@dataclass(slots=True)
class _Rows:
    """Edits of one array, and which answer each entry of it will come from."""

    array: str
    order: list[int | None]
    edits: list[TextEdit] = field(default_factory=list)
    drops: list[TextEdit] = field(default_factory=list)
    dropped: set[int] = field(default_factory=set)

    def change(self, row: int, place: int, ident: str, values: Mapping[str, Value | None]) -> None:
        self.order[place] = row
        self.edits.append(change_entry(self.array, ident, values))

    def add(self, row: int, entry: Mapping[str, Value | None]) -> None:
        self.order.append(row)
        self.edits.append(add_entry(self.array, entry))

    def drop(self, place: int, ident: str) -> None:
        self.dropped.add(place)
        self.drops.append(drop_entry(self.array, ident))

    def save(self, context: Context, name: str) -> tuple[Wrong, ...]:
        left = [row for place, row in enumerate(self.order) if place not in self.dropped]
        return tuple(
            Wrong(_row(left, one.entry), one.key, one.what, one.remedy)
            for one in save(context.folder, name, *self.edits, *self.drops)
        )


def _row(order: Sequence[int | None], entry: int | None) -> int:
    found = order[entry] if entry is not None and entry < len(order) else None
    return 0 if found is None else found


def save_household(context: Context, values: Mapping[str, Value | None]) -> tuple[Wrong, ...]:
    """Keys of `[household]`; None takes one away."""
    found = save(context.folder, CONFIG, set_values("household", values))
    return tuple(Wrong(0, one.key, one.what, one.remedy) for one in found)


def save_day_parts(context: Context, hours: Mapping[str, str]) -> tuple[Wrong, ...]:
    """`[day_parts]`: from-to of morning, afternoon and evening."""
    found = save(context.folder, CONFIG, set_values("day_parts", dict(hours)))
    return tuple(Wrong(0, one.key, one.what, one.remedy) for one in found)


def save_people(
    context: Context, answers: Sequence[PersonAnswer], *, placeholder: str = ""
) -> tuple[Wrong, ...]:
    """People added, changed and taken away. `placeholder` is the id of one who was put there
    without asking: with the name the id is given anew, unless something hangs on it already."""
    there = context.config.people
    places = {one.id: place for place, one in enumerate(there)}
    rows = _Rows("people", [None] * len(there))
    known: list[Person] = [one for one in there if one.id != placeholder]
    renamed = ""
    for row, one in enumerate(answers):
        if one.id in places and not one.name:
            if named_anywhere(context.folder, one.id):
                return (Wrong(row, "name", _is_named(there[places[one.id]].name)),)
            rows.drop(places[one.id], one.id)
        elif one.id in places:
            values = _flags(one) | {"name": one.name}
            if one.id == placeholder and not named_anywhere(context.folder, placeholder):
                new = one_more(known, one.name[:100])
                renamed = new.id
                known.append(new)
                values |= {"id": new.id}
            rows.change(row, places[one.id], one.id, values)
        elif one.name:
            new = one_more(known, one.name[:100])
            known.append(new)
            entry = {"id": new.id, "name": one.name, "letter": new.letter or None}
            rows.add(row, entry | _flags(one))
    if len(rows.order) == len(rows.dropped):
        return (Wrong(0, "name", message("somebody has to live here; write at least one name")),)
    found = rows.save(context, CONFIG)
    if not found and renamed and renamed != placeholder:
        rename_in_examples(context.folder, placeholder, renamed)
    return found


def _flags(one: PersonAnswer) -> dict[str, Value | None]:
    """The keys that are only written where they are true."""
    return {"child": one.child or None, "looks_after_children": one.looks_after_children or None}


def _is_named(name: str) -> Message:
    return message(
        "“{name}” is named elsewhere in the household's files, and stays; write the name again",
        name=name,
    )


def save_areas(context: Context, answers: Sequence[AreaAnswer]) -> tuple[Wrong, ...]:
    """Areas added, changed and taken away."""
    there = context.config.areas
    places = {one.id: place for place, one in enumerate(there)}
    rows = _Rows("areas", [None] * len(there))
    known: list[Area] = list(there)
    for row, one in enumerate(answers):
        if one.id in places and not one.name:
            if named_anywhere(context.folder, one.id):
                return (Wrong(row, "name", _is_named(there[places[one.id]].name)),)
            rows.drop(places[one.id], one.id)
        elif one.id in places:
            values = {"name": one.name, "letter": one.letter, "colour": one.colour}
            rows.change(row, places[one.id], one.id, values)
        elif one.name:
            new = area_named(known, one.name[:100], one.letter[:2], one.colour)
            known.append(new)
            letter = one.letter or new.letter
            rows.add(row, {"id": new.id, "name": one.name, "colour": new.colour, "letter": letter})
    return rows.save(context, CONFIG)


def save_routines(context: Context, answers: Sequence[RoutineAnswer]) -> tuple[Wrong, ...]:
    """Standing routines added to `routines.toml`."""
    entries: list[dict[str, Value | None]] = [
        {
            "title": one.title,
            "person": _one_or_more(one.persons),
            "days": None if set(one.days) == set(Weekday) else _names(one.days),
            "hours": one.hours,
        }
        for one in answers
    ]
    return _add(context, "routines.toml", "routines", entries)


def save_habits(context: Context, answers: Sequence[HabitAnswer]) -> tuple[Wrong, ...]:
    """Habits added to `habits.toml`, in the order of the day they are given in."""
    last = max((one.order for one in context.files.habits if one.order != 100), default=0)
    entries: list[dict[str, Value | None]] = []
    for number, one in enumerate(answers, start=1):
        offer = one.offer or HabitOffer("", message("Habit"))
        everyday = not one.days or set(one.days) == set(Weekday)
        entries.append(
            {
                "title": one.title,
                "area": one.area or None,
                "person": one.person,
                "order": last + 10 * number,
                "part": str(offer.part) if offer.part else None,
                "days": None if everyday else _names(one.days),
                "times_a_week": one.times_a_week,
                "kind": str(offer.kind) if offer.kind != "yes/no" else None,
                "unit": one.unit or None,
                "target": one.target,
                "health": offer.health or None,
            }
        )
    return _add(context, "habits.toml", "habits", entries)


def save_bills(
    context: Context, answers: Sequence[BillAnswer], currency: str = ""
) -> tuple[Wrong, ...]:
    """Bills added to `money.toml`; `currency` is written where the file has none yet."""
    entries: list[dict[str, Value | None]] = [
        {
            "title": one.title,
            "amount": one.amount,
            "currency": currency if context.files.currency and _other(context, currency) else None,
            "first": one.first,
            "repeats": rule_of(one.every, one.first) or None,
            "collected": False if one.by_hand else None,
        }
        for one in answers
    ]
    first = [] if context.files.currency or not currency else [set_top("currency", currency)]
    return _add(context, "money.toml", "bills", entries, first)


def _other(context: Context, currency: str) -> bool:
    return bool(currency) and currency != context.files.currency


def _add(
    context: Context,
    name: str,
    array: str,
    entries: Sequence[Mapping[str, Value | None]],
    first: Sequence[TextEdit] = (),
) -> tuple[Wrong, ...]:
    there = len(getattr(context.files, array))
    edits = [*first]
    edits += [add_entry(array, with_id(context.folder, array, one)) for one in entries]
    found = save(context.folder, name, *edits)
    return tuple(
        Wrong(max((one.entry or 0) - there, 0), one.key, one.what, one.remedy) for one in found
    )


def _one_or_more(persons: tuple[str, ...]) -> Value:
    return persons[0] if len(persons) == 1 else persons


def _names(days: tuple[Weekday, ...]) -> tuple[str, ...]:
    return tuple(str(one) for one in days)


def save_calendar(context: Context, source: CalendarSource, password: str) -> tuple[Wrong, ...]:
    """A calendar added to `config.toml`, its password in a file of its own with mode 0600.

    The password is written first, so that there is never a calendar without it; where the entry
    cannot be written, the file is taken away again.
    """
    name = ""
    if password:
        name = password_name(context.folder, source.id)
        write_password(context.folder, name, password)
        source = replace(source, password_file=name)
    entry: dict[str, Value | None] = {
        key: tuple(value) if isinstance(value, list) else value
        for key, value in to_plain(source.values()).items()
    }
    written = False
    try:
        found = save(context.folder, CONFIG, add_entry("calendars", entry))
        written = not found
    finally:
        if name and not written:
            (context.folder / name).unlink(missing_ok=True)
    return tuple(Wrong(0, one.key, one.what, one.remedy) for one in found)
