"""`weeksync feed`: a person's plan as an iCalendar text."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.message import Message, message
from weeksync.workflow import Status

Words = Callable[[Message], str]


def feed_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of the command."""
    parser.add_argument(
        "person", nargs="?", metavar="PERSON", help=words(message("whose; without it the first's"))
    )
    parser.add_argument(
        "--to",
        metavar="FILE",
        help=words(message("the file to write; without it standard output")),
    )


def run_feed(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    from weeksync.workflow.feed import feed_of, write_feed

    context = context_of(options, terminal, give_ids=False)
    person = options.person or context.first_person
    if options.to is not None:
        write_feed(context, person, Path(options.to))
        terminal.say(message("The plan is in {place}", place=options.to))
    else:
        terminal.out.write(feed_of(context, person).decode())
    return Status.FINE
