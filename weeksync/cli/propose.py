"""`weeksync propose`: the proposed week, and taking it or a part of it."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable

from weeksync.cli.household import context_of
from weeksync.cli.piled_up import asks
from weeksync.cli.proposed import carried_lines, choice_lines, difference_lines, proposal_lines
from weeksync.cli.terminal import Terminal
from weeksync.message import Message, message
from weeksync.workflow import Context, Outcome
from weeksync.workflow.placing import counted_on, write_choice
from weeksync.workflow.propose import Proposed, as_proposal_record, choice_of, proposed
from weeksync.workflow.spans import week_ahead, week_named


def propose_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command."""
    parser.add_argument(
        "week",
        nargs="?",
        help=words(
            message(
                "this, next, 2027-W12 or a day of the week; without it this week, from Friday on "
                "the next one"
            )
        ),
    )
    parser.add_argument("--person", metavar="ID", help=words(message("only what is this person's")))
    parser.add_argument(
        "--from-now",
        action="store_true",
        help=words(message("plan anew what remains of the week: what would change comes first")),
    )
    parser.add_argument(
        "--take",
        nargs="*",
        metavar="TASK",
        help=words(message("write it down: all that is proposed, or only these tasks (ids)")),
    )
    parser.add_argument(
        "--yes", action="store_true", help=words(message("with --take: do not ask"))
    )
    parser.add_argument("--json", action="store_true", help=words(message("the same as JSON")))


def run_propose(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    taking = options.take is not None
    context = context_of(options, terminal, give_ids=taking)
    # What remains of the week is that of this one, on its last day, too.
    text = options.week or ("this" if options.from_now else "")
    week = week_named(text, context) if text else week_ahead(context)
    found = proposed(context, week, options.person)
    outcome = Outcome.of((), found.problems)
    terminal.problems(problem for problem in outcome.problems if problem.counts)
    if options.json:
        json.dump(as_proposal_record(found), terminal.out, ensure_ascii=False, indent=1)
        terminal.out.write("\n")
    elif options.from_now:
        for line in difference_lines(context, found):
            terminal.say(line)
        terminal.say("")
    if not options.json and not taking:
        for line in proposal_lines(context, found):
            terminal.say(line)
    if taking:
        _take(context, found, options, terminal)
    return int(outcome.status)


def _take(
    context: Context, found: Proposed, options: argparse.Namespace, terminal: Terminal
) -> None:
    chosen = choice_of(context, found, options.take)
    if not (chosen.puts or chosen.priorities or chosen.breaks):
        terminal.say(message("There is nothing to take."))
        return
    carried = counted_on(context, chosen)
    if not options.json:
        terminal.say(message("To be written into the file of {week}:", week=str(found.week)))
        for line in choice_lines(context, found, chosen):
            terminal.say(line)
        for line in carried_lines(context, carried):
            terminal.say(line)
    if not options.yes and not asks(terminal, message("Write it down?")):
        terminal.say(message("Nothing was written."))
        return
    files = [f"weeks/{week}.toml" for week in write_choice(context, chosen)]
    if not options.json:
        for name in [*files, *carried]:
            terminal.say(message("Written: {place}", place=str(context.folder / name)))
