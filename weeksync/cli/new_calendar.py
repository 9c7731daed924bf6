"""Calendars at the keyboard: each is tried out as it is typed, and only then taken in."""

from __future__ import annotations

import getpass
from dataclasses import replace
from typing import TYPE_CHECKING

from weeksync.cli.choices import Stopped, is_yes
from weeksync.errors import WeeksyncError
from weeksync.message import counted, message
from weeksync.workflow.probe import Probed, in_words, is_asked_over_the_net, probe
from weeksync.workflow.start_calendars import coming_when
from weeksync.workflow.start_save import save_calendar

if TYPE_CHECKING:
    from weeksync.cli.new_evening import Evening


def ask_for_calendars(evening: Evening) -> None:
    """An address after the other, until an empty one."""
    while address := evening.ask(
        message("A calendar: server, web address or file (empty: no more)")
    ):
        user = secret = ""
        try:
            if is_asked_over_the_net(evening.context, address):
                user = evening.ask(message("Name to sign in with (empty: none is needed)"))
                secret = _password(evening) if user else ""
            probed = probe(evening.context, address, user, secret)
        except WeeksyncError as error:
            evening.terminal.complain(in_words(error, address, user))
            continue
        _tell(evening, probed)
        if is_yes(evening.terminal, message("  Take it in?")):
            _take_in(evening, probed, secret)


def _password(evening: Evening) -> str:
    """Typed without being shown."""
    evening.terminal.say(
        message(
            "  The password is never written into config.toml, but into a file of its own in the "
            "folder passwords, which nobody else on this computer may read."
        )
    )
    try:
        return getpass.getpass(f"  {evening.say(message('Password'))}: ")
    except EOFError as error:
        raise Stopped from error


def _tell(evening: Evening, probed: Probed) -> None:
    for one in probed.calendars:
        count = counted(
            "  {title}: {count} entry",
            "  {title}: {count} entries",
            one.entries,
            title=one.title or probed.source.id,
        )
        evening.terminal.say(count)
        for coming in one.next:
            when = coming_when(evening.context, coming)
            evening.terminal.say(f"    {when}  {_printable(coming.title)}")
    if probed.problems:
        evening.terminal.say(
            counted(
                "  {count} thing in it cannot be read; weeksync check will say which.",
                "  {count} things in it cannot be read; weeksync check will say which.",
                len(probed.problems),
            )
        )


def _printable(text: str) -> str:
    """What a calendar says, without what would move the cursor."""
    return "".join(sign if sign.isprintable() else " " for sign in text)


def _take_in(evening: Evening, probed: Probed, secret: str) -> None:
    titles = tuple(dict.fromkeys(one.title for one in probed.calendars if one.title))
    chosen: tuple[str, ...] = ()
    if probed.source.kind == "caldav" and len(titles) > 1:
        everything = ", ".join(titles)

        def read(text: str) -> tuple[str, ...] | None:
            if text == everything:
                return titles
            wanted = {one.strip().casefold() for one in text.split(",") if one.strip()}
            found = tuple(one for one in titles if one.casefold() in wanted)
            return found if found and len(found) == len(wanted) else None

        chosen = evening.until(
            message("Which of them, with commas"),
            everything,
            read,
            message("write their names as they stand above"),
        )
    name = evening.ask(
        message("What it is called on your pages"),
        titles[0] if len(titles) == 1 else probed.source.id,
    )
    people = {one.name.casefold(): one.id for one in evening.context.config.people}

    def whose(text: str) -> tuple[str, ...] | None:
        wanted = [one.strip().casefold() for one in text.split(",") if one.strip(" -")]
        return tuple(people[one] for one in wanted) if set(wanted) <= set(people) else None

    persons = evening.until(
        message("Whose time its events take ({none}: nobody's)", none="-"),
        "-",
        whose,
        message("write names of people of the household, with commas"),
    )
    source = replace(
        probed.source,
        name=name,
        choose=() if set(chosen) == set(titles) else chosen,
        person=persons[0] if len(persons) == 1 else persons,
    )
    if evening.written(save_calendar(evening.context, source, secret)):
        evening.terminal.say(message("  It is taken in."))
