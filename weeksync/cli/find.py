"""`weeksync find`: look for words in the titles and notes of the closed weeks."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.language.find_sentences import KINDS, shortened
from weeksync.message import Message, counted, message
from weeksync.workflow import Status
from weeksync.workflow.find import EVERYTHING, as_record, find, place_of


def find_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command."""
    parser.add_argument(
        "words",
        nargs="+",
        metavar="WORDS",
        help=words(message("all of them have to be there; accents and capitals are the same")),
    )
    parser.add_argument(
        "--person", metavar="ID", help=words(message("only what this person may see"))
    )
    parser.add_argument("--json", action="store_true", help=words(message("the same as JSON")))


def run_find(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status. To find nothing is no mistake."""
    context = context_of(options, terminal, give_ids=False)
    person = EVERYTHING if options.person is None else context.known_person(options.person)
    found, language = find(context, " ".join(options.words), person), context.language
    if options.json:
        json.dump(as_record(found), terminal.out, ensure_ascii=False, indent=1)
        terminal.out.write("\n")
    else:
        for hit in found.hits:
            day = hit.text.day.isoformat() if hit.text.day is not None else str(hit.week)
            text = shortened(hit.text.text, place_of(hit.text.text, found.words))
            terminal.say(f"{day:<10}  {text} ({language.text(KINDS[hit.text.kind])})")
        terminal.say(language.text(counted("{count} found", "{count} found", found.count)))
        more = found.count - len(found.hits)
        if more:
            terminal.say(
                language.text(
                    counted(
                        "{count} more: say a word more.", "{count} more: say a word more.", more
                    )
                )
            )
    terminal.problems(context.archive.problems)
    return int(Status.PROBLEMS if context.archive.problems else Status.FINE)
