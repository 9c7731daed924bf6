"""The first four steps: the household, its people, areas of life, and parts of the day."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from weeksync.language import week_rule
from weeksync.language.day_parts import PART_NAMES
from weeksync.message import Message, message
from weeksync.model.config import COLOURS, Area, Person
from weeksync.model.fields import Weekday
from weeksync.site.record import FormField, FormGroup, Option, StartRow
from weeksync.workflow import start_suggest
from weeksync.workflow.context import Context
from weeksync.workflow.start import placeholder
from weeksync.workflow.start_save import (
    AreaAnswer,
    PersonAnswer,
    Wrong,
    save_areas,
    save_day_parts,
    save_household,
    save_people,
)
from weeksync.workflow.start_typed import FieldWrong, Typed

Body = dict[str, Any]
"""Fields of `record.StartPage`."""

NEW_ROWS = 3
"""Empty rows for what is new; saving shows as many again."""

COLOUR_NAMES: Mapping[str, Message] = {
    "moss": message("moss"),
    "brick": message("brick"),
    "slate": message("slate"),
    "plum": message("plum"),
    "straw": message("straw"),
    "fir": message("fir"),
    "harbour": message("harbour"),
    "heather": message("heather"),
    "clay": message("clay"),
    "stone": message("stone"),
}
"""The tints of the palette as people read them."""

# The household


def household_body(context: Context, typed: Typed) -> Body:
    """Name, zone, language, public holidays, first weekday."""
    home, language, say = context.config.household, context.language, context.language.text
    region = typed.one("region", home.region)
    # What the week would start with if nobody chose it.
    rule = week_rule(home.locale, home.region, None)
    usual = language.weekday(rule.first_weekday)
    first = str(home.first_weekday) if home.first_weekday else ""
    weekdays = [Option("", say(message("as usual there ({weekday})", weekday=usual)))]
    weekdays += [Option(str(one), language.weekday(one.number)) for one in Weekday]
    zones = dict.fromkeys((typed.one("time_zone", home.time_zone), *start_suggest.zone_names()))
    locale = typed.one("locale", home.locale.replace("-", "_"))
    locales = dict(start_suggest.locales(language))
    locales = locales if locale in locales else {locale: locale, **locales}
    regions = dict(start_suggest.regions(language, region))
    regions = regions if not region or region in regions else {region: region, **regions}
    fields = (
        FormField(
            "text",
            "name",
            say(message("Name of the household")),
            (typed.one("name", home.name),),
            hint=say(message("It stands on your pages, and never on one that is shared.")),
            required=True,
            most=300,
        ),
        FormField(
            "choice",
            "time_zone",
            say(message("Time zone")),
            (typed.one("time_zone", home.time_zone),),
            tuple(Option(one, one.replace("_", " ")) for one in zones),
            narrow=True,
        ),
        FormField(
            "choice",
            "first_weekday",
            say(message("A week starts on")),
            (typed.one("first_weekday", first),),
            tuple(weekdays),
            narrow=True,
        ),
        FormField(
            "choice",
            "locale",
            say(message("Language of the pages")),
            (locale,),
            tuple(Option(*one) for one in locales.items()),
            narrow=True,
        ),
        FormField(
            "choice",
            "region",
            say(message("Public holidays of")),
            (region,),
            (Option("", say(message("none"))), *(Option(*one) for one in regions.items())),
            narrow=True,
        ),
    )
    return {"groups": (FormGroup("", fields),)}


def household_save(context: Context, typed: Typed) -> tuple[FieldWrong, ...]:
    """Write it."""
    if not typed.one("name"):
        return (
            FieldWrong("name", message("the household has no name"), message("write one down")),
        )
    values = {
        "name": typed.one("name"),
        "time_zone": typed.one("time_zone"),
        "locale": typed.one("locale"),
        "region": typed.one("region") or None,
        "first_weekday": typed.one("first_weekday") or None,
    }
    return _by_key(save_household(context, values))


def _by_key(found: Sequence[Wrong], prefix: str = "") -> tuple[FieldWrong, ...]:
    return tuple(FieldWrong(prefix + one.key, one.what, one.remedy) for one in found)


# People


def people_body(context: Context, typed: Typed) -> Body:
    """A row for each person, and some for more."""
    people: list[Person | None] = [*context.config.people, *(None,) * NEW_ROWS]
    rows = [_person_row(context, typed, _key(one, at), one) for at, one in enumerate(people)]
    say = context.language.text
    notes = (
        say(
            message("Lessons are kept for children; hand-overs between those who look after them.")
        ),
        say(message("A name that is emptied is taken away, unless something is written for it.")),
    )
    return {"rows": tuple(rows), "notes": notes, "more": say(message("Save and add more"))}


def _key(one: Person | Area | None, at: int) -> str:
    """What the names of a row's fields begin with."""
    return f"old-{one.id}" if one is not None else f"new-{at}"


