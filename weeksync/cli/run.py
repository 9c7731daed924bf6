"""From the words on the command line to one command, and from its end to an exit status."""

from __future__ import annotations

import argparse
import os
import sys
import traceback

import weeksync
from weeksync.cli.commands import COMMANDS, Command
from weeksync.cli.household import ENVIRONMENT
from weeksync.cli.terminal import Terminal
from weeksync.errors import HouseholdError, WeeksyncError
from weeksync.message import message
from weeksync.workflow.outcome import Status, status_of


def run(argv: list[str]) -> int:
    """Run the command of `argv`; its exit status. `--help` and wrong use end in SystemExit."""
    terminal = Terminal()
    arguments = parser(terminal, argv[0] if argv else "").parse_args(argv)
    try:
        return int(arguments.command.run(arguments, terminal))
    except HouseholdError as error:
        terminal.complain(error.message)
        terminal.problems(error.problems)
        return status_of(error)
    except WeeksyncError as error:
        terminal.complain(error.message)
        return status_of(error)
    except BrokenPipeError:
        raise
    except Exception as error:
        return _fault(error, terminal)


def _fault(error: Exception, terminal: Terminal) -> int:
    """A fault of our own: said as such. The trace may hold private text, so it is asked for."""
    terminal.complain(
        message(
            "stopped by {kind}; nothing was changed that was not finished. If this is a fault of "
            "weeksync, the lines of WEEKSYNC_TRACE=1 show where",
            kind=type(error).__name__,
        )
    )
    if isinstance(error, OSError) and error.strerror:
        terminal.err.write(f"  {error.strerror}: {error.filename or ''}\n")
    if os.environ.get("WEEKSYNC_TRACE"):
        traceback.print_exception(error, file=sys.stderr)
    return Status.NOTHING_DONE


def parser(terminal: Terminal, only: str | None = None) -> argparse.ArgumentParser:
    """The parser of all commands, its help in the terminal's language.

    With `only` the command of that name alone gets its options: the others are known by name.
    """
    words = terminal.language.text
    top = argparse.ArgumentParser(
        prog="weeksync",
        description=words(
            message("Calendars and household files in, week pages and month overviews out.")
        ),
    )
    top.add_argument("--version", action="version", version=f"weeksync {weeksync.__version__}")
    several = top.add_subparsers(metavar="COMMAND", required=True)
    for command in COMMANDS:
        _add(several, command, terminal, whole=only in {None, command.name})
    return top


def _add(
    several: argparse._SubParsersAction[argparse.ArgumentParser],
    command: Command,
    terminal: Terminal,
    *,
    whole: bool,
) -> None:
    words = terminal.language.text
    one = several.add_parser(
        command.name,
        help=words(command.summary),
        description=words(command.summary),
        epilog=words(message("Example: {example}", example=command.example)),
    )
    one.add_argument(
        "--household",
        metavar="FOLDER",
        help=words(
            message(
                "the household folder; without it {variable}, or this folder",
                variable=ENVIRONMENT,
            )
        ),
    )
    one.add_argument(
        "--now",
        metavar="INSTANT",
        help=words(message("play at this instant (ISO 8601 with offset), for repeatable runs")),
    )
    if whole:
        command.arguments(one, words)
    one.set_defaults(command=command)
