"""`weeksync carry`: going through what is left over, one decision after the other."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable

from weeksync.cli.desk import Desk, how_many
from weeksync.cli.household import context_of
from weeksync.cli.piled_up import park_piled_up, spread_piled_up
from weeksync.cli.plan_words import Words, wrapped
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.workflow import Outcome, carry
from weeksync.workflow.carry import Waiting
from weeksync.workflow.spans import day_named, week_ahead, week_ending, week_named


def carry_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command."""
    parser.add_argument(
        "week",
        nargs="?",
        help=words(
            message(
                "the week to put tasks in: this, next or 2027-W12; without it this week, from "
                "Friday on the next one"
            )
        ),
    )
    parser.add_argument("--person", metavar="ID", help=words(message("only what is this person's")))
    parser.add_argument(
        "--list", action="store_true", help=words(message("only say what waits for a decision"))
    )
    parser.add_argument("--json", action="store_true", help=words(message("the same as JSON")))
    after = parser.add_mutually_exclusive_group()
    after.add_argument(
        "--spread",
        action="store_true",
        help=words(message("after a lighter week: spread what piled up over the days to come")),
    )
    after.add_argument(
        "--park",
        metavar="UNTIL",
        help=words(message("after a lighter week: set what piled up aside until a day")),
    )
    parser.add_argument(
        "--yes", action="store_true", help=words(message("with --spread or --park: do not ask"))
    )


def run_carry(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    reads = options.list or options.json
    context = context_of(options, terminal, give_ids=not reads)
    if options.person is not None and context.config.person(options.person) is None:
        known = ", ".join(one.id for one in context.config.people)
        raise UsageError(
            message(
                'config.toml has no "{value}"; it has: {known}', value=options.person, known=known
            )
        )
    if options.spread:
        return spread_piled_up(context, terminal, options.person, sure=options.yes)
    if options.park:
        until = day_named(options.park, context)
        return park_piled_up(context, terminal, options.person, until, sure=options.yes)
    named = week_named(options.week, context) if options.week else None
    week = named or week_ahead(context)
    ending = week_ending(context) if named is None else None
    left = carry.waiting(context, week, options.person, ending=ending)
    outcome = Outcome.of((), left.problems)
    terminal.problems(problem for problem in outcome.problems if problem.counts)
    if options.json:
        json.dump(carry.as_carry_record(left), terminal.out, ensure_ascii=False, indent=1)
        terminal.out.write("\n")
    elif options.list:
        _list(left, Words(context), terminal)
    else:
        _check_keyboard(terminal)
        Desk(context, terminal, left, options.person).go_through()
    return int(outcome.status)


def _check_keyboard(terminal: Terminal) -> None:
    if not (sys.stdin.isatty() and terminal.watched):
        raise UsageError(
            message(
                "carry asks at the keyboard, and this is no terminal; "
                "weeksync carry --list or --json only says what waits"
            )
        )


def _list(left: Waiting, words: Words, terminal: Terminal) -> None:
    terminal.say(how_many(left))
    for one in left.tasks:
        sign = "!" if one.due else "-"
        for text in wrapped(one.task.title, f"{sign} ", "  "):
            terminal.say(text)
        for text in wrapped(words.facts(one.task), "    "):
            terminal.say(text)
