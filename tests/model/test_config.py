"""`config.toml`: the models, and the example file that names every setting of them."""

from __future__ import annotations

import inspect
import re
import tomllib
from collections.abc import Iterator
from dataclasses import FrozenInstanceError
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from tests.support.field_docs import NEEDED, defaults_of, field_docs
from tests.support.readings import CONFIG, reading
from weeksync.model.config import Area, CalendarSource, Config, Person, Rule, ids
from weeksync.model.mistake import Mistake
from weeksync.model.record import Record
from weeksync.model.serve_settings import Serve
from weeksync.read import cross_check, parse_toml
from weeksync.read.checked import checked
from weeksync.read.fields import hints_of, records_in

EXAMPLE = (Path(__file__).parents[2] / "config.example.toml").read_text()
SETTING = re.compile(r"^#(?=\S)", re.MULTILINE)


def tables() -> Iterator[tuple[str, type[Record]]]:
    """(key of the config, record) of each table."""
    for key, hint in hints_of(Config).items():
        for record in records_in(hint):
            yield key, record


SETTINGS = [
    (key, record, name, text)
    for key, record in tables()
    for name, text in field_docs(record).items()
]


def test_the_example_is_valid_as_it_stands() -> None:
    """Without a single optional setting."""
    assert problems_of(EXAMPLE) == []


def test_the_example_is_valid_with_every_setting_in_it_used() -> None:
    """With the # taken away wherever no space follows it."""
    used = SETTING.sub("", EXAMPLE)
    assert used != EXAMPLE
    assert problems_of(used) == []


def problems_of(text: str) -> list[str]:
    """What reading and the checks between tables say."""
    record, problems = parse_toml("config.toml", text.encode(), Config)
    assert record is not None
    return [str(one) for one in (*problems, *cross_check(reading({}, text)))]


def named(text: str) -> dict[str, set[str]]:
    """Keys of each table, of all entries together."""
    data = tomllib.loads(text)
    found: dict[str, set[str]] = {}
    for key, value in data.items():
        entries: list[Any] = value if isinstance(value, list) else [value]
        found[key] = {name for entry in entries if isinstance(entry, dict) for name in entry}
    return found


def test_the_example_names_every_table_and_setting_and_no_other() -> None:
    """A setting that is added must be explained before it can be used."""
    wanted = {key: set(record.field_names()) for key, record in tables()}
    assert named(SETTING.sub("", EXAMPLE)) == {"format": set(), **wanted}


def explained() -> dict[str, str]:
    """`[table]` or `[table].setting` → the words above it, the first time it stands there."""
    found: dict[str, str] = {}
    table, words = "", []
    for line in EXAMPLE.splitlines():
        if re.match(r"#( |$)", line):
            words.append(line[1:])
            continue
        if header := re.fullmatch(r"\[+(\w+)\]+", line):
            table = header[1]
            found.setdefault(table, " ".join(" ".join(words).split()))
        elif setting := re.match(r"#?(\w+) = ", line):
            found.setdefault(f"{table}.{setting[1]}", " ".join(" ".join(words).split()))
        words = []
    return found


@pytest.mark.parametrize(
    ("key", "record", "name", "text"), SETTINGS, ids=[f"{s[0]}.{s[2]}" for s in SETTINGS]
)
def test_the_words_above_a_setting_are_those_of_the_model(
    key: str, record: type[Record], name: str, text: str
) -> None:
    """Said once, in the model; the first time a setting stands in the example it is explained."""
    assert text, f"{record.__name__}.{name} has no docstring"
    assert explained()[f"{key}.{name}"] == text


@pytest.mark.parametrize(("key", "record"), list(tables()))
def test_the_words_above_a_table_are_those_of_the_model(key: str, record: type[Record]) -> None:
    """The docstring of the record, whole."""
    assert explained()[key] == " ".join((inspect.getdoc(record) or "").split())


