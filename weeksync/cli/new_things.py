"""Routines, habits and bills at the keyboard: what is offered is taken with a letter."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from weeksync.cli.choices import YES_OR_NO, choose
from weeksync.errors import UsageError
from weeksync.language.amounts import written_amount
from weeksync.message import Message, message
from weeksync.model.config import Person
from weeksync.model.fields import Weekday
from weeksync.workflow import start_suggest
from weeksync.workflow.spans import day_named
from weeksync.workflow.start_offers import BILLS, DAYS, EVERY, HABITS, ROUTINES, adults
from weeksync.workflow.start_save import (
    BillAnswer,
    HabitAnswer,
    RoutineAnswer,
    save_bills,
    save_habits,
    save_routines,
)
from weeksync.workflow.start_typed import bill_amount

if TYPE_CHECKING:
    from weeksync.cli.new_evening import Evening

_TAKE = (
    (message("[t]ake it"), "take"),
    (message("[o]ther hours"), "other"),
    (message("[l]eave it out"), "leave"),
)
_FROM_TO = message("From–to, as 17:30-18:15")
_HOW_DAYS = message("write every day, or weekdays with commas, as Mon, Wed")
_HOW_NAMES = message("write names of people of the household, with commas")


def ask_for_routines(evening: Evening) -> None:
    """What is offered, then one's own."""
    there = {one.title.casefold() for one in evening.context.files.routines}
    for offer in ROUTINES:
        title = evening.say(offer.title)
        if title.casefold() in there:
            continue
        who = adults(_people(evening)) if offer.adults else _people(evening)
        days = {name: text for name, text, _ in DAYS}[offer.days]
        hours = f"{offer.start}-{offer.end}"
        evening.terminal.say(
            message("  {title}, {days}, {hours}", title=title, days=evening.say(days), hours=hours)
        )
        what = choose(evening.terminal, _TAKE)
        if what == "other":
            hours = evening.ask(_FROM_TO)
        if what != "leave":
            _routine(evening, title, hours, _weekdays(offer.days), tuple(one.id for one in who))
    while title := evening.ask(message("One of your own (empty: no more)")):
        hours = evening.ask(_FROM_TO)
        chosen_days = _ask_days(evening)
        _routine(evening, title, hours, chosen_days, _ask_persons(evening))


def _routine(
    evening: Evening,
    title: str,
    hours: str,
    days: tuple[Weekday, ...],
    persons: tuple[str, ...],
) -> None:
    """Written; asked for other hours until they are some."""
    while not evening.written(
        save_routines(evening.context, [RoutineAnswer(title, hours, days, persons)])
    ):
        hours = evening.ask(_FROM_TO)


def ask_for_habits(evening: Evening) -> None:
    """What is offered, then one's own; each is the first person's unless somebody else is named."""
    there = {one.title.casefold() for one in evening.context.files.habits}
    for offer in HABITS:
        title = evening.say(offer.title)
        if title.casefold() in there or not _is_taken(evening, title):
            continue
        unit = evening.say(offer.unit) if offer.unit else ""
        answers = [
            HabitAnswer(title, person, target=offer.target, offer=offer, unit=unit)
            for person in _ask_persons(evening, first=True)
        ]
        evening.written(save_habits(evening.context, answers))
    while title := evening.ask(message("One of your own (empty: no more)")):
        days = _ask_days(evening)
        answers = [HabitAnswer(title, person, days) for person in _ask_persons(evening, first=True)]
        evening.written(save_habits(evening.context, answers))


def _is_taken(evening: Evening, title: str) -> bool:
    evening.terminal.say(f"  {title}")
    return choose(evening.terminal, YES_OR_NO)


def ask_for_bills(evening: Evening) -> None:
    """Title by title: when it is due, how often, how much."""
    names = ", ".join(evening.say(title) for _, title in BILLS)
    currency, example = "", written_amount(4250, "GBP", evening.context.language)
    while title := evening.ask(message("A bill, such as {names} (empty: no more)", names=names)):
        if not currency:
            currency = evening.until(
                message("Currency, the three letters of ISO 4217"),
                start_suggest.currency(evening.context.files),
                lambda text: text.upper() if len(text) == 3 and text.isalpha() else None,
                message("write three letters, as GBP"),
            )
        first = evening.until(
            message("Next due on, as 24 Mar or 2027-03-24"),
            "",
            lambda text: _day(evening, text),
            message("write a day that is to come"),
        )
        every = _ask_every(evening)
        amount = evening.until(
            message(
                "Amount, as {example} ({none}: not known beforehand)", example=example, none="-"
            ),
            "-",
            lambda text, known=currency: _amount(evening, text, known),  # type: ignore[misc]
            message("write an amount as {example}", example=example),
        )
        evening.terminal.say(message("  How is it paid?"))
        ways = ((message("it is [c]ollected"), False), (message("by [h]and"), True))
        by_hand = choose(evening.terminal, ways)
        answer = BillAnswer(title, first, every, None if amount < 0 else amount, by_hand)
        evening.written(save_bills(evening.context, [answer], currency))


def _day(evening: Evening, text: str) -> date | None:
    try:
        return day_named(text, evening.context) if text else None
    except UsageError:
        return None


def _amount(evening: Evening, text: str, currency: str) -> int | None:
    """Minor units, -1 for an amount that is not known, None for no amount."""
    if text == "-":
        return -1
    try:
        return bill_amount(text, currency, evening.context.language)
    except ValueError:
        return None


def _ask_every(evening: Evening) -> str:
    choices: Sequence[tuple[Message, str]] = [(text, name) for name, text in EVERY]
    return choose(evening.terminal, choices)


def _people(evening: Evening) -> tuple[Person, ...]:
    return evening.context.config.people


def _weekdays(name: str) -> tuple[Weekday, ...]:
    return next(days for one, _, days in DAYS if one == name)


def _ask_days(evening: Evening) -> tuple[Weekday, ...]:
    language = evening.terminal.language
    every = language.text(DAYS[0][1])
    names = {language.weekday(one.number).casefold(): one for one in Weekday}

    def read(text: str) -> tuple[Weekday, ...] | None:
        if text.casefold() == every.casefold():
            return tuple(Weekday)
        for _, called, days in DAYS:
            if text.casefold() == language.text(called).casefold():
                return days
        words = [one.strip().casefold() for one in text.split(",") if one.strip()]
        found = [[day for name, day in names.items() if name.startswith(word)] for word in words]
        if not found or any(len(one) != 1 for one in found):
            return None
        return tuple(sorted((one[0] for one in found), key=lambda day: day.number))

    return evening.until(message("Days"), every, read, _HOW_DAYS)


def _ask_persons(evening: Evening, *, first: bool = False) -> tuple[str, ...]:
    people = _people(evening)
    if len(people) == 1:
        return (people[0].id,)
    proposal = people[0].name if first else ", ".join(one.name for one in people)

    def read(text: str) -> tuple[str, ...] | None:
        wanted = [one.strip().casefold() for one in text.split(",") if one.strip()]
        found = [one.id for one in people if one.name.casefold() in wanted or one.id in wanted]
        return tuple(found) if found and len(found) == len(set(wanted)) else None

    return evening.until(message("Whose"), proposal, read, _HOW_NAMES)
