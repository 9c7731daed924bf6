"""Deeds that close the last week: loose ends, blanks, lessons, bills, answers, the week itself."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from weeksync.household import TaskChange, change_tasks, evening_edits
from weeksync.language.amounts import read_amount
from weeksync.message import Message, counted, message
from weeksync.model.household import Mark
from weeksync.model.marking import DONE
from weeksync.model.money import MOST, Paid
from weeksync.site.plan_evening_facts import MARKS, Blank
from weeksync.workflow import carry
from weeksync.workflow.carry import LeftOver, Part
from weeksync.workflow.close import close_week, reopen_week
from weeksync.workflow.evening_sitting import Deed, Meanwhile, Missaid, Sitting
from weeksync.workflow.mark import by_hand, take_by_hand, take_marks
from weeksync.workflow.placing import needed
from weeksync.workflow.review import answer

MOST_PARTS = 4
"""Parts that a task is split into at once on the page."""


def _of(one: LeftOver) -> tuple[str, tuple[str, ...]]:
    return one.task.title, one.task.only_for


# Loose ends: the same functions as `weeksync carry`


def done(sitting: Sitting) -> Deed:
    """It has been done; it stands as done today."""
    one = sitting.task(message("“{title}” is done", title=sitting.title()))
    title, only_for = _of(one)
    context = sitting.context
    mark = by_hand(context, one.task.id, context.today, DONE, device=sitting.device)
    what = message("“{title}” is done", title=title)

    def do() -> None:
        taken = take_by_hand(context, mark)
        if taken.refused:
            raise Meanwhile((taken.refused[0].what,), what, again=False)

    return Deed(what, do, only_for)


def as_proposed(sitting: Sitting) -> Deed:
    """Where there is room for it, at the times proposed."""
    one = sitting.task(message("Take “{title}” as proposed", title=sitting.title()))
    title, only_for = _of(one)
    if not one.pieces:
        wish = message("Take “{title}” as proposed", title=title)
        raise Meanwhile((message("There is no room for it any more."),), wish, again=False)
    day = sitting.said(one.pieces[0].start.date())
    what = message("“{title}” is planned for {day}", title=title, day=day)
    return Deed(what, lambda: carry.do_as_proposed(sitting.context, one), only_for)


def give_date(sitting: Sitting) -> Deed:
    """Plan it for a day, however far."""
    day = sitting.day("date")
    what = message("“{title}” has a date: {day}", title=sitting.title(), day=sitting.said(day))
    one = sitting.task(what)
    _, only_for = _of(one)
    return Deed(what, lambda: carry.give_date(sitting.context, one, day), only_for)


def park(sitting: Sitting) -> Deed:
    """Set it aside until a day: it cannot be begun before."""
    day = sitting.day("until")
    until = sitting.said(day)
    what = message("“{title}” is set aside until {day}", title=sitting.title(), day=until)
    one = sitting.task(what)
    if day <= sitting.context.today:
        raise Missaid({"until": message("{day} is today; choose a later day", day=day.isoformat())})
    _, only_for = _of(one)
    seen = needed(sitting.context, one.task)
    change = TaskChange(seen, {"not_before": day, "day": None, "part": None})
    return Deed(what, lambda: change_tasks(sitting.context.folder, [change]), only_for)


def split(sitting: Sitting) -> Deed:
    """Put two or more tasks in its place."""
    one = sitting.task(message("Split “{title}”", title=sitting.title()))
    parts = [Part(title[:300], _minutes(sitting, at)) for at, title in _titles(sitting)]
    if len(parts) < 2:
        raise Missaid({"part-0": message("write at least two parts, each with a title")})
    title, only_for = _of(one)
    titles = sitting.context.language.quoted(part.title for part in parts)
    what = message("“{title}” is split into {titles}", title=title, titles=titles)
    return Deed(what, lambda: carry.split(sitting.context, one, parts), only_for)


def _titles(sitting: Sitting) -> Iterator[tuple[int, str]]:
    for at in range(MOST_PARTS):
        if title := sitting.text(f"part-{at}"):
            yield at, title


def _minutes(sitting: Sitting, at: int) -> int | None:
    text = sitting.text(f"minutes-{at}")
    if not text:
        return None
    if text.isdecimal() and len(text) < 5 and 0 < int(text) <= 24 * 60:
        return int(text)
    raise Missaid({f"minutes-{at}": message("write a number of minutes, at most 1440")})


def drop(sitting: Sitting) -> Deed:
    """Give it up; one that repeats ends with that."""
    one = sitting.task(message("Drop “{title}”", title=sitting.title()))
    title, only_for = _of(one)
    what = message("“{title}” is dropped", title=title)
    return Deed(what, lambda: carry.drop(sitting.context, one), only_for)


def leave(sitting: Sitting) -> Deed:
    """Leave it as it is; nobody is asked about it again in this hour."""
    one = sitting.task(message("Leave “{title}” as it is", title=sitting.title()))
    title, only_for = _of(one)
    what = message("“{title}” is left as it is", title=title)
    return _settled(sitting, what, [f"task:{one.task.id}"], only_for)


def _settled(
    sitting: Sitting, what: Message, things: list[str], only_for: tuple[str, ...] = ()
) -> Deed:
    folder, last = sitting.context.folder, sitting.evening.last
    return Deed(what, lambda: evening_edits.settle(folder, last, things), only_for)


# Blanks of the marks


def marks(sitting: Sitting) -> Deed:
    """What the blanks of last week are, habit by habit; what is not said stays not recorded."""
    context = sitting.context
    found: list[Mark] = []
    for blank in sitting.evening.blanks:
        found += _marks_of(sitting, blank)
    what = counted("{count} blank is filled in", "{count} blanks are filled in", len(found))
    if not found:
        what = message("The blanks stay not recorded")

    def do() -> None:
        take_marks(context, found)
        evening_edits.settle(context.folder, sitting.evening.last, [MARKS])

    return Deed(what, do)


def _marks_of(sitting: Sitting, blank: Blank) -> Iterator[Mark]:
    value = {"missed": "no", "done": "yes"}.get(sitting.text(f"blank-{blank.row.id}"))
    if value is not None:
        for day in blank.days:
            yield by_hand(sitting.context, blank.row.id, day, value, device=sitting.device)


# Lessons to make up


def make_up(sitting: Sitting) -> Deed:
    """A day on which one is made up, or none: then it is let be."""
    name = sitting.text("lesson")
    one = next((one for one in sitting.evening.to_make_up if one.lesson.id == name), None)
    if one is None:
        raise Meanwhile(
            (message("Nothing is to be made up there any more."),),
            message("Give the lesson a day"),
            again=False,
        )
    subject = one.lesson.subject
    if sitting.text("let") == "be":
        what = message("“{title}” is not made up for now", title=subject)
        return _settled(sitting, what, [f"lesson:{name}"])
    day = sitting.day("make-up")
    what = message("“{title}” is made up on {day}", title=subject, day=sitting.said(day))
    if sitting.text("was") != sitting.evening.was.get(f"lesson:{name}"):
        text = message("“{title}” has been changed meanwhile", title=subject)
        raise Meanwhile((text,), what, again=True)
    return Deed(what, lambda: evening_edits.make_up(sitting.context.folder, one.lesson, day))


# Bills by hand


def paid(sitting: Sitting) -> Deed:
    """Whether a bill was paid, when, and how much where pages are unlocked."""
    name, _, due_text = sitting.text("bill").rpartition("/")
    item = next(
        (one for one in sitting.evening.bills if (one.id, str(one.due)) == (name, due_text)), None
    )
    bill = next((one for one in sitting.context.files.bills if one.id == name), None)
    if item is None or bill is None:
        raise Meanwhile(
            (message("Somebody has said that it is paid, or has taken it away."),),
            message("Say whether the bill is paid"),
            again=False,
        )
    if sitting.text("not-yet"):
        what = message("“{title}” is not paid yet", title=item.title)
        return _settled(sitting, what, [f"bill:{name}/{due_text}"], item.only_for)
    on = sitting.day("on", coming=False)
    if on > sitting.context.today:
        raise Missaid({"on": message("{day} is not over; write a day up to today", day=str(on))})
    amount = _amount(sitting, item.currency)
    what = message("“{title}” is paid", title=item.title)
    if sitting.text("was") != sitting.evening.was.get(f"bill:{name}"):
        text = message("“{title}” has been changed meanwhile", title=item.title)
        raise Meanwhile((text,), what, again=True)
    entry = Paid(due=date.fromisoformat(due_text), on=on, amount=amount)
    return Deed(what, lambda: evening_edits.pay(sitting.context.folder, bill, entry), item.only_for)


def _amount(sitting: Sitting, currency: str | None) -> int | None:
    """The amount that was written, in minor units; None where none was, or pages are locked."""
    text = sitting.text("amount")
    if not text or sitting.evening.person is None:
        return None
    try:
        amount = read_amount(text, currency or "", sitting.context.language)
    except ValueError:
        amount = -1
    if not 0 <= amount <= MOST:
        raise Missaid({"amount": message("write an amount as 42.50")})
    return amount


# The questions, and the week itself


def answers(sitting: Sitting) -> Deed:
    """What a person answers to the questions of the household."""
    context, evening = sitting.context, sitting.evening
    person = evening.person or sitting.text("person")
    known = [one.id for one in context.config.people]
    if person not in known:
        raise Missaid({"person": message("say who answers")})
    given = {
        question: text
        for number, question in enumerate(evening.answers.questions)
        if (text := sitting.text(f"answer-{number}")) or evening.person is not None
    }
    if not any(given.values()):
        raise Missaid({"answer-0": message("write an answer, or go on without one")})
    found = context.config.person(person)
    name = found.name if found is not None else person
    what = message("{person} has answered", person=name)
    seen = sitting.text("seen") if evening.person is not None else ""
    return Deed(what, lambda: answer(context, person, evening.last, given, seen))


def close(sitting: Sitting) -> Deed:
    """Keep the last week as it is; what has been closed stays as it was closed."""
    context, last = sitting.context, sitting.evening.last
    what = message("{week} is closed", week=str(last))
    since = sitting.evening.closing.at
    if since is not None:
        when = context.language.moment(since)
        text = message("{week} is closed already, since {when}", week=str(last), when=when)
        raise Meanwhile((text,), what, again=False)
    return Deed(what, lambda: close_week(context, last, ending=True), kept=False, tells="closed")


def reopen(sitting: Sitting) -> Deed:
    """Open it again; as it was closed it is kept beside."""
    context, last = sitting.context, sitting.evening.last
    what = message("{week} is open again", week=str(last))
    return Deed(what, lambda: reopen_week(context, last), kept=False, tells="open")
