"""`weeksync certificate`: https at home."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.message import Message, message

Words = Callable[[Message], str]


def certificate_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of `weeksync certificate`."""
    parser.add_argument(
        "--name",
        action="append",
        default=[],
        metavar="HOST",
        help=words(
            message(
                "a name or address by which tablets reach this machine; can be given several "
                "times; without it this machine's name and home addresses"
            )
        ),
    )
    parser.add_argument(
        "--new-authority",
        action="store_true",
        help=words(
            message("make a new authority for other names; every tablet has to trust it anew")
        ),
    )


def run_certificate(options: argparse.Namespace, terminal: Terminal) -> int:
    """Make or renew the certificate, and say what to do with it."""
    from weeksync.workflow.certificate import make_certificate  # the server: 0.2 seconds

    context = context_of(options, terminal, give_ids=False)
    outcome = make_certificate(context, options.name, new_authority=options.new_authority)
    return terminal.tell(outcome, always=True)
