"""`weeksync new`: a household folder by asking, here or on a page; once more to add to it."""

from __future__ import annotations

import argparse
import os
import sys
import webbrowser
from collections.abc import Callable
from pathlib import Path

from weeksync.cli.ask import ask_for_household
from weeksync.cli.new_evening import Evening
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.workflow import Context, Status, instant_now, make_household
from weeksync.workflow.clock import clock_from
from weeksync.workflow.new import smallest_household
from weeksync.workflow.reader import Reader

Words = Callable[[Message], str]


def new_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of the command."""
    parser.add_argument(
        "folder",
        nargs="?",
        help=words(message("the folder to make or to add to; --household says the same")),
    )
    parser.add_argument(
        "--page",
        action="store_true",
        help=words(message("ask on a page in the browser instead of here")),
    )
    parser.add_argument(
        "--port",
        type=int,
        default=0,
        metavar="NUMBER",
        help=words(message("with --page: the port; without it a free one")),
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
    if options.page:
        return _on_a_page(options, folder, terminal)
    keyboard = sys.stdin.isatty() and terminal.watched
    if keyboard and os.path.lexists(folder / "config.toml"):
        context = Context.read(folder, now)
        terminal.language = context.language
        Evening(folder, now, terminal).add()
        return Status.FINE
    asked = not all(getattr(options, name) is not None for name in _ALL)
    answers = ask_for_household(options, terminal, keyboard=keyboard)
    outcome = make_household(folder, answers, now)
    if not (keyboard and asked):
        return terminal.tell(outcome, always=True)
    terminal.language = Context.read(folder, now).language
    Evening(folder, now, terminal).go_through()
    return int(outcome.status)


_ALL = ("name", "time_zone", "locale", "region", "person", "calendar")
"""With all of these given nothing is asked."""


def _on_a_page(options: argparse.Namespace, folder: Path, terminal: Terminal) -> int:
    """The smallest household, served on this machine alone, with the browser at its first step."""
    from weeksync.workflow.serve import Asked, serve  # the server: 0.2 seconds

    reader = Reader(folder, clock_from(options.now))
    context = smallest_household(folder, terminal.language, reader.now().replace(microsecond=0))
    terminal.language = context.language

    def ready(address: str) -> None:
        page = f"{address}/start/"
        terminal.say(message("Answer the questions at {address}", address=page))
        terminal.say(
            message("Everything is written as you save it. Leave this running; Ctrl-C ends it.")
        )
        terminal.out.flush()
        if not webbrowser.open(page):
            terminal.complain(
                message("no browser could be started; open the address above in one yourself")
            )
            terminal.err.flush()

    def complain(why: Message) -> None:
        terminal.complain(why)
        terminal.err.flush()

    asked = Asked(host="127.0.0.1", port=options.port, address="")
    serve(reader, context, asked, ready=ready, complain=complain)
    return Status.FINE
