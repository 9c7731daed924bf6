"""Three steps that add something: standing routines, habits, and bills."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from weeksync.language.amounts import read_number, written_amount, written_number
from weeksync.message import Message, message
from weeksync.model.fields import MarkKind, Weekday
from weeksync.site.record import FormField, FormGroup, Link, Option, StartOffer, StartRow
from weeksync.workflow import start_suggest
from weeksync.workflow.context import Context
from weeksync.workflow.start_basics import Body, from_to, time_field
from weeksync.workflow.start_offers import (
    BILLS,
    DAYS,
    EVERY,
    HABITS,
    ROUTINES,
    HabitOffer,
    RoutineOffer,
    adults,
    days_of,
)
from weeksync.workflow.start_save import (
    BillAnswer,
    HabitAnswer,
    RoutineAnswer,
    Wrong,
    save_bills,
    save_habits,
    save_routines,
)
from weeksync.workflow.start_typed import FieldWrong, Typed, bill_amount

OWN = ("own-1", "own-2")
"""Empty rows for what nobody offers; saving shows as many again."""


def _take(context: Context, typed: Typed, key: str, title: Message) -> FormField:
    ticked = ("yes",) if typed.yes(f"{key}-take") else ()
    return FormField("yes", f"{key}-take", context.language.text(title), ticked)


def _title(context: Context, typed: Typed, key: str) -> FormField:
    label = context.language.text(message("What it is called"))
    return FormField("text", f"{key}-title", label, (typed.one(f"{key}-title"),), most=300)


def _days(context: Context, typed: Typed, key: str, stands: str) -> FormField:
    language = context.language
    options = [Option(name, language.text(text)) for name, text, _ in DAYS]
    options += [Option(str(one), language.weekday(one.number)) for one in Weekday]
    return FormField(
        "choice",
        f"{key}-days",
        language.text(message("Days")),
        (typed.one(f"{key}-days", stands),),
        tuple(options),
        narrow=True,
    )


def _who(context: Context, typed: Typed, key: str, stands: tuple[str, ...]) -> FormField:
    return FormField(
        "several",
        f"{key}-who",
        context.language.text(message("Whose")),
        typed.several(f"{key}-who", stands),
        tuple(Option(one.id, one.name) for one in context.config.people),
    )


def _own(context: Context, number: int, fields: tuple[FormField, ...]) -> StartRow:
    legend = context.language.text(message("One of your own, {number}", number=number))
    return StartRow(legend, fields, folded=not fields[0].value)


def _asked(
    context: Context, typed: Typed, offers: Sequence[tuple[str, Message]]
) -> tuple[tuple[str, str], ...]:
    """(key, title) of all that was ticked, or written down in a row of one's own."""
    say = context.language.text
    taken = [(key, say(title)) for key, title in offers if typed.yes(f"{key}-take")]
    own = [(key, title) for key in OWN if (title := typed.one(f"{key}-title"))]
    return (*taken, *own)


def _placed(
    found: Sequence[Wrong], asked: Sequence[tuple[str, str]], names: dict[str, str], otherwise: str
) -> tuple[FieldWrong, ...]:
    return tuple(
        FieldWrong(f"{asked[one.row][0]}-{names.get(one.key, otherwise)}", one.what, one.remedy)
        for one in found
    )


def _change(context: Context, what: str) -> Link:
    return Link(f"/edit/{what}", context.language.text(message("Change them")))


# Routines


def routines_body(context: Context, typed: Typed) -> Body:
    """What is offered, and rows of one's own."""
    say = context.language.text
    everybody = tuple(one.id for one in context.config.people)
    grown = tuple(one.id for one in adults(context.config.people))
    there = {one.title.casefold() for one in context.files.routines}

    def fields(key: str, one: RoutineOffer | None) -> tuple[FormField, ...]:
        who = grown if one is not None and one.adults else everybody
        return (
            time_field(say(message("from")), f"{key}-from", typed, one.start if one else ""),
            time_field(say(message("to")), f"{key}-to", typed, one.end if one else ""),
            _days(context, typed, key, one.days if one else "every"),
            _who(context, typed, key, who),
        )

    offers = [
        StartOffer(_take(context, typed, one.id, one.title), fields(one.id, one))
        for one in ROUTINES
        if say(one.title).casefold() not in there
    ]
    rows = [
        _own(context, number, (_title(context, typed, key), *fields(key, None)))
        for number, key in enumerate(OWN, start=1)
    ]
    return {
        "there": tuple(
            say(message("{title}, {hours}", title=one.title, hours=one.hours))
            for one in context.files.routines
        ),
        "change": _change(context, "routines"),
        "offers": tuple(offers),
        "offers_heading": say(message("What many have")),
        "rows": tuple(rows),
        "rows_heading": say(message("Of your own")),
        "more": say(message("Save and add more")),
    }


