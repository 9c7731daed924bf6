"""The step of the calendars: an address is tried out as it is typed, then taken in."""

from __future__ import annotations

import threading
from contextlib import suppress
from dataclasses import replace
from datetime import datetime

from weeksync.errors import WeeksyncError
from weeksync.message import counted, message
from weeksync.site.record import FormField, FormGroup, FoundCalendar, Link, MistakeLine, Option
from weeksync.workflow.context import Context
from weeksync.workflow.opening import open_store
from weeksync.workflow.probe import Coming, Probed, Seen
from weeksync.workflow.pull import pull
from weeksync.workflow.start_basics import Body
from weeksync.workflow.start_pocket import POCKET, Looking
from weeksync.workflow.start_save import save_calendar
from weeksync.workflow.start_typed import FieldWrong, Typed

PATIENCE = 15.0
"""Seconds that a page waits for a server before it says that it is still waiting."""
PULL_WAIT = 120.0
"""Seconds that the first pull waits for another run that writes."""


def calendars_body(context: Context, typed: Typed, look: str = "") -> Body:
    """The form for an address; or what was found behind one, to be taken in."""
    say = context.language.text
    there = tuple(one.label for one in context.config.calendars)
    body: Body = {"there": there, "change": None}
    one = POCKET.get(look) if look else None
    if one is None:
        gone = say(message("That took too long to be kept; type it once more.")) if look else ""
        return body | _address(context, typed, gone)
    if not one.ready.wait(PATIENCE):
        return body | {
            "action": "",
            "notes": (
                say(message("It has not sent everything yet. A large calendar may take minutes.")),
            ),
            "go": (Link(f"/start/calendars?look={look}", say(message("Look again"))),),
        }
    if one.probed is None:
        failed = say(one.failed) if one.failed is not None else ""
        return body | _address(context, _as_typed(one), "", failed)
    return body | _found(context, typed, one.probed, look)


def _as_typed(one: Looking) -> Typed:
    """What was typed, but for the password."""
    return Typed({"address": (one.address,), "user": (one.user,)})


def _address(context: Context, typed: Typed, gone: str, failed: str = "") -> Body:
    say = context.language.text
    fields = (
        FormField(
            "text",
            "address",
            say(message("Address, or a file or folder on this computer")),
            (typed.one("address"),),
            hint=say(
                message(
                    "A server (its name is enough), an address on the web that ends in .ics, or "
                    "the path of an .ics file."
                )
            ),
            mistake=failed,
            most=2000,
        ),
        FormField(
            "text",
            "user",
            say(message("Name to sign in with, where the server asks for one")),
            (typed.one("user"),),
            most=300,
        ),
    )
    secret = FormField(
        "password",
        "secret",
        say(message("Password")),
        hint=say(
            message(
                "It is never written into config.toml, but into a file of its own in the folder "
                "passwords, which nobody else on this computer may read."
            )
        ),
    )
    lines = (MistakeLine("address", fields[0].label, failed),) if failed else ()
    return {
        "mistakes": lines,
        "groups": (FormGroup("", fields),),
        "secret": secret,
        "buttons": (("look", say(message("Look what comes in"))),),
        "notes": (gone,) if gone else (),
    }


def _found(context: Context, typed: Typed, probed: Probed, look: str) -> Body:
    say = context.language.text
    titles = tuple(dict.fromkeys(one.title for one in probed.calendars if one.title))
    several = probed.source.kind == "caldav" and len(titles) > 1
    people = tuple(Option(one.id, one.name) for one in context.config.people)
    areas = tuple(Option(one.id, one.name) for one in context.config.areas)
    named = titles[0] if len(titles) == 1 else probed.source.id
    fields = [
        FormField("hidden", "look", "", (look,)),
        FormField(
            "text",
            "name",
            say(message("What it is called on your pages")),
            (typed.one("name", named),),
            most=300,
        ),
        FormField(
            "several",
            "persons",
            say(message("Whose time its events take; without anybody it is nobody's")),
            typed.several("persons", (people[0].value,) if len(people) == 1 else ()),
            people,
        ),
        FormField(
            "choice",
            "area",
            say(message("Area of life")),
            (typed.one("area"),),
            (Option("", say(message("none"))), *areas),
            narrow=True,
        ),
    ]
    if several:
        which = FormField(
            "several",
            "choose",
            say(message("Which of its calendars")),
            typed.several("choose", titles),
            tuple(Option(one, one) for one in titles),
        )
        fields.insert(2, which)
    problems = len(probed.problems)
    notes = (
        counted(
            "{count} thing in it cannot be read; the page of problems will say which.",
            "{count} things in it cannot be read; the page of problems will say which.",
            problems,
        ),
    )
    return {
        "found": tuple(_calendar(context, one, named) for one in probed.calendars),
        "groups": (FormGroup("", tuple(fields)),),
        "buttons": (
            ("take", say(message("Take it in"))),
            ("other", say(message("Another address"))),
        ),
        "notes": tuple(map(say, notes)) if problems else (),
    }


def _calendar(context: Context, one: Seen, named: str) -> FoundCalendar:
    count = counted("{count} entry", "{count} entries", one.entries)
    return FoundCalendar(
        one.title or named,
        context.language.text(count),
        tuple((coming_when(context, coming), coming.title) for coming in one.next),
    )


def coming_when(context: Context, one: Coming) -> str:
    """When it begins, in words."""
    if isinstance(one.start, datetime):
        return context.language.moment(one.start)
    return context.language.date(one.start, "medium")


def take_in(context: Context, typed: Typed) -> tuple[FieldWrong, ...]:
    """The calendar behind the token, into `config.toml`, and its first pull in the background."""
    one = POCKET.get(typed.one("look"))
    if one is None or one.probed is None:
        return (
            FieldWrong("", message("that took too long to be kept; type the address once more")),
        )
    titles = {seen.title for seen in one.probed.calendars}
    chosen = tuple(name for name in typed.several("choose") if name in titles)
    if typed.several("choose") == () and len(titles) > 1 and one.probed.source.kind == "caldav":
        return (
            FieldWrong(
                "choose",
                message("no calendar is ticked"),
                message("tick at least one, or try another address"),
            ),
        )
    known = {person.id for person in context.config.people}
    persons = tuple(person for person in typed.several("persons") if person in known)
    source = replace(
        one.probed.source,
        name=typed.one("name"),
        choose=() if set(chosen) == titles else chosen,
        person=persons[0] if len(persons) == 1 else persons,
        area=typed.one("area") or None,
    )
    taken = {calendar.id for calendar in context.config.calendars}
    if source.id in taken:  # two of one server, tried out side by side
        free = (f"{source.id}-{number}" for number in range(2, len(taken) + 3))
        source = replace(source, id=next(one for one in free if one not in taken))
    found = save_calendar(context, source, one.secret if source.user else "")
    if not found:
        POCKET.done(typed.one("look"))
        first_pull(context, source.id)
    return tuple(FieldWrong(one.key, one.what, one.remedy) for one in found)


def first_pull(context: Context, source: str) -> None:
    """Bring in what it holds, so that it is on the next pages; whoever serves them sees it."""

    def run() -> None:
        # What is wrong is kept in the store as of any pull, and told on the pages.
        with suppress(WeeksyncError):
            now = Context.read(context.folder, context.now, output=context.output_folder)
            with open_store(now, wait=PULL_WAIT) as store:
                pull(now, store, only=[source])

    threading.Thread(target=run, daemon=True, name="first pull").start()
