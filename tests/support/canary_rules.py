"""What the canary household says about sharing: rule sets, as files, and what they let through."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from tests.support.canary_calendars import OPEN_EVENTS, OPEN_TODOS, title
from weeksync.model.config import Config
from weeksync.model.files import AppointmentsFile, HabitsFile, TasksFile
from weeksync.model.record import Record

Words = Callable[[str], str]
Level = str | None
LEVELS: tuple[Level, ...] = (None, "nothing", "busy", "area", "word", "title")

APPOINTMENTS: dict[str, dict[str, Any]] = {
    "timed": {"start": datetime(2027, 3, 15, 14), "minutes": 60},
    "free": {"start": datetime(2027, 3, 16, 9), "minutes": 60, "busy": False},
    "away": {"start": datetime(2027, 3, 17, 7), "minutes": 60, "away": True},
    "only for": {"start": datetime(2027, 3, 18, 7), "minutes": 60},
    "several days": {"start": date(2027, 3, 19), "end": date(2027, 3, 21)},
    "several days at home": {
        "start": date(2027, 3, 16),
        "end": date(2027, 3, 18),
        "away": False,
    },
}
OPEN_APPOINTMENTS = ("timed", "free", "several days at home")

TASKS: dict[str, dict[str, Any]] = {
    "done": {"due": date(2027, 3, 16), "done": date(2027, 3, 16), "part": "morning"},
    "placed": {"due": date(2027, 3, 17), "estimate": 45, "carried": 2},
    "dropped": {"due": date(2027, 3, 18), "dropped": date(2027, 3, 18)},
    "only for": {"due": date(2027, 3, 19), "done": date(2027, 3, 19)},
}
OPEN_TASKS = ("done", "placed")

HABITS: dict[str, dict[str, Any]] = {
    "daily": {"kind": "count", "target": 1},
    "paused": {},
    "health": {"health": True},
    "only for": {},
    "weekly": {"times_a_week": 3},
}
OPEN_HABITS = ("daily", "paused", "weekly")

CALENDARS, AREAS, PERSONS = 2, 3, 3


@dataclass(frozen=True)
class RuleSet:
    """What is said in config.toml and in entries; the default says nothing.

    `words` and `area_words` say whether a word in place of titles is given; `rules` are a level
    and whether a word is given, for a rule on a title and one on a category. Entries map the name
    of what is released to what stands in its place: "" its title, else word, area or busy.
    """

    persons: str = "left out"
    times: str = "left out"
    dates: str = "left out"
    tasks: Level = None
    busy_times: bool = False
    calendars: tuple[Level, ...] = (None,) * CALENDARS
    words: tuple[bool, ...] = (False,) * CALENDARS
    share_tasks: Level = None
    areas: tuple[Level, ...] = (None,) * AREAS
    area_words: tuple[bool, ...] = (False,) * AREAS
    rules: tuple[tuple[Level, bool], ...] = ((None, False), (None, False))
    events: frozenset[str] = frozenset()
    todos: frozenset[str] = frozenset()
    appointments: tuple[tuple[str, str], ...] = ()
    entries: tuple[tuple[str, str], ...] = ()
    """Of tasks, as `task done`, and of habits."""


NOTHING_SAID = RuleSet()


def household_shares(
    words: Words, rules: RuleSet
) -> list[tuple[str, type[Record], dict[str, Any]]]:
    """The files in which the rule set stands."""
    return [
        ("config.toml", Config, _config(words, rules)),
        ("appointments.toml", AppointmentsFile, {"appointments": _appointments(words, rules)}),
        ("tasks.toml", TasksFile, {"tasks": _entries("task", TASKS, words, rules)}),
        ("habits.toml", HabitsFile, {"habits": _entries("habit", HABITS, words, rules)}),
    ]


def _given(**keys: Any) -> dict[str, Any]:
    return {key: value for key, value in keys.items() if value not in (None, "")}


def _safe(level: Level, word: str) -> Level:
    """A word that is missing is a mistake in a file: then it is the area."""
    return "area" if level == "word" and not word else level


def _config(words: Words, rules: RuleSet) -> dict[str, Any]:
    people = [
        {
            "id": words(f"person {at}"),
            "role": words(f"role {at}"),
            "child": at == 1,
            "letter": "PQR"[at],
        }
        for at in range(PERSONS)
    ]
    areas = [
        {
            "id": words(f"area {at}"),
            "name": words(f"area {at}.name"),
            "colour": ("moss", "brick", "slate")[at],
            "letter": "ABC"[at],
            **_given(
                share=rules.areas[at],
                share_as=words(f"area {at}.share_as") if rules.area_words[at] else "",
            ),
        }
        for at in range(AREAS)
    ]
    calendars = []
    for at in range(CALENDARS):
        word = words(f"calendar {at}.share_as") if rules.words[at] else ""
        calendars.append(
            {
                "id": words(f"calendar {at}"),
                "path": f"calendars/{words(f'file of calendar {at}')}.ics",
                "person": words(f"person {at}"),
                "area": words(f"area {at}"),
                **_given(
                    share=_safe(rules.calendars[at], word),
                    share_as=word,
                    share_tasks=rules.share_tasks if at == 0 else None,
                ),
            }
        )
    calendars += _elsewhere(words)
    conditions = (
        {"title": words(title("event", "public")), "area": words("area 2")},
        {"category": words("event tentative.CATEGORIES")},
    )
    said: list[dict[str, Any]] = []
    for at, (condition, (level, has_word)) in enumerate(zip(conditions, rules.rules, strict=True)):
        word = words(f"rule {at}.share_as") if has_word else ""
        said.append(_bare(condition) | _given(share=_safe(level, word), share_as=word))
    said.append(_bare({"category": "AWAYDAYS"}) | {"away": True})
    said.append({"calendar": words("calendar 1"), "person": words("person 1")} | _bare({}))
    said.append(_bare({"attendee": words("attendee of a rule")}) | {"prepare": [{"days": 2}]})
    released = [words(title("event", one)) for one in sorted(rules.events)]
    released += [words(title("todo", one)) for one in sorted(rules.todos)]
    return {
        "household": {
            "name": words("household"),
            "time_zone": "Europe/London",
            "locale": "en_GB",
            "region": "GB-ENG",
        },
        "people": people,
        "areas": areas,
        "calendars": calendars,
        "rules": said,
        "holidays": [{"date": date(2027, 3, 15), "name": words("holiday")}],
        "site": {"output": "output"},
        "sharing": {
            "persons": rules.persons,
            "times": rules.times,
            "dates": rules.dates,
            "busy_times": rules.busy_times and rules.times in {"rounded", "exact"},
            "released": released,
            **_given(tasks=rules.tasks),
        },
    }


def _elsewhere(words: Words) -> list[dict[str, Any]]:
    """Calendars of the other kinds, with all that signs in to them; they are never pulled."""
    found: list[dict[str, Any]] = [
        {
            "url": f"http://127.0.0.1:9/{words('path of a url')}.ics",
            "password_env": words("password_env").upper(),
        },
        {
            "url": f"http://127.0.0.1:9/{words('path of another url')}.ics",
            "password_file": words("password_file"),
        },
        {
            "caldav": f"http://127.0.0.1:9/{words('path of a server')}/",
            "choose": [words("choose")],
            "tick_todos": True,
            "tick_only": [words("tick_only")],
            "password_command": ["echo", words("password_command")],
        },
    ]
    for at, one in enumerate(found):
        one |= {"id": words(f"calendar elsewhere {at}"), "user": words(f"user {at}")}
    return found


def _bare(rule: dict[str, Any]) -> dict[str, Any]:
    """A rule whose other conditions are left open, and not filled with words that nothing has."""
    return {"category": "", "attendee": "", "title": "", **rule}


def _appointments(words: Words, rules: RuleSet) -> list[dict[str, Any]]:
    released = dict(rules.appointments)
    found = []
    for name, own in APPOINTMENTS.items():
        place = f"appointment {name}"
        found.append(
            {
                "id": words(place),
                "title": words(f"{place}.title"),
                "person": [words("person 0"), words("person 1")],
                "area": words("area 0"),
                "prepare": [{"days": 1}],
                **own,
                **({"only_for": [words("person 0")]} if name == "only for" else {}),
                **_release(place, released.get(name), words),
            }
        )
    return found


def _entries(
    kind: str, things: dict[str, dict[str, Any]], words: Words, rules: RuleSet
) -> list[dict[str, Any]]:
    released, found = dict(rules.entries), []
    for at, (name, own) in enumerate(things.items()):
        place = f"{kind} {name}"
        entry = {
            "id": words(f"{kind} {at}"),
            "title": words(f"{place}.title"),
            "person": words(f"person {at % 2}"),
            "area": words(f"area {at % AREAS}"),
            **own,
            **({"only_for": [words("person 0")]} if name == "only for" else {}),
            # A file that shares a health habit is a mistake, and cannot be read.
            **_release(place, None if name == "health" else released.get(place), words),
        }
        if kind == "habit":
            entry["unit"] = words(f"{place}.unit")
        if name == "paused":
            entry["pauses"] = [{"start": date(2027, 3, 16), "end": date(2027, 3, 18)}]
        found.append(entry)
    return found


def _release(place: str, stands: str | None, words: Words) -> dict[str, Any]:
    if stands is None:
        return {}
    word = words(f"{place}.share_as") if stands == "word" else stands
    return {"share": True, **_given(share_as=word)}


def may_be_seen(words: Words, rules: RuleSet) -> set[str]:
    """The words that this rule set can let through at most; written without the code it judges.

    A title needs to be released, somebody who says title, and an area that says no less. A word
    needs to be given; an area needs that it does not say less. All others are never let through.
    """
    found = {words(f"role {at}") for at in range(PERSONS) if rules.persons == "roles"}
    said = [*rules.calendars, *rules.areas, rules.share_tasks, *(level for level, _ in rules.rules)]
    entries = [*rules.appointments, *rules.entries]
    for name in rules.events & set(OPEN_EVENTS):
        area = 2 if name == "public" else 0
        if "title" in said and rules.areas[area] in {None, "title"}:
            found.add(words(title("event", name)))
    for name in rules.todos & set(OPEN_TODOS):
        if rules.share_tasks == "title" and rules.areas[0] in {None, "title"}:
            found.add(words(title("todo", name)))
    open_ones = {f"task {one}" for one in OPEN_TASKS} | {f"habit {one}" for one in OPEN_HABITS}
    places = [(f"appointment {name}", as_) for name, as_ in rules.appointments
              if name in OPEN_APPOINTMENTS]  # fmt: skip
    places += [(place, as_) for place, as_ in rules.entries if place in open_ones]
    for place, stands in places:
        if stands in {"", "word"}:
            found.add(words(f"{place}.{'share_as' if stands else 'title'}"))
    found |= {words(f"calendar {at}.share_as") for at in range(CALENDARS) if rules.words[at]}
    found |= {words(f"rule {at}.share_as") for at, (_, word) in enumerate(rules.rules) if word}
    if not entries and not {"area", "word", "title"} & set(said):
        return found
    for at, level in enumerate(rules.areas):
        if level not in {"nothing", "busy"}:
            found.add(words(f"area {at}.{'share_as' if rules.area_words[at] else 'name'}"))
    return found