def routines_save(context: Context, typed: Typed) -> tuple[FieldWrong, ...]:
    """Write those that were ticked or written down."""
    asked = _asked(context, typed, [(one.id, one.title) for one in ROUTINES])
    answers = [
        RoutineAnswer(
            title,
            from_to(typed, key),
            days_of(typed.one(f"{key}-days", "every") or "every"),
            typed.several(f"{key}-who"),
        )
        for key, title in asked
    ]
    nobody = _nobody(asked, [one.persons for one in answers])
    if nobody or not answers:
        return nobody
    names = {"hours": "from", "days": "days", "person": "who", "title": "title"}
    return _placed(save_routines(context, answers), asked, names, "from")


def _nobody(
    asked: Sequence[tuple[str, str]], persons: Sequence[tuple[str, ...]]
) -> tuple[FieldWrong, ...]:
    return tuple(
        FieldWrong(f"{key}-who", message("nobody is ticked"), message("say whose it is"))
        for (key, _), who in zip(asked, persons, strict=True)
        if not who
    )


# Habits


def habits_body(context: Context, typed: Typed) -> Body:
    """What is offered, and rows of one's own."""
    say = context.language.text
    there = {one.title.casefold() for one in context.files.habits}
    first = (context.first_person,)

    def fields(key: str, one: HabitOffer | None) -> tuple[FormField, ...]:
        found = [_who(context, typed, key, first)]
        if one is None or one.kind is MarkKind.YES_NO:
            found.append(_days(context, typed, key, "every"))
        else:
            stands = one.target
            target = written_number(stands, context.language) if stands is not None else ""
            unit = say(one.unit) if one.unit else say(_FIGURES[one.kind])
            found.append(
                FormField(
                    "amount",
                    f"{key}-target",
                    say(message("From how much on a day counts; may be left empty")),
                    (typed.one(f"{key}-target", target),),
                    unit=unit,
                )
            )
        return tuple(found)

    offers = [
        StartOffer(_take(context, typed, one.id, one.title), fields(one.id, one))
        for one in HABITS
        if say(one.title).casefold() not in there
    ]
    rows = [
        _own(context, number, (_title(context, typed, key), *fields(key, None)))
        for number, key in enumerate(OWN, start=1)
    ]
    return {
        "there": tuple(one.title for one in context.files.habits if not one.only_for),
        "change": _change(context, "habits"),
        "offers": tuple(offers),
        "offers_heading": say(message("What many have")),
        "rows": tuple(rows),
        "rows_heading": say(message("Of your own")),
        "more": say(message("Save and add more")),
        "notes": (
            say(message("Figures of health, such as sleep, are never on a page that is shared.")),
        ),
    }


_FIGURES = {
    MarkKind.HOURS: message("hours"),
    MarkKind.MINUTES: message("minutes"),
    MarkKind.COUNT: message("times"),
}


def habits_save(context: Context, typed: Typed) -> tuple[FieldWrong, ...]:
    """Write those that were ticked or written down, one for each person."""
    asked = _asked(context, typed, [(one.id, one.title) for one in HABITS])
    offers = {one.id: one for one in HABITS}
    wrong = [*_nobody(asked, [typed.several(f"{key}-who") for key, _ in asked])]
    answers: list[HabitAnswer] = []
    rows: list[tuple[str, str]] = []
    for key, title in asked:
        offer, said = offers.get(key), typed.one(f"{key}-target")
        target = _figure(context, said)
        if said and target is None:
            wrong.append(
                FieldWrong(
                    f"{key}-target",
                    message("“{value}” is no number", value=said[:40]),
                    message(
                        "write one as {example}, or leave it empty",
                        example=written_number(7.5, context.language),
                    ),
                )
            )
        unit = context.language.text(offer.unit) if offer and offer.unit else ""
        days = days_of(typed.one(f"{key}-days") or "every")
        for person in typed.several(f"{key}-who"):
            answers.append(HabitAnswer(title, person, days, target=target, offer=offer, unit=unit))
            rows.append((key, title))
    if wrong or not answers:
        return tuple(wrong)
    names = {"target": "target", "days": "days", "person": "who", "title": "title"}
    return _placed(save_habits(context, answers), rows, names, "who")