def test_defaults_in_the_example_are_those_of_the_model() -> None:
    """`#weeks_back = 6` says what holds without the line, wherever there is a default to say."""
    used = tomllib.loads(SETTING.sub("", EXAMPLE))
    for key, record in tables():
        if isinstance(used[key], list):
            continue  # entries are examples
        for name, default in defaults_of(record).items():
            if default is NEEDED or default in ("", None, ()):
                continue
            assert used[key][name] == default, f"{key}.{name}"


def config() -> Config:
    """The small config of the tests."""
    record, _ = parse_toml("config.toml", CONFIG.encode(), Config)
    assert record is not None
    return record


def test_people_and_areas_by_their_id() -> None:
    """None where there is no such person or area."""
    person, area = config().person("dov"), config().area("home")
    assert person is not None
    assert area is not None
    assert (person.name, area.name) == ("Dov", "Home")
    assert (config().person("juno"), config().area("x"), config().area(None)) == (None, None, None)


def test_the_letter_of_a_person() -> None:
    """The first of the name, unless another is given."""
    assert Person(id="a", name="ödön").mark == "Ö"
    assert Person(id="a", name="Ödön", letter="Dö").mark == "Dö"


def test_one_id_or_several() -> None:
    """Both forms a file may have, as one."""
    assert ids("ines") == ids(("ines",)) == ("ines",)
    assert ids(None) == ids(()) == ()


def test_a_calendar_is_of_one_kind() -> None:
    """Its address is whichever place is given, its label the name or the id."""
    calendar = CalendarSource(id="a", url="https://example.org/a.ics", name="School")
    assert (calendar.kind, calendar.address, calendar.label) == (
        "url",
        "https://example.org/a.ics",
        "School",
    )
    assert CalendarSource(id="a", path="a.ics").kind == "path"
    assert CalendarSource(id="a", caldav="https://x.org").label == "a"


WRONG: list[tuple[type[Record], dict[str, Any], str]] = [
    (CalendarSource, {"id": "a"}, ""),
    (CalendarSource, {"id": "a", "url": "u", "caldav": "c"}, "caldav"),
    (
        CalendarSource,
        {"id": "a", "url": "u", "user": "x", "password_env": "E", "password_file": "f"},
        "password_env",
    ),
    (CalendarSource, {"id": "a", "url": "u", "password_file": "f"}, "password_file"),
    (CalendarSource, {"id": "a", "path": "p", "choose": ["x"]}, "choose"),
    (CalendarSource, {"id": "a", "url": "https://x", "tick_todos": True}, "tick_todos"),
    (CalendarSource, {"id": "a", "caldav": "x", "tick_only": ["y"]}, "tick_only"),
    (Rule, {"person": "dov"}, ""),
    (Serve, {"certificate": "c.pem"}, "certificate"),
    (Serve, {"certificate_key": "k.pem"}, "certificate_key"),
]


@pytest.mark.parametrize(("record", "values", "key"), WRONG)
def test_what_cannot_stand_together(record: type[Record], values: dict[str, Any], key: str) -> None:
    """The mistake names the key whose line shows it."""
    with pytest.raises(ValidationError) as caught:
        checked(record, values)
    (error,) = caught.value.errors()
    assert error["type"] == "value_error"
    mistake = error["ctx"]["error"]
    assert isinstance(mistake, Mistake)
    assert mistake.key == key
    assert str(mistake.remedy)


def test_records_are_frozen() -> None:
    """Parts hand them to each other; none may change what another holds."""
    area = Area(id="home", name="Home", colour="moss", letter="H")
    with pytest.raises(FrozenInstanceError):
        area.name = "House"  # type: ignore[misc]


@pytest.mark.parametrize(
    "key", [key for key, default in defaults_of(Config).items() if isinstance(default, Record)]
)
def test_a_table_that_is_not_there_is_as_one_with_nothing_in_it(key: str) -> None:
    """Its defaults stand there without having been validated; they would pass."""
    [record] = records_in(hints_of(Config)[key])
    assert getattr(config(), key) == checked(record, {})
