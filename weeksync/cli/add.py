"""`weeksync add`: one more task, appointment, habit, bill, routine or lesson, by its options."""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Callable

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.workflow import Context, Status
from weeksync.workflow.edit_adding import WORDS, Question, add, missing, questions, understood
from weeksync.workflow.edit_kinds import Kind
from weeksync.workflow.edit_saving import Saved

FORMAT, KIND = 1, "weeksync.add"
_TRIES = 5

Said = dict[str, tuple[str, ...]]


def add_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command: a kind of entry, its title, and the fields of its form."""
    several = parser.add_subparsers(metavar="KIND", required=True, dest="what")
    for word, kind in WORDS.items():
        one = several.add_parser(word, help=words(kind.add), description=words(kind.add))
        first, *rest = questions(kind)
        one.add_argument("title", nargs="?", help=words(first.label))
        for question in rest:
            _add(one, question, words)
        for inherited in ("--household", "--now"):  # they may stand behind the kind, too
            one.add_argument(inherited, default=argparse.SUPPRESS, help=argparse.SUPPRESS)
        one.add_argument("--json", action="store_true", help=words(message("the same as JSON")))


def _add(
    parser: argparse.ArgumentParser, question: Question, words: Callable[[Message], str]
) -> None:
    text = words(question.label).replace("%", "%%")
    if question.sort == "yes":
        parser.add_argument(
            question.option, action="store_true", dest=f"of_{question.name}", help=text
        )
        return
    parser.add_argument(
        question.option,
        action="append",
        dest=f"of_{question.name}",
        metavar=_METAVARS.get(question.sort, "TEXT"),
        help=text,
    )


_METAVARS = {"day": "DAY", "days": "DAYS", "weekdays": "DAYS", "several": "IDS"}


def run_add(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    context = context_of(options, terminal)
    kind = WORDS[options.what]
    said = _said(kind, options)
    asked = sys.stdin.isatty() and terminal.watched and not options.json
    for question in missing(kind, said):
        if not asked:
            raise UsageError(message("{option} is missing", option=_name(kind, question.name)))
        said[question.name] = _answer(context, terminal, question)
    for _ in range(_TRIES):
        saved = add(context, kind, said)
        if not saved.wrong:
            return _tell(terminal, kind, saved, said, as_json=options.json)
        _complain(terminal, kind, saved)
        again = [one for one in questions(kind) if one.name in {w.field for w in saved.wrong}]
        if not asked or not again:
            break
        for question in again:
            said[question.name] = _answer(context, terminal, question)
    raise UsageError(message("nothing was written"))


def _said(kind: Kind, options: argparse.Namespace) -> Said:
    first, *rest = questions(kind)
    said: Said = {first.name: (options.title,)} if options.title else {}
    for question in rest:
        value = getattr(options, f"of_{question.name}")
        if value:
            said[question.name] = ("yes",) if value is True else tuple(value)
    return said


def _name(kind: Kind, field: str) -> str:
    """How a field is said on the command line."""
    first, *rest = questions(kind)
    if field == first.name:
        return f'"{first.name}"'
    plain = field.partition("-")[0].removesuffix("_rule")
    return next((one.option for one in rest if one.name == plain), field)


def _complain(terminal: Terminal, kind: Kind, saved: Saved) -> None:
    for one in saved.wrong:
        where = f"{_name(kind, one.field)}: " if one.field else ""
        terminal.err.write(f"{where}{one.text}\n")


def _answer(context: Context, terminal: Terminal, question: Question) -> tuple[str, ...]:
    """What is typed at the keyboard, asked for again where it cannot be; "" leaves it out."""
    for _ in range(_TRIES):
        terminal.out.write(f"{terminal.language.text(question.label)}: ")
        terminal.out.flush()
        try:
            typed = (input().strip(),)
            understood(context, question, typed)
        except EOFError as error:
            raise UsageError(
                message("the questions were not answered; nothing was written")
            ) from error
        except UsageError as error:
            terminal.complain(error.message)
        else:
            return typed
    raise UsageError(message("no usable answer; nothing was written"))


def _tell(terminal: Terminal, kind: Kind, saved: Saved, said: Said, *, as_json: bool) -> int:
    title = said[questions(kind)[0].name][0]
    if as_json:
        record = {"format": FORMAT, "kind": KIND, "what": kind.word}
        json.dump({**record, "id": saved.id, "file": saved.file}, terminal.out, indent=1)
        terminal.out.write("\n")
    else:
        terminal.say(message("“{title}” stands in {file} now.", title=title, file=saved.file))
    return Status.FINE