def _figure(context: Context, text: str) -> float | None:
    try:
        found = read_number(text, context.language)
    except ValueError:
        return None
    return int(found) if found == int(found) else float(found)


# Bills


def bills_body(context: Context, typed: Typed) -> Body:
    """What is offered, and rows of one's own. Amounts that stand there are not shown."""
    say = context.language.text
    there = {one.title.casefold() for one in context.files.bills}
    currency = typed.one("currency", start_suggest.currency(context.files))

    def fields(key: str) -> tuple[FormField, ...]:
        return (
            FormField(
                "amount",
                f"{key}-amount",
                say(message("Amount, if it is known")),
                (typed.one(f"{key}-amount"),),
                unit=currency,
                narrow=True,
            ),
            FormField(
                "date",
                f"{key}-first",
                say(message("Next due on")),
                (typed.one(f"{key}-first"),),
                narrow=True,
            ),
            FormField(
                "choice",
                f"{key}-every",
                say(message("How often")),
                (typed.one(f"{key}-every", "month"),),
                tuple(Option(name, say(text)) for name, text in EVERY),
                narrow=True,
            ),
            FormField(
                "choice",
                f"{key}-way",
                say(message("How it is paid")),
                (typed.one(f"{key}-way", "collected"),),
                (
                    Option("collected", say(message("it is collected"))),
                    Option("hand", say(message("by hand"))),
                ),
                narrow=True,
            ),
        )

    offers = [
        StartOffer(_take(context, typed, key, title), fields(key))
        for key, title in BILLS
        if say(title).casefold() not in there
    ]
    rows = [
        _own(context, number, (_title(context, typed, key), *fields(key)))
        for number, key in enumerate(OWN, start=1)
    ]
    money = FormField(
        "text",
        "currency",
        say(message("Currency, the three letters of ISO 4217")),
        (currency,),
        most=3,
        narrow=True,
    )
    return {
        "there": tuple(one.title for one in context.files.bills if not one.only_for),
        "change": _change(context, "bills"),
        "groups": (FormGroup("", (money,)),),
        "offers": tuple(offers),
        "offers_heading": say(message("What many have")),
        "rows": tuple(rows),
        "rows_heading": say(message("Of your own")),
        "more": say(message("Save and add more")),
    }


def bills_save(context: Context, typed: Typed) -> tuple[FieldWrong, ...]:
    """Write those that were ticked or written down."""
    asked = _asked(context, typed, list(BILLS))
    currency = typed.one("currency").upper()
    wrong: list[FieldWrong] = []
    answers: list[BillAnswer] = []
    for key, title in asked:
        first, amount = _day(typed.one(f"{key}-first")), typed.one(f"{key}-amount")
        minor: int | None = None
        if first is None:
            wrong.append(
                FieldWrong(
                    f"{key}-first",
                    message("there is no day"),
                    message("write the day on which it is due next"),
                )
            )
        if amount:
            try:
                minor = bill_amount(amount, currency, context.language)
            except ValueError:
                wrong.append(
                    FieldWrong(
                        f"{key}-amount",
                        message("“{value}” is no amount", value=amount[:40]),
                        message(
                            "write one as {example}, or leave it empty",
                            example=written_amount(4250, "GBP", context.language),
                        ),
                    )
                )
        every = typed.one(f"{key}-every")
        every = every if every in dict(EVERY) else "month"
        by_hand = typed.one(f"{key}-way") == "hand"
        answers.append(BillAnswer(title, first or date.min, every, minor, by_hand))
    if wrong or not answers:
        return tuple(wrong)
    found = save_bills(context, answers, currency)
    if any(one.key == "currency" for one in found):
        one = next(one for one in found if one.key == "currency")
        return (FieldWrong("currency", one.what, one.remedy),)
    names = {"amount": "amount", "first": "first", "title": "title", "repeats": "every"}
    return _placed(found, asked, names, "first")


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None
