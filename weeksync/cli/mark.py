"""`weeksync mark`: one mark, a file of them, or a week from paper, row by row."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable
from datetime import date
from pathlib import Path

from weeksync.cli.household import context_of
from weeksync.cli.mark_desk import MarkDesk
from weeksync.cli.mark_text import MarkText
from weeksync.cli.terminal import Terminal
from weeksync.errors import HouseholdError, UsageError
from weeksync.message import Message, message
from weeksync.model.household import latest_marks
from weeksync.model.mark_rows import SIGNS
from weeksync.model.marking import LATER, plain_digits
from weeksync.model.problem import Problem, ProblemKind
from weeksync.model.week import IsoWeek
from weeksync.workflow import Context, Status, instant_now
from weeksync.workflow.close import kept_but_closed
from weeksync.workflow.mark import by_hand, take_by_hand
from weeksync.workflow.mark_file import BUILD, take_file
from weeksync.workflow.markable import Markable
from weeksync.workflow.paper_week import as_marks_record, paper_week
from weeksync.workflow.spans import past_day_named, week_named

DEVICE = "terminal"
"""What the device of a mark is called that was typed as a command."""


def mark_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command."""
    parser.add_argument(
        "things",
        nargs="*",
        metavar="WEEK | ID VALUE",
        help=words(
            message(
                "a week to enter from paper, without it this one; or what is marked, and yes, no "
                "or a figure, of a task done, dropped or later (to the next week)"
            )
        ),
    )
    parser.add_argument(
        "--day", metavar="DAY", help=words(message("the day it is for, as Wed; without it today"))
    )
    parser.add_argument("--person", metavar="ID", help=words(message("only what is this person's")))
    parser.add_argument(
        "--undo",
        action="store_true",
        help=words(message("in place of VALUE: take back what was recorded")),
    )
    parser.add_argument(
        "--from",
        dest="file",
        metavar="FILE",
        help=words(message("take the marks that a tablet has saved in a file")),
    )

    parser.add_argument(
        "--list", action="store_true", help=words(message("only say what is recorded of the week"))
    )
    parser.add_argument("--json", action="store_true", help=words(message("the same as JSON")))
    parser.add_argument(
        "--signs", action="store_true", help=words(message("only show how rows are typed"))
    )


def run_mark(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    reads = options.list or options.json or options.signs
    context = context_of(options, terminal, give_ids=not reads)
    if options.signs:
        for sentence in SIGNS:
            terminal.say(sentence)
        return Status.FINE
    if options.file is not None:
        if options.things or options.undo or options.day or reads:
            raise UsageError(message("--from takes a file as it is; leave out ID, VALUE and --day"))
        return terminal.tell(take_file(context, Path(options.file)), always=True)
    if len(options.things) > 1 or options.undo or options.day:
        thing, value = _one(options)
        day = past_day_named(options.day, context) if options.day else context.today
        return _mark(context, terminal, thing, value, day=day, person=options.person or "")
    return _week(options, context, terminal)


def _one(options: argparse.Namespace) -> tuple[str, str]:
    """(id, value) of the one mark that is asked for."""
    wanted = 1 if options.undo else 2
    if len(options.things) != wanted or options.list or options.json:
        raise UsageError(
            message("write what is marked and what is said of it, as weeksync mark water 7")
        )
    thing, value = [*options.things, ""][:2]
    return thing, plain_digits(value).strip().lower().replace(",", ".")


def _week(options: argparse.Namespace, context: Context, terminal: Terminal) -> int:
    """A week from paper, or what is recorded of it."""
    if options.person is not None and context.config.person(options.person) is None:
        known = ", ".join(one.id for one in context.config.people)
        raise UsageError(
            message(
                'config.toml has no "{value}"; it has: {known}', value=options.person, known=known
            )
        )
    week = _week_of([*options.things, "this"][0], context)
    paper = paper_week(context, week, options.person)
    if options.json:
        json.dump(as_marks_record(context, paper), terminal.out, ensure_ascii=False, indent=1)
        terminal.out.write("\n")
    elif options.list:
        MarkText(context, terminal).whole(paper, latest_marks(context.files.marks))
    else:
        _check_keyboard(terminal)
        MarkDesk(context, terminal, paper, lambda: instant_now(options.now)).go_through()
    return Status.FINE


def _week_of(text: str, context: Context) -> IsoWeek:
    try:
        return week_named(text, context)
    except UsageError:
        if Markable(context).knows(text):
            raise UsageError(
                message("write what is said of {id}, too, as weeksync mark {id} yes", id=text)
            ) from None
        raise


def _check_keyboard(terminal: Terminal) -> None:
    if not (sys.stdin.isatty() and terminal.watched):
        raise UsageError(
            message(
                "a week from paper is typed at the keyboard, and this is no terminal; "
                "weeksync mark --list or --json only says what is recorded"
            )
        )


def _mark(
    context: Context, terminal: Terminal, thing: str, value: str, *, day: date, person: str
) -> int:
    things = Markable(context)
    mark = by_hand(context, thing, day, value, person=person, device=DEVICE)
    taken = take_by_hand(context, mark)
    if taken.refused:
        wrong = [Problem(ProblemKind.MISTAKE, one.what, remedy=one.remedy) for one in taken.refused]
        raise HouseholdError(message("nothing was marked"), wrong)
    shown = {"title": things.title(thing), "day": day.isoformat()}
    if taken.known:
        terminal.say(message("“{title}”, {day}: stands there already", **shown))
        return Status.FINE
    terminal.say(_said(value, is_task=things.task(thing) is not None, **shown))
    for week in taken.closed:
        terminal.say(kept_but_closed(week))
    terminal.say(BUILD)
    return Status.FINE


def _said(value: str, *, is_task: bool, title: str, day: str) -> Message:
    if is_task and value == LATER:
        return message("“{title}” is carried to the next week", title=title)
    if value:
        return message("“{title}”, {day}: {value}", title=title, day=day, value=value)
    if is_task:
        return message("“{title}” is open again", title=title)
    return message("“{title}”, {day}: taken back, not recorded", title=title, day=day)
