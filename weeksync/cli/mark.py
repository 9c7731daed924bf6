"""`weeksync mark`: one mark, or a file of them."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from datetime import date
from pathlib import Path

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.errors import HouseholdError, UsageError
from weeksync.message import Message, message
from weeksync.model.problem import Problem, ProblemKind
from weeksync.workflow import Context, Status
from weeksync.workflow.mark import by_hand, take_by_hand
from weeksync.workflow.mark_file import BUILD, take_file
from weeksync.workflow.markable import Markable
from weeksync.workflow.spans import past_day_named

DEVICE = "terminal"
"""What the device of a mark is called that was typed as a command."""


def mark_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command."""
    parser.add_argument(
        "things",
        nargs="*",
        metavar="ID VALUE",
        help=words(message("what is marked, and yes, no, a figure; a task: done or dropped")),
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


def run_mark(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    context = context_of(options, terminal)
    if options.file is not None:
        if options.things or options.undo or options.day:
            raise UsageError(message("--from takes a file as it is; leave out ID, VALUE and --day"))
        return terminal.tell(take_file(context, Path(options.file)), always=True)
    thing, value = _one(options)
    day = past_day_named(options.day, context) if options.day else context.today
    return _mark(context, terminal, thing, value, day=day, person=options.person or "")


def _one(options: argparse.Namespace) -> tuple[str, str]:
    """(id, value) of the one mark that is asked for."""
    wanted = 1 if options.undo else 2
    if len(options.things) != wanted:
        raise UsageError(
            message("write what is marked and what is said of it, as weeksync mark water 7")
        )
    thing, value = [*options.things, ""][:2]
    return thing, value.strip().lower().replace(",", ".")


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
    terminal.say(BUILD)
    return Status.FINE


def _said(value: str, *, is_task: bool, title: str, day: str) -> Message:
    if value:
        return message("“{title}”, {day}: {value}", title=title, day=day, value=value)
    if is_task:
        return message("“{title}” is open again", title=title)
    return message("“{title}”, {day}: taken back, not recorded", title=title, day=day)
