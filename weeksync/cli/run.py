"""From the words on the command line to one command, and from its end to an exit status."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence

import weeksync
from weeksync.cli.commands import COMMANDS, Command, Words
from weeksync.cli.household import ENVIRONMENT
from weeksync.cli.terminal import Terminal
from weeksync.errors import HouseholdError, WeeksyncError
from weeksync.message import Message, message
from weeksync.workflow.outcome import Status, status_of


def run(argv: list[str]) -> int:
    """Run the command of `argv`; its exit status. `--help` and wrong use end in SystemExit."""
    terminal = Terminal()
    arguments = _parser_for(argv, terminal).parse_args(argv)
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
        import traceback

        traceback.print_exception(error, file=sys.stderr)
    return Status.NOTHING_DONE


def _parser_for(argv: list[str], terminal: Terminal) -> argparse.ArgumentParser:
    """A parser that does as `parser`, made of what these words ask for.

    Nobody reads the help of other commands, nor, where none is asked for, of this one: then no
    catalogue is read. argparse takes `--he` for `--help`, too.
    """
    command = next((one for one in COMMANDS if argv and one.name == argv[0]), None)
    if command is None:
        return _parser(terminal.language.text, COMMANDS, whole=False)
    helps = any(word.startswith(("-h", "--he")) for word in argv)
    return _parser(terminal.language.text if helps else _untranslated, (command,))


def parser(terminal: Terminal) -> argparse.ArgumentParser:
    """The parser of all commands, its help in the terminal's language."""
    return _parser(terminal.language.text, COMMANDS)


def _untranslated(sentence: Message) -> str:
    return sentence.text


def _parser(
    words: Words, commands: Sequence[Command], *, whole: bool = True
) -> argparse.ArgumentParser:
    """Of these commands: with all their options, or where not `whole` known by name alone."""
    top = argparse.ArgumentParser(
        prog="weeksync",
        description=words(
            message("Calendars and household files in, week pages and month overviews out.")
        ),
    )
    top.add_argument("--version", action="version", version=f"weeksync {weeksync.__version__}")
    several = top.add_subparsers(metavar="COMMAND", required=True)
    for command in commands:
        _add(several, command, words, whole=whole)
    return top


def _add(
    several: argparse._SubParsersAction[argparse.ArgumentParser],
    command: Command,
    words: Words,
    *,
    whole: bool,
) -> None:
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
