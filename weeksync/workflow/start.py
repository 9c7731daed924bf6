"""The first evening: its steps in their order, what is done of them, and what was left out.

What stands in the household's files says by itself that a step is done; what was only looked at,
or left out for now, is kept in `state/start.json`. Losing that file loses ticks and nothing else.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from enum import StrEnum

from weeksync.errors import HouseholdError
from weeksync.household import replace_file
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.workflow.context import Context

NAME = "start.json"
FORMAT = 1


class StepState(StrEnum):
    """How a step stands."""

    OPEN = "open"
    DONE = "done"
    LEFT = "left out"


@dataclass(frozen=True, slots=True)
class Step:
    """One step: `id` is the last part of its address, `/start/people`."""

    id: str
    title: Message
    what: Message
    """What it is for, in a sentence or two."""


STEPS = (
    Step(
        "household",
        message("The household"),
        message("Its name, where it is, and how its pages are written."),
    ),
    Step("people", message("People"), message("Who lives here, and who is often on the pages.")),
    Step(
        "areas",
        message("Areas of life"),
        message(
            "What tasks, habits and events serve. Each has a colour and a letter, so that it is "
            "told apart without the colour, too."
        ),
    ),
    Step(
        "day-parts",
        message("Parts of the day"),
        message("When a morning, an afternoon and an evening begin and end at your home."),
    ),
    Step(
        "routines",
        message("Standing routines"),
        message(
            "What takes somebody's time again and again and is not worth a line on the page. It is "
            "taken off the time that can be planned."
        ),
    ),
    Step(
        "habits",
        message("Habits"),
        message("What is to be done again and again, and daily figures to note. A few will do."),
    ),
    Step(
        "bills",
        message("Bills"),
        message("What is to be paid and when. Amounts are on no common page."),
    ),
    Step(
        "calendars",
        message("Calendars"),
        message(
            "Calendars you have already, from a server, the web or a file. None is needed: "
            "appointments can be written down here as well."
        ),
    ),
    Step(
        "nightly",
        message("Every night"),
        message("A timer that fetches the calendars and makes the pages while you are asleep."),
    ),
    Step(
        "devices",
        message("Tablets and PINs"),
        message("A tablet of the home is let in by a code; a PIN opens the pages of one's own."),
    ),
    Step("print", message("Look and print"), message("Your week, on the screen and on paper.")),
)
"""In the order in which they are gone through; each can be left out and come back to."""

IDS = tuple(step.id for step in STEPS)
_BASICS = frozenset({"household", "people", "areas", "day-parts"})


@dataclass(frozen=True, slots=True)
class Course:
    """How far it is: the state of each step, by its id."""

    states: Mapping[str, StepState]

    @property
    def next(self) -> str:
        """The first step that is neither done nor left out, else the last one."""
        return next((one for one in IDS if self.states[one] is StepState.OPEN), IDS[-1])

    def after(self, step: str) -> str:
        """The next open step behind this one, else the last one."""
        behind = IDS[IDS.index(step) + 1 :]
        return next((one for one in behind if self.states[one] is StepState.OPEN), IDS[-1])


def step(ident: str) -> Step | None:
    """The step of that id."""
    return next((one for one in STEPS if one.id == ident), None)


def begin(context: Context) -> None:
    """A household that was made without a question: nothing in it is an answer yet."""
    _write(context, {"fresh": True, "done": [], "left_out": []})


def course(context: Context) -> Course:
    """What is done, by the household's files and by what was kept."""
    kept = _read(context)
    done, left = set(kept["done"]), set(kept["left_out"])
    files = context.files
    if not kept["fresh"]:
        done |= _BASICS
    found = {
        "routines": files.routines,
        "habits": files.habits,
        "bills": files.bills,
        "calendars": files.config.calendars,
    }
    done |= {name for name, things in found.items() if things}
    states = dict.fromkeys(IDS, StepState.OPEN)
    states |= {one: StepState.LEFT for one in IDS if one in left}
    states |= {one: StepState.DONE for one in IDS if one in done}
    return Course(states)


def placeholder(context: Context) -> str:
    """The id of the person who was put there without asking, "" once somebody has said who."""
    fresh = bool(_read(context)["fresh"])
    said = course(context).states["people"] is StepState.DONE
    return context.first_person if fresh and not said else ""


def mark_done(context: Context, ident: str) -> None:
    """This step has been gone through."""
    _move(context, ident, "done", "left_out")


def leave_out(context: Context, ident: str) -> None:
    """This step is left out for now."""
    _move(context, ident, "left_out", "done")


def _move(context: Context, ident: str, into: str, out_of: str) -> None:
    kept = _read(context)
    into_list = [*(one for one in kept[into] if one != ident), ident]
    rest = [one for one in kept[out_of] if one != ident]
    _write(context, {**kept, into: into_list, out_of: rest})


def _read(context: Context) -> dict[str, list[str]]:
    kept: dict[str, list[str]] = {"fresh": [], "done": [], "left_out": []}
    try:
        found = json.loads((context.state / NAME).read_text("utf-8"))
    except (OSError, ValueError):
        return kept
    if not isinstance(found, dict) or found.get("format") != FORMAT:
        return kept
    for key in ("done", "left_out"):
        values = found.get(key)
        kept[key] = [one for one in values if one in IDS] if isinstance(values, list) else []
    return {**kept, "fresh": ["yes"] if found.get("fresh") else []}


def _write(context: Context, kept: Mapping[str, object]) -> None:
    said = {**kept, "fresh": bool(kept["fresh"])}
    try:
        context.state.mkdir(mode=0o700, parents=True, exist_ok=True)
        text = json.dumps({"format": FORMAT, **said}) + "\n"
        replace_file(context.state / NAME, text.encode(), mode=0o600)
    except (OSError, HouseholdError):  # only the ticks: the answers themselves are in their files
        return