def _person_row(context: Context, typed: Typed, key: str, one: Person | None) -> StartRow:
    say = context.language.text
    name = one.name if one is not None else ""
    nobody_yet = one is not None and one.id == placeholder(context)
    if nobody_yet and name != start_suggest.person_name():
        name = ""
    fields = (
        FormField("text", f"{key}-name", say(message("Name")), (typed.one(f"{key}-name", name),)),
        yes_field(
            say(message("a child")),
            f"{key}-child",
            typed.yes(f"{key}-child", stands=one is not None and one.child),
        ),
        yes_field(
            say(message("looks after the children")),
            f"{key}-looks",
            typed.yes(f"{key}-looks", stands=one is not None and one.looks_after_children),
        ),
    )
    return StartRow(
        say(message("You")) if nobody_yet else name or say(message("One more person")), fields
    )


def yes_field(label: str, name: str, ticked: bool) -> FormField:
    """One box to tick."""
    return FormField("yes", name, label, ("yes",) if ticked else (), narrow=True)


def people_save(context: Context, typed: Typed) -> tuple[FieldWrong, ...]:
    """Write them."""
    people: list[Person | None] = [*context.config.people, *(None,) * NEW_ROWS]
    keys = [_key(one, at) for at, one in enumerate(people)]
    answers = [
        PersonAnswer(
            typed.one(f"{key}-name"),
            typed.yes(f"{key}-child"),
            typed.yes(f"{key}-looks"),
            one.id if one is not None else "",
        )
        for key, one in zip(keys, people, strict=True)
    ]
    found = save_people(context, answers, placeholder=placeholder(context))
    names = {"looks_after_children": "looks"}
    return _in_rows(found, keys, names, "name")


def _in_rows(
    found: Sequence[Wrong], keys: Sequence[str], names: Mapping[str, str], otherwise: str
) -> tuple[FieldWrong, ...]:
    """Mistakes of answers as mistakes of fields."""
    return tuple(
        FieldWrong(
            f"{keys[one.row]}-{names.get(one.key, one.key) or otherwise}", one.what, one.remedy
        )
        for one in found
    )


# Areas


def areas_body(context: Context, typed: Typed) -> Body:
    """A row for each area, and some for more."""
    areas: list[Area | None] = [*context.config.areas, *(None,) * NEW_ROWS]
    rows = [_area_row(context, typed, _key(one, at), one) for at, one in enumerate(areas)]
    say = context.language.text
    notes = (say(message("An area whose name is emptied is taken away, unless it is in use.")),)
    return {"rows": tuple(rows), "notes": notes, "more": say(message("Save and add more"))}


def _area_row(context: Context, typed: Typed, key: str, one: Area | None) -> StartRow:
    say = context.language.text
    colours = tuple(Option(name, say(COLOUR_NAMES[name])) for name in COLOURS)
    if one is None:
        colours = (Option("", say(message("a free one"))), *colours)
    fields = (
        FormField(
            "text",
            f"{key}-name",
            say(message("Name")),
            (typed.one(f"{key}-name", one.name if one else ""),),
            most=300,
        ),
        FormField(
            "text",
            f"{key}-letter",
            say(message("Letters, one or two")),
            (typed.one(f"{key}-letter", one.letter if one else ""),),
            most=2,
            narrow=True,
        ),
        FormField(
            "choice",
            f"{key}-colour",
            say(message("Colour")),
            (typed.one(f"{key}-colour", one.colour if one else ""),),
            colours,
            narrow=True,
        ),
    )
    if one is None:
        return StartRow(say(message("One more area")), fields, folded=True)
    return StartRow(one.name, fields, one.colour, one.letter)


def areas_save(context: Context, typed: Typed) -> tuple[FieldWrong, ...]:
    """Write them."""
    areas: list[Area | None] = [*context.config.areas, *(None,) * NEW_ROWS]
    keys = [_key(one, at) for at, one in enumerate(areas)]
    answers = [
        AreaAnswer(
            typed.one(f"{key}-name"),
            typed.one(f"{key}-letter"),
            typed.one(f"{key}-colour"),
            one.id if one is not None else "",
        )
        for key, one in zip(keys, areas, strict=True)
    ]
    return _in_rows(save_areas(context, answers), keys, {}, "name")


# Parts of the day


def day_parts_body(context: Context, typed: Typed) -> Body:
    """From and to of each part."""
    say = context.language.text
    rows = []
    for part, name in PART_NAMES.items():
        start, _, end = getattr(context.config.day_parts, part).partition("-")
        rows.append(
            StartRow(
                say(name),
                (
                    time_field(say(message("from")), f"{part}-from", typed, start),
                    time_field(say(message("to")), f"{part}-to", typed, end),
                ),
            )
        )
    return {"rows": tuple(rows)}


def time_field(label: str, name: str, typed: Typed, stands: str) -> FormField:
    """A time of day, `stands` as 18:00."""
    value = typed.one(name, "00:00" if stands == "24:00" else stands)
    return FormField("time", name, label, (value[:5],), narrow=True)


def day_parts_save(context: Context, typed: Typed) -> tuple[FieldWrong, ...]:
    """Write them."""
    hours = {str(part): from_to(typed, str(part)) for part in PART_NAMES}
    found = save_day_parts(context, hours)
    return tuple(FieldWrong(f"{one.key}-from", one.what, one.remedy) for one in found)


def from_to(typed: Typed, name: str) -> str:
    """Two times of a browser as hours; it knows midnight only as the beginning of a day."""
    start, end = typed.one(f"{name}-from")[:5], typed.one(f"{name}-to")[:5]
    return f"{start}-{'24:00' if end == '00:00' else end}"
