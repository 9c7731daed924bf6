"""A household in which every text of every kind of input is a word that stands nowhere else.

Whatever is made from it can be searched for those words: each says where it came from. The texts
are filled in by the models themselves (`completed`), so that a key that is added to one has its
word, too; what cannot hold one is listed in `NO_WORD`, with the reason.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from types import NoneType
from typing import Any, get_args, get_origin

import tomlkit

from tests.support import canary_calendars
from tests.support.canary_rules import NOTHING_SAID, RuleSet, household_shares
from weeksync.model.chosen import WeekFile
from weeksync.model.config import Config
from weeksync.model.files import AppointmentsFile, HabitsFile, RoutinesFile, TasksFile, TermsFile
from weeksync.model.money import MoneyFile
from weeksync.model.record import Record
from weeksync.model.week import IsoWeek
from weeksync.read.fields import hints_of
from weeksync.read.references import REFERENCES

WEEK = IsoWeek(2027, 11)
"""The week with everything in it; it is over at `NOW`."""
NOW = datetime(2027, 3, 24, 5, 40, tzinfo=UTC)

NO_WORD: dict[str, str] = {
    "Household.time_zone": "a name of the IANA database",
    "Household.locale": "a CLDR locale",
    "Household.region": "a code of ISO 3166",
    "Person.letter": "at most two letters",
    "Person.time_zone": "a name of the IANA database",
    "Area.letter": "at most two letters",
    "DayParts.morning": "hours",
    "DayParts.afternoon": "hours",
    "DayParts.evening": "hours",
    "Planning.hours": "hours",
    "Routine.hours": "hours",
    "Site.output": "a folder that is made when pages are",
    "Site.templates": "a folder of templates that pages are made with",
    "Serve.host": "an address to listen on",
    "Serve.address": "an origin, here without a word: nothing is served",
    "Serve.trusted_proxy": "an IP address",
    "Serve.certificate": "a file that serving opens",
    "Serve.certificate_key": "a file that serving opens",
    "Appointment.repeats": "an RRULE",
    "Task.repeats": "an RRULE",
    "Bill.repeats": "an RRULE",
    "PayDay.repeats": "an RRULE",
    "MoneyFile.currency": "a code of ISO 4217",
    "Bill.currency": "a code of ISO 4217",
    "PayDay.currency": "a code of ISO 4217",
    "Goal.currency": "a code of ISO 4217",
    "Balance.currency": "a code of ISO 4217",
    "CalendarSource.url": "one of three places, given by hand",
    "CalendarSource.caldav": "one of three places, given by hand",
    "CalendarSource.path": "one of three places, given by hand",
    "CalendarSource.choose": "only of a CalDAV server, given by hand",
    "CalendarSource.tick_todos": "only of a CalDAV server, given by hand",
    "CalendarSource.tick_only": "only of a CalDAV server, given by hand",
    "CalendarSource.user": "only with a password, given by hand",
    "CalendarSource.password_file": "one of three ways, given by hand",
    "CalendarSource.password_command": "one of three ways, given by hand",
    "CalendarSource.password_env": "one of three ways, given by hand",
    "CalendarSource.share_as": "as the rule set has it",
    "Person.role": "as the rule set has it",
    "Area.share_as": "as the rule set has it",
    "Rule.share_as": "as the rule set has it",
    "Appointment.share_as": "as the rule set has it",
    "Task.share_as": "as the rule set has it",
    "Habit.share_as": "as the rule set has it",
    "Sharing.released": "as the rule set has it",
    "Habit.unit": "given by hand",
}
"""Keys that `completed` leaves alone, by record and name, and why."""

_SYLLABLES = [first + second for first in "bdfgklmnprstvz" for second in "aeiou"]


@dataclass
class Words:
    """Words of ten letters that stand nowhere else; `places` maps each to what it stands for."""

    places: dict[str, str] = field(default_factory=dict)
    _by_place: dict[str, str] = field(default_factory=dict)

    def __call__(self, place: str) -> str:
        """The word of a place, always the same."""
        if place not in self._by_place:
            word = _word(place)
            assert word not in self.places
            self.places[word], self._by_place[place] = place, word
        return self._by_place[place]

    def found_in(self, text: str) -> dict[str, str]:
        """The words that stand in a text, in whatever case, and what they stand for."""
        plain = text.casefold()
        return {word: place for word, place in self.places.items() if word in plain}


def _word(place: str) -> str:
    """Five syllables by chance, the same for a place in every household."""
    rest = int.from_bytes(hashlib.sha256(place.encode()).digest())
    word = ""
    for _ in range(5):
        rest, at = divmod(rest, len(_SYLLABLES))
        word += _SYLLABLES[at]
    return word


def completed(
    model: type[Record], data: dict[str, Any], words: Words, place: str
) -> dict[str, Any]:
    """The table with a word in every text that it leaves open, in the tables inside it, too."""
    filled = dict(data)
    for name, hint in hints_of(model).items():
        where, inner = f"{place}.{name}", _record(hint)
        if inner is not None:
            if name not in filled and get_origin(hint) is not tuple:
                filled[name] = {}
            if isinstance(filled.get(name), dict):
                filled[name] = completed(inner, filled[name], words, where)
            elif name in filled:
                filled[name] = [
                    completed(inner, one, words, f"{where}.{at}")
                    for at, one in enumerate(filled[name])
                ]
        elif name not in filled and _takes_a_word(model, name, hint):
            word = words(where)
            if name.endswith("url"):
                word = f"https://{word}.invalid/"
            filled[name] = [word] if get_origin(hint) is tuple else word
    return filled


def _takes_a_word(model: type[Record], name: str, annotation: Any) -> bool:
    return (
        f"{model.__name__}.{name}" not in NO_WORD and name not in REFERENCES and is_text(annotation)
    )


def is_text(annotation: Any) -> bool:
    """Whether a field holds words of somebody: a text, or a tuple of texts."""
    if annotation is str:
        return True
    inner = [one for one in get_args(annotation) if one not in (NoneType, Ellipsis)]
    return any(map(is_text, inner))


def _record(annotation: Any) -> type[Record] | None:
    if isinstance(annotation, type) and issubclass(annotation, Record):
        return annotation
    return next((one for inner in get_args(annotation) if (one := _record(inner))), None)


@dataclass(frozen=True)
class Canary:
    """The household: its folder, its words, and what its things are called."""

    folder: Path
    words: Words

    @property
    def calendars(self) -> tuple[str, str]:
        """The ids of the calendars that can be pulled; the others lead nowhere."""
        return self.words("calendar 0"), self.words("calendar 1")

    def write(self, rules: RuleSet) -> None:
        """The files that say what may be shared, anew."""
        words = self.words
        for name, model, data in household_shares(words, rules):
            _write_toml(self.folder / name, model, data, words, name)

    def found_in(self, text: str) -> dict[str, str]:
        """The words of the household in a text, and what they stand for."""
        return self.words.found_in(text)


MODELS: dict[str, type[Record]] = {
    "config.toml": Config,
    "appointments.toml": AppointmentsFile,
    "tasks.toml": TasksFile,
    "habits.toml": HabitsFile,
}


def write_canary(folder: Path, rules: RuleSet = NOTHING_SAID) -> Canary:
    """The whole household in `folder`, by the rules given; nothing is pulled yet."""
    words = Words()
    canary = Canary(folder, words)
    folder.mkdir(parents=True, exist_ok=True)
    canary.write(rules)
    for name, model, data in _other_files(words):
        _write_toml(folder / name, model, data, words, name)
    for name, text in canary_calendars.files(words).items():
        _write(folder / name, text)
    _write(folder / f"marks/{WEEK}.csv", _marks(words))
    _write(folder / "check-ins/2027-03-16.md", _check_in(words))
    _write(folder / f"reviews/{WEEK}.md", _answers(words))
    _write(folder / f"snapshots/{WEEK}.json", _snapshot(words))
    return canary


def _write_toml(
    path: Path, model: type[Record], data: dict[str, Any], words: Words, name: str
) -> None:
    _write(path, tomlkit.dumps(completed(model, {"format": 1, **data}, words, name)))


def _write(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(text, "utf-8", newline="")


def _other_files(words: Words) -> list[tuple[str, type[Record], dict[str, Any]]]:
    person, child, pay = words("person 0"), words("person 1"), words("pay day")
    money: dict[str, Any] = {
        "currency": "GBP",
        "bills": [
            {"amount": 4711, "first": _day(16)},
            {"amount": 4712, "first": _day(17), "collected": False, "only_for": [person]},
        ],
        "pay_days": [
            {"id": pay, "amount": 4713, "first": _day(18), "person": person, "only_for": [person]}
        ],
        "goals": [
            {
                "amount": 47140,
                "pay_day": pay,
                "start": _day(1),
                "end": _day(30),
                "only_for": [person],
            },
        ],
        "balances": [{"day": _day(14), "amount": 47150, "only_for": [person]}],
    }
    term = words("term")
    terms = {
        "terms": [{"id": term, "start": _day(1), "end": _day(18)}],
        "breaks": [{"start": _day(19), "end": _day(21)}],
        "lessons": [
            {"child": child, "days": ["monday", "tuesday"], "terms": [term], "minutes": 45}
        ],
    }
    routines = {"routines": [{"person": person, "hours": "07:30-08:30"}]}
    week = {
        "days": [
            {"date": _day(15), "priorities": [words("priority of its own") + " one"]},
            {"date": _day(19), "priorities": [words("task 3")]},
        ],
        "placed": [
            {"task": words("task 1"), "date": _day(17), "part": "morning", "person": person},
        ],
        "settled": [{}],
        "rows": [{"cells": {"monday": words("cell of monday"), "friday": words("cell of friday")}}],
        "breaks": [{"date": _day(16), "start": _time(10), "person": person}],
        "lighter": [{"person": child, "start": _day(20), "end": _day(21)}],
    }
    return [
        ("money.toml", MoneyFile, money),
        ("terms.toml", TermsFile, terms),
        ("routines.toml", RoutinesFile, routines),
        (f"weeks/{WEEK}.toml", WeekFile, week),
    ]


def _day(number: int) -> Any:
    return datetime(2027, 3, number).date()


def _time(hour: int) -> Any:
    return datetime(2027, 3, 1, hour, 30).time()


def _marks(words: Words) -> str:
    lines = ["id,date,person,value,recorded_at,received_at,device"]
    for number in range(5):
        at = f"2027-03-{15 + number}T19:00:00+00:00"
        habit, person = words(f"habit {number}"), words("person 0")
        device = words(f"device of mark {number}")
        lines.append(f"{habit},2027-03-{15 + number},{person},yes,{at},{at},{device}")
    return "\n".join(lines) + "\n"


def _check_in(words: Words) -> str:
    keys = ("feeling", "why", "help", "gratitude")
    said = "".join(f'{key} = "{words(f"check-in.{key}")}"\n' for key in keys)
    text = words("check-in.text")
    return f'+++\nformat = 1\nperson = "{words("person 0")}"\nenergy = 3\n{said}+++\n\n{text}\n'


def _answers(words: Words) -> str:
    question, answer = words("answers.question"), words("answers.answer")
    return (
        f'+++\nformat = 1\nperson = "{words("person 0")}"\n\n[[answers]]\n'
        f'question = "{question}"\nanswer = "{answer}"\n+++\n'
    )


def _snapshot(words: Words) -> str:
    line = {
        "kind": "event",
        "key": f"event|{words('snapshot.key')}|",
        "series": words("snapshot.series"),
        "day": "2027-03-15",
        "title": words("snapshot.title"),
        "start": "07:00",
        "end": "07:10",
        "text": words("snapshot.text"),
        "persons": [words("person 0")],
        "only_for": [words("person 1")],
    }
    taken = {"format": 1, "week": str(WEEK), "taken_at": "2027-03-14T18:40:00Z", "lines": [line]}
    return json.dumps(taken)
