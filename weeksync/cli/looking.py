"""The commands that look at a week: `show`, `confirm` and `open`."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.cli.text import lines_of
from weeksync.message import Message, message
from weeksync.workflow import Outcome, Status, page_of, record, shown
from weeksync.workflow.close import closed_when
from weeksync.workflow.confirm import confirm
from weeksync.workflow.show import as_it_was, schema_text
from weeksync.workflow.spans import week_named

Words = Callable[[Message], str]


def show_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of `show`."""
    parser.add_argument(
        "span",
        nargs="?",
        default="this",
        help=words(
            message("this, next, 2027-W12, 29 Dec, a month as 2027-03, or two days FROM/TO")
        ),
    )
    parser.add_argument("--person", metavar="ID", help=words(message("only what is this person's")))
    parser.add_argument("--area", metavar="ID", help=words(message("only this area of life")))
    parser.add_argument(
        "--json", action="store_true", help=words(message("the whole computed record as JSON"))
    )
    parser.add_argument(
        "--schema", action="store_true", help=words(message("the JSON Schema of that record"))
    )


def run_show(options: argparse.Namespace, terminal: Terminal) -> int:
    """`weeksync show`; its exit status."""
    if options.schema:
        terminal.say(schema_text().rstrip("\n"))
        return Status.FINE
    context = context_of(options, terminal, give_ids=False)
    spread, problems = shown(context, options.span, person=options.person, area=options.area)
    outcome = Outcome.of((), problems)
    if options.json:
        json.dump(record(context, spread, problems), terminal.out, ensure_ascii=False, indent=1)
        terminal.out.write("\n")
    else:
        if spread.week is not None and (closed := context.archive.get(spread.week)) is not None:
            terminal.say(closed_when(context, spread.week, closed))
        for line in lines_of(as_it_was(context, spread), spread):
            terminal.say(line)
    terminal.problems(problem for problem in outcome.problems if problem.counts)
    return int(outcome.status)


def confirm_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of `confirm`."""
    parser.add_argument(
        "week",
        nargs="?",
        default="this",
        help=words(message("this, next, 2027-W12 or a day of the week")),
    )


def run_confirm(options: argparse.Namespace, terminal: Terminal) -> int:
    """`weeksync confirm`; its exit status."""
    context = context_of(options, terminal)
    return terminal.tell(confirm(context, week_named(options.week, context)))


def open_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of `open`."""
    parser.add_argument(
        "week", nargs="?", help=words(message("a week, as next or 2027-W12; else the start page"))
    )


def run_open(options: argparse.Namespace, terminal: Terminal) -> int:
    """`weeksync open`; its exit status."""
    return browse(page_of(context_of(options, terminal, give_ids=False), options.week), terminal)


def browse(page: Path, terminal: Terminal) -> int:
    """Show a page in the browser; where none starts, its address is told all the same."""
    import webbrowser

    address = page.absolute().as_uri()
    terminal.say(address)
    if webbrowser.open(address):
        return Status.FINE
    terminal.complain(
        message("no browser could be started; open the address above in one yourself")
    )
    return Status.PROBLEMS
