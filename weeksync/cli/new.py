"""`weeksync new`: a household folder, by asking a few questions."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from weeksync.cli.ask import ask_for_household
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.workflow import instant_now, make_household

Words = Callable[[Message], str]


def new_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of the command."""
    parser.add_argument(
        "folder",
        nargs="?",
        help=words(message("the folder to make; --household says the same")),
    )
    parser.add_argument("--name", help=words(message("the household's name")))
    parser.add_argument("--time-zone", help=words(message("its zone, as Europe/London")))
    parser.add_argument("--locale", help=words(message("its language and region, as en_GB")))
    parser.add_argument("--region", help=words(message("whose public holidays, as GB-ENG")))
    parser.add_argument(
        "--person",
        action="append",
        metavar="NAME",
        help=words(message("a person of the household; can be given several times")),
    )
    parser.add_argument(
        "--calendar",
        action="append",
        metavar="ADDRESS",
        help=words(message("a file, folder, web or CalDAV address; can be given several times")),
    )


def run_new(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    if not (options.folder or options.household):
        raise UsageError(message("say which folder to make, as weeksync new ~/household"))
    folder = Path(options.folder or options.household)
    now = instant_now(options.now)
    answers = ask_for_household(options, terminal)
    return terminal.tell(make_household(folder, answers, now), always=True)
