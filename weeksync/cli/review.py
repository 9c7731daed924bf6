"""`weeksync review`: look back on a week, a month, a term or a year; answer the own questions."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable

from weeksync.cli.household import context_of
from weeksync.cli.review_text import review_lines
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.model.review import SpanKind
from weeksync.workflow import Context, Outcome, Status
from weeksync.workflow.review import (
    answer,
    review_record,
    review_schema,
    review_span,
    reviewed,
    standing_answers,
)
from weeksync.workflow.spans import week_named

_TAKE_AWAY = "-"


def review_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command."""
    parser.add_argument(
        "span",
        nargs="?",
        default="",
        metavar="WEEK|MONTH|TERM|YEAR",
        help=words(
            message(
                "last, 2027-W12, a month as 2027-03, a term by its id, a year as 2027; without it "
                "the week that is ending, or has just ended"
            )
        ),
    )
    parser.add_argument("--person", metavar="ID", help=words(message("only what is this person's")))
    parser.add_argument(
        "--answer",
        action="store_true",
        help=words(message("answer the questions of [review] in config.toml for that week")),
    )
    parser.add_argument("--json", action="store_true", help=words(message("the same as JSON")))
    parser.add_argument(
        "--schema", action="store_true", help=words(message("the JSON Schema of that record"))
    )


def run_review(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    if options.schema:
        terminal.say(review_schema().rstrip("\n"))
        return Status.FINE
    context = context_of(options, terminal, give_ids=False)
    if options.answer:
        return _ask(context, terminal, options)
    review, problems = reviewed(context, options.span, options.person)
    outcome = Outcome.of((), problems)
    if options.json:
        json.dump(review_record(context, review), terminal.out, ensure_ascii=False, indent=1)
        terminal.out.write("\n")
    else:
        for line in review_lines(context, review):
            terminal.say(line)
    terminal.problems(problem for problem in outcome.problems if problem.counts)
    return int(outcome.status)


def _ask(context: Context, terminal: Terminal, options: argparse.Namespace) -> int:
    """Asks each question, with the answer that stands there."""
    span = review_span(context, options.span)
    if span.kind is not SpanKind.WEEK:
        raise UsageError(message("the questions are those of a week; name one, as 2027-W12"))
    questions = context.config.review.questions
    if not questions:
        raise UsageError(
            message(
                "no question is asked; write one or two under [review] in config.toml, as "
                'questions = ["What was good about it?"]'
            )
        )
    person, week = options.person or context.config.people[0].id, week_named(span.id, context)
    held = standing_answers(context, person, week)
    terminal.say(message("Enter leaves a question as it is; {sign} takes it out.", sign=_TAKE_AWAY))
    said = {question: _answer(terminal, question, held.to(question)) for question in questions}
    if all(held.to(question) == one for question, one in said.items()):
        terminal.say(message("Nothing was changed."))
        return Status.FINE
    after = answer(context, person, week, said, held.seen)
    terminal.say(message("The answers were written to {file}.", file=after.name))
    return Status.FINE


def _answer(terminal: Terminal, question: str, stands: str) -> str:
    shown = f" [{stands}]" if stands else ""
    terminal.out.write(f"{question}{shown} ")
    terminal.out.flush()
    try:
        typed = input().strip()
    except EOFError as error:
        raise UsageError(message("the questions were not answered; nothing was written")) from error
    if not typed:
        return stands
    return "" if typed == _TAKE_AWAY else typed
