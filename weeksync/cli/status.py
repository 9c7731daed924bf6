"""`weeksync status`: how the last night went."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.message import Message, message
from weeksync.workflow.status import last_night, status_record

Words = Callable[[Message], str]


def status_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of the command."""
    parser.add_argument(
        "--json", action="store_true", help=words(message("what the night wrote down, as JSON"))
    )


def run_status(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status says whether there is something to look at."""
    context = context_of(options, terminal, give_ids=False)
    outcome = last_night(context)
    if options.json:
        json.dump(status_record(context), terminal.out, indent=1)
        terminal.out.write("\n")
        return int(outcome.status)
    return terminal.tell(outcome, always=True)
