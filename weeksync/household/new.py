"""A new household folder: complete, commented, and without a problem when it is read back."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from string import Template

import tomlkit

from weeksync.errors import HouseholdError
from weeksync.household.editing import edit_file
from weeksync.household.listing import CONFIG
from weeksync.household.reading import MODELS
from weeksync.household.starters import FOLDERS, STARTERS
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.config import COLOURS, Area, CalendarSource, Config, Person
from weeksync.model.fields import Weekday
from weeksync.model.problem import Problem
from weeksync.model.record import Record
from weeksync.read import ReadFiles, cross_check, read_toml, slug
from weeksync.read.plain import to_plain

DEFAULT_AREAS = (
    Area(id="home", name="Home", colour="moss", letter="H"),
    Area(id="family", name="Family", colour="harbour", letter="F"),
    Area(id="health", name="Health", colour="brick", letter="He"),
    Area(id="work", name="Work", colour="slate", letter="W"),
    Area(id="learning", name="Learning", colour="straw", letter="L"),
)
"""Areas of life to begin with; the user changes them as they like."""


@dataclass(frozen=True, slots=True)
class NewHousehold:
    """The answers a household folder is made from."""

    name: str
    time_zone: str
    people: tuple[Person, ...]
    locale: str = "en_GB"
    region: str = ""
    first_weekday: Weekday | None = None
    areas: tuple[Area, ...] = DEFAULT_AREAS
    calendars: tuple[CalendarSource, ...] = ()
    currency: str = ""
    """ISO 4217 code for `money.toml`; "" where nobody said."""


def people_named(names: Sequence[str], children: Collection[str] = ()) -> tuple[Person, ...]:
    """Persons of those names, each with an id and letters that no other has."""
    people: list[Person] = []
    for name in names:
        people.append(one_more(people, name, child=name in children))
    return tuple(people)


def one_more(people: Sequence[Person], name: str, *, child: bool = False) -> Person:
    """A person of that name beside `people`, with an id and letters that none of them has."""
    ids, marks = {one.id for one in people}, {one.mark.casefold() for one in people}
    return Person(
        id=_unlike(slug(name, "person"), ids),
        name=name,
        letter=_letters(name.strip(), marks),
        child=child,
    )


def area_named(areas: Sequence[Area], name: str, letter: str = "", colour: str = "") -> Area:
    """An area of that name beside `areas`; letter and colour are such as no other has, if any."""
    ids = {one.id for one in areas}
    letters, colours = {one.letter.casefold() for one in areas}, {one.colour for one in areas}
    first = name.strip()[:1].upper()
    free = first if first.casefold() not in letters else _letters(name.strip(), letters)
    return Area(
        id=_unlike(slug(name, "area"), ids),
        name=name,
        letter=letter or free or "?",
        colour=colour or next((one for one in COLOURS if one not in colours), COLOURS[0]),
    )


def rename_in_examples(folder: Path, old: str, new: str) -> None:
    """Lets the examples that are only comments yet name another person or area."""
    for name, model in MODELS.items():

        def edit(text: str, _: object) -> str:
            for key in ("person", "child", "area"):
                text = text.replace(f"#{key} = {_toml(old)}\n", f"#{key} = {_toml(new)}\n")
            return text

        if (folder / name).is_file():
            edit_file(folder, name, model, edit)


def _unlike(base: str, taken: set[str]) -> str:
    candidates = [base, *(f"{base}-{number}" for number in range(2, len(taken) + 3))]
    return next(one for one in candidates if one not in taken)


def _letters(name: str, taken: set[str]) -> str:
    """Letters for a name whose first letter is taken; "" where the first letter will do."""
    if name[:1].casefold() not in taken:
        return ""
    longer = [name[0].upper() + sign for sign in (*name[1:], *"23456789") if sign.isalnum()]
    return next((one for one in longer if one.casefold() not in taken), "")


def create_household(folder: Path, answers: NewHousehold) -> tuple[Path, ...]:
    """Writes a household folder; returns the paths of what was made, `config.toml` last.

    Files that are there already stay as they are. HouseholdError where the folder holds a
    `config.toml`, where an answer cannot be used (`problems` says which), and where it cannot be
    written; nothing is written in the first two cases.
    """
    if os.path.lexists(folder / CONFIG):
        raise HouseholdError(
            message(
                "there is a household in {folder} already; choose another folder",
                folder=str(folder),
            )
        )
    texts = _texts(answers)
    _check(texts)
    try:
        return tuple(_write(folder, texts))
    except OSError as error:
        raise HouseholdError(
            message(
                "{folder} could not be written ({reason}); choose another folder",
                folder=str(folder),
                reason=os.strerror(error.errno or 0),
            )
        ) from error


def _texts(answers: NewHousehold) -> dict[str, str]:
    """Name → text of each file, `config.toml` last: where it is, the folder is whole."""
    places = {
        "person": _toml(answers.people[0].id if answers.people else "ines"),
        "area": _toml(answers.areas[0].id if answers.areas else "home"),
        "currency": f"currency = {_toml(answers.currency)}"
        if answers.currency
        else '#currency = "GBP"',
    }
    texts = {name: Template(text).substitute(places) for name, text in STARTERS.items()}
    return {**texts, CONFIG: _config(answers)}


def _config(answers: NewHousehold) -> str:
    blocks = ["\n".join(_household(answers))]
    blocks += [_table("[[people]]", person) for person in answers.people]
    blocks += [_table("[[areas]]", area) for area in answers.areas]
    blocks.append(
        "# Calendars: an .ics file or a folder of them (path), one on the web (url), or a server\n"
        "# (caldav). The password is never written here, only where it is.\n"
        "#[[calendars]]\n"
        '#id = "family"\n'
        '#path = "family.ics"'
    )
    blocks += [_table("[[calendars]]", calendar) for calendar in answers.calendars]
    return "\n\n".join(blocks) + "\n"


def _household(answers: NewHousehold) -> Iterator[str]:
    yield "# The household and its rules. config.example.toml of weeksync explains every setting."
    yield "format = 1"
    yield ""
    yield "[household]"
    yield f"name = {_toml(answers.name)}"
    yield f"time_zone = {_toml(answers.time_zone)}"
    yield f"locale = {_toml(answers.locale)}"
    yield "# Whose public holidays are shown: a code of ISO 3166."
    yield f"region = {_toml(answers.region)}" if answers.region else '#region = "GB-ENG"'
    yield "# The day a week starts with; without it the locale's region decides."
    first = answers.first_weekday
    yield f"first_weekday = {_toml(first.value)}" if first else '#first_weekday = "monday"'


def _table(header: str, record: Record) -> str:
    """A table with the settings that are not what they are anyway."""
    lines = [header]
    for key, value in to_plain(record.values()).items():
        lines.append(f"{key} = {_toml(value)}")
    return "\n".join(lines)


def _toml(value: str | int | bool | list[str]) -> str:
    return tomlkit.item(value).as_string()


def _check(texts: dict[str, str]) -> None:
    """HouseholdError where what would be written could not be read back."""
    files = ReadFiles(config=read_toml(CONFIG, texts[CONFIG].encode(), Config))
    files.files += [read_toml(name, texts[name].encode(), model) for name, model in MODELS.items()]
    problems: list[Problem] = [problem for one in files.all() for problem in one.problems]
    problems += [problem for problem in cross_check(files) if problem.counts]
    if problems:
        raise HouseholdError(
            message("the household cannot be made from these answers; correct them"),
            [replace(problem, place=replace(problem.place, line=None)) for problem in problems],
        )


def _write(folder: Path, texts: dict[str, str]) -> Iterator[Path]:
    if not folder.exists():
        folder.mkdir(parents=True)
    for name, mode in FOLDERS.items():
        if not (folder / name).is_dir():
            (folder / name).mkdir(mode=mode)
            yield folder / name
    for name, text in texts.items():
        try:
            with (folder / name).open("xb") as file:
                file.write(text.encode())
        except FileExistsError:
            continue
        yield folder / name
