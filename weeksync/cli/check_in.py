"""`weeksync check-in`: the five questions at the keyboard, or what a tablet has saved in a file."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.errors import HouseholdError, UsageError
from weeksync.message import Message, counted, message
from weeksync.model.check_in import LABELS, fields_of
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.workflow import Context, Status
from weeksync.workflow.check_in import Taken, allowed, held_entry, take, write
from weeksync.workflow.spans import past_day_named

MOST_BYTES = 4 * 1024 * 1024
"""The largest file of check-ins that is read; the bound is ours."""

_TAKE_AWAY = "-"

_QUESTIONS = {
    "feeling": message("How do you feel, in your own words?"),
    "energy": message("Energy, from 1, empty, to 5, full"),
    "why": message("Why?"),
    "help": message("What would help today?"),
    "gratitude": message("What are you grateful for?"),
}


def check_in_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command."""
    parser.add_argument(
        "--day", metavar="DAY", help=words(message("the day it is for, as Wed; without it today"))
    )
    parser.add_argument(
        "--person", metavar="ID", help=words(message("whose it is; without it the first person's"))
    )
    parser.add_argument(
        "--from",
        dest="file",
        metavar="FILE",
        help=words(message("take the check-ins that a tablet has saved in a file")),
    )


def run_check_in(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    context = context_of(options, terminal, give_ids=False)
    if options.file is not None:
        if options.day or options.person:
            raise UsageError(message("--from takes a file as it is; leave out --day and --person"))
        return _from_file(context, terminal, Path(options.file))
    day = past_day_named(options.day, context) if options.day else context.today
    person = options.person or context.config.people[0].id
    return _ask(context, terminal, person, allowed(context, day))


def _ask(context: Context, terminal: Terminal, person: str, day: date) -> int:
    """Asks the five, with what stands there; an answer that cannot be is asked for again."""
    entry = held_entry(context, person, day)
    terminal.say(message("Enter leaves a question as it is; {sign} takes it out.", sign=_TAKE_AWAY))
    said: dict[str, object] = dict(entry.fields.said())
    for key in LABELS:
        said[key] = _answer(terminal, key, said[key])
    fields = fields_of(said)
    if fields == entry.fields:
        terminal.say(message("Nothing was changed."))
        return Status.FINE
    return _tell(terminal, write(context, person, day, fields, entry.seen))


def _answer(terminal: Terminal, key: str, stands: object) -> object:
    question = terminal.language.text(_QUESTIONS[key])
    shown = "" if stands in ("", None) else f" [{stands}]"
    while True:
        terminal.out.write(f"{question}{shown} ")
        terminal.out.flush()
        try:
            typed = input().strip()
        except EOFError as error:
            raise UsageError(
                message("the questions were not answered; nothing was written")
            ) from error
        if not typed:
            return stands
        try:
            return getattr(fields_of({key: "" if typed == _TAKE_AWAY else typed}), key)
        except UsageError as error:
            terminal.complain(error.message)


def _tell(terminal: Terminal, taken: Taken) -> int:
    if taken.text is not None:
        terminal.complain(taken.text)
        return Status.PROBLEMS
    terminal.say(message("The check-in was written."))
    return Status.FINE


def _from_file(context: Context, terminal: Terminal, path: Path) -> int:
    """Takes each line of the file; one that cannot be is told, and takes no other with it."""
    written, problems = 0, []
    for number, line in _lines(path):
        try:
            taken = take(context, *_read(line))
        except UsageError as error:
            problems.append(Problem(ProblemKind.MISTAKE, error.message, Place(str(path), number)))
            continue
        written += 1
        if taken.text is not None:
            problems.append(Problem(ProblemKind.NOTICE, taken.text, Place(str(path), number)))
    terminal.say(counted("{count} check-in was taken.", "{count} check-ins were taken.", written))
    terminal.problems(problems)
    return Status.PROBLEMS if problems else Status.FINE


def _lines(path: Path) -> Iterator[tuple[int, str]]:
    """(number, text) of the lines of the file that are not empty."""
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
        text = content.decode()
    except OSError as error:
        raise UsageError(message("there is no file {path}", path=str(path))) from error
    except UnicodeDecodeError as error:
        raise HouseholdError(message("{path} is no file of check-ins", path=str(path))) from error
    if len(content) > MOST_BYTES:
        raise HouseholdError(message("{path} is no file of check-ins", path=str(path)))
    yield from ((at, line) for at, line in enumerate(text.split("\n"), 1) if line.strip())


def _read(line: str) -> tuple[str, dict[str, object]]:
    """(person, what is said) of a line; UsageError where it is none of a check-in."""
    try:
        found = json.loads(line)
    except (ValueError, RecursionError):
        found = None
    person = found.get("person") if isinstance(found, dict) else None
    if not isinstance(found, dict) or not isinstance(person, str):
        raise UsageError(message("the line is no check-in; save the file once more on the tablet"))
    return person, found
