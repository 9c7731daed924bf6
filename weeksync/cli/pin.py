"""`weeksync pin`: what opens the pages of one's own where the pages are served."""

from __future__ import annotations

import argparse
import getpass
import sys
from collections.abc import Callable

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.workflow import Status

Words = Callable[[Message], str]


def pin_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of the command."""
    parser.add_argument("person", metavar="PERSON", help=words(message("the id of config.toml")))
    parser.add_argument(
        "--remove", action="store_true", help=words(message("take the PIN of that person away"))
    )


def run_pin(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    from weeksync.workflow.access import access_of, known_person  # the server: 0.2 seconds

    context = context_of(options, terminal, give_ids=False)
    name, access = known_person(context, options.person), access_of(context)
    if options.remove:
        if not access.drop_pin(options.person):
            raise UsageError(message("{name} has no PIN", name=name))
        terminal.say(message("The PIN of {name} is gone; their pages stay closed", name=name))
        return Status.FINE
    if not (sys.stdin.isatty() and terminal.watched):
        raise UsageError(
            message("a PIN is typed at the keyboard, where nobody reads it; this is no terminal")
        )
    words = terminal.language.text
    first = _asked(words(message("PIN of {name}: ", name=name)))
    if first != _asked(words(message("The same once more: "))):
        raise UsageError(message("the two are not the same; nothing was changed"))
    access.set_pin(options.person, first)
    terminal.say(message("The PIN of {name} is set", name=name))
    return Status.FINE


def _asked(prompt: str) -> str:
    """A line typed without being shown; the end of the input is no PIN."""
    try:
        return getpass.getpass(prompt)
    except EOFError:
        raise UsageError(message("nothing was typed; nothing was changed")) from None
