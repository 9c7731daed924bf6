"""The commands: each with a summary, an example, and where its options and its run are.

The module of a command is imported when the command is asked for: a mark from a script need not
wait for what prints paper or serves pages.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from typing import Any

from weeksync.cli.terminal import Terminal
from weeksync.lazy import dataclass
from weeksync.message import Message, message

Words = Callable[[Message], str]


@dataclass(frozen=True, slots=True)
class Command:
    """One command.

    `module` of `weeksync.cli` has its `run_NAME`, and where it takes options of its own
    `NAME_options`; a hyphen of the name is an underscore there.
    """

    name: str
    summary: Message
    example: str
    module: str

    def run(self, options: argparse.Namespace, terminal: Terminal) -> int:
        """Do it with the parsed options; the exit status."""
        return int(getattr(self._code(), f"run_{self._word}")(options, terminal))

    def arguments(self, parser: argparse.ArgumentParser, words: Words) -> None:
        """Give the parser the options of this command."""
        add = getattr(self._code(), f"{self._word}_options", None)
        if add is not None:
            add(parser, words)

    @property
    def _word(self) -> str:
        return self.name.replace("-", "_")

    def _code(self) -> Any:
        return import_module(f"weeksync.cli.{self.module}")


COMMANDS = (
    Command(
        "demo",
        message("Build the pages of an invented household; nothing to configure."),
        "weeksync demo --open",
        "runs",
    ),
    Command(
        "new",
        message("Make a household folder by asking, here or on a page; later, add to it."),
        "weeksync new ~/household",
        "new",
    ),
    Command(
        "check",
        message("Look at files, calendars and zone data, and say what would be left out."),
        "weeksync check --household ~/household",
        "runs",
    ),
    Command(
        "pull",
        message("Fetch what has changed in the calendars."),
        "weeksync pull --source family",
        "runs",
    ),
    Command(
        "build",
        message("Make the pages from what was pulled and from the household's files."),
        "weeksync build --household ~/household",
        "runs",
    ),
    Command(
        "nightly",
        message("Pull and build, for cron: says nothing when all is well."),
        "weeksync nightly --household ~/household",
        "runs",
    ),
    Command(
        "status",
        message("How the last night went, and how old each calendar is."),
        "weeksync status --household ~/household",
        "status",
    ),
    Command(
        "show",
        message("A week, a month or any span of days in the terminal, or as JSON."),
        "weeksync show 2027-W12 --json",
        "looking",
    ),
    Command(
        "feed",
        message("The plan of a person for the calendar on their phone."),
        "weeksync feed ines --to ~/plan.ics",
        "feed",
    ),
    Command(
        "propose",
        message("The proposed week: what fits where, and why; written down only if you take it."),
        "weeksync propose next --take",
        "propose",
    ),
    Command(
        "confirm",
        message("Confirm a week as it stands: changes are counted from here on."),
        "weeksync confirm next",
        "looking",
    ),
    Command(
        "add",
        message("Add a task, an appointment, a habit, a bill, a routine or a lesson."),
        'weeksync add task "Mend the garden gate" --due Fri',
        "add",
    ),
    Command(
        "carry",
        message("Decide about tasks left over: do, split, give a date, or drop each."),
        "weeksync carry next",
        "carry",
    ),
    Command(
        "close",
        message("Close a week that is over: it is kept as it was, whatever is changed later."),
        "weeksync close last",
        "close",
    ),
    Command(
        "print",
        message("Sheets of paper: a week for the binder, a month for the wall, pages to write on."),
        "weeksync print next --way duplex",
        "print",
    ),
    Command(
        "mark",
        message("Mark what happened: one thing, a week from paper, or what a tablet has saved."),
        "weeksync mark water 7 --day yesterday",
        "mark",
    ),
    Command(
        "check-in",
        message("Write a check-in: five questions, each of which may be left out."),
        "weeksync check-in --day yesterday",
        "check_in",
    ),
    Command(
        "review",
        message("Look back on a week, a month, a term or a year, and answer your own questions."),
        "weeksync review last",
        "review",
    ),
    Command(
        "find",
        message("Look for words in the titles and notes of the closed weeks."),
        "weeksync find seed list",
        "find",
    ),
    Command(
        "share",
        message("A week for others: made by rules, audited, looked at, published, withdrawn."),
        "weeksync share 2027-W12",
        "share",
    ),
    Command(
        "pack",
        message("Write everything of the household into one zip of plain files."),
        "weeksync pack household.zip",
        "moving",
    ),
    Command(
        "unpack",
        message("Make a household folder out of such a zip, and check it."),
        "weeksync unpack household.zip ~/household",
        "moving",
    ),
    Command(
        "certificate",
        message("Make or renew a certificate, so that tablets at home can use https."),
        "weeksync certificate --name kitchen.local",
        "certificate",
    ),
    Command(
        "open",
        message("Open the pages in the browser."),
        "weeksync open next",
        "looking",
    ),
    Command(
        "serve",
        message("Serve the pages to the tablets of the home, and take their marks."),
        "weeksync serve --household ~/household",
        "serve",
    ),
    Command(
        "devices",
        message("The devices that may come in: list them, let one in, or let one in no longer."),
        "weeksync devices --add kitchen",
        "devices",
    ),
    Command(
        "pin",
        message("Give a person a PIN for the pages of their own where the pages are served."),
        "weeksync pin ines",
        "pin",
    ),
)
