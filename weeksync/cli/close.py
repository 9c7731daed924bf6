"""`weeksync close`: keep a week as it is for good, or open it again."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from datetime import datetime

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.workflow import Context, Outcome
from weeksync.workflow.close import close_week, last_over, listed, reopen_week
from weeksync.workflow.spans import week_named


def close_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command."""
    parser.add_argument(
        "week",
        nargs="?",
        help=words(message("last, 2027-W11 or a day of the week; without it the last one over")),
    )
    parser.add_argument(
        "--reopen",
        action="store_true",
        help=words(message("let it be computed again; as it was closed it is kept beside")),
    )
    parser.add_argument(
        "--list", action="store_true", help=words(message("only list the closed weeks"))
    )
    parser.add_argument(
        "--json", action="store_true", help=words(message("list the closed weeks as JSON"))
    )


def run_close(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    lists = options.list or options.json
    if lists and (options.week or options.reopen):
        raise UsageError(message("--list and --json only list; leave out WEEK and --reopen"))
    context = context_of(options, terminal, give_ids=not lists)
    if lists:
        return _list(context, terminal, as_json=options.json)
    week = week_named(options.week, context) if options.week else last_over(context)
    # On its last day, too, as on the page on which a week is planned.
    done = reopen_week(context, week) if options.reopen else close_week(context, week, ending=True)
    return terminal.tell(done, always=True)


def _list(context: Context, terminal: Terminal, *, as_json: bool) -> int:
    weeks, problems = listed(context)
    if as_json:
        found = [
            {
                "week": str(one.week),
                "closed_at": _text(one.closed_at),
                "reopened": [_text(at) for at in one.reopened],
            }
            for one in weeks
        ]
        json.dump(found, terminal.out, ensure_ascii=False, indent=1)
        terminal.out.write("\n")
    for one in weeks if not as_json else ():
        when = one.closed_at
        said = context.language.moment(when.astimezone(context.tz)) if when is not None else "?"
        terminal.say(f"{one.week}  {said}")
    if not weeks and not as_json:
        terminal.say(message("No week is closed yet."))
    outcome = Outcome.of((), problems)
    terminal.problems(outcome.problems)
    return int(outcome.status)


def _text(moment: datetime | None) -> str | None:
    return moment.isoformat().replace("+00:00", "Z") if moment is not None else None
