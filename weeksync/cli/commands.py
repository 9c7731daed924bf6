"""The commands: each with a summary, an example, its options and what it runs."""

from __future__ import annotations

import argparse
import json
import webbrowser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from weeksync.cli.add import add_options, run_add
from weeksync.cli.carry import carry_options, run_carry
from weeksync.cli.certificate import certificate_options, run_certificate
from weeksync.cli.check_in import check_in_options, run_check_in
from weeksync.cli.close import close_options, run_close
from weeksync.cli.devices import devices_options, run_devices
from weeksync.cli.feed import feed_options, run_feed
from weeksync.cli.find import find_options, run_find
from weeksync.cli.household import context_of
from weeksync.cli.mark import mark_options, run_mark
from weeksync.cli.moving import pack_options, run_pack, run_unpack, unpack_options
from weeksync.cli.new import new_options, run_new
from weeksync.cli.pin import pin_options, run_pin
from weeksync.cli.print import print_options, run_print
from weeksync.cli.propose import propose_options, run_propose
from weeksync.cli.review import review_options, run_review
from weeksync.cli.serve import run_serve, serve_options
from weeksync.cli.share import run_share, share_options
from weeksync.cli.terminal import Terminal
from weeksync.cli.text import lines_of
from weeksync.lean import STARTED
from weeksync.message import Message, message
from weeksync.workflow import (
    Outcome,
    Status,
    build,
    check,
    confirm,
    instant_now,
    nightly,
    open_store,
    page_of,
    pull,
    record,
    run_demo,
    schema_text,
    shown,
)
from weeksync.workflow.close import closed_when
from weeksync.workflow.notify import notify
from weeksync.workflow.show import as_it_was
from weeksync.workflow.spans import week_named

Words = Callable[[Message], str]

WAIT = 5.0
"""Seconds that a run by hand waits for another: `weeksync serve` writes pages now and then."""


@dataclass(frozen=True, slots=True)
class Command:
    """One command; `run` gets the parsed options and gives the exit status."""

    name: str
    summary: Message
    example: str
    run: Callable[[argparse.Namespace, Terminal], int]
    arguments: Callable[[argparse.ArgumentParser, Words], None] = lambda parser, words: None


def _demo_options(parser: argparse.ArgumentParser, words: Words) -> None:
    parser.add_argument(
        "--to",
        metavar="FOLDER",
        default="output",
        help=words(message("where the demo goes; without it the folder output")),
    )
    parser.add_argument(
        "--locale", default="", help=words(message("its language and region, as en_GB"))
    )
    parser.add_argument(
        "--open", action="store_true", help=words(message("show the start page in the browser"))
    )


def _demo(options: argparse.Namespace, terminal: Terminal) -> int:
    now = instant_now(options.now) if options.now else None
    folder = Path(options.to)
    with terminal.progress() as progress:
        home = Path(options.household) if options.household else None
        outcome = run_demo(folder, home=home, locale=options.locale, now=now, progress=progress)
    status = terminal.tell(outcome, always=True)
    if options.open:
        _browse(folder / "site" / "index.html", terminal)
    return status


def _check_options(parser: argparse.ArgumentParser, words: Words) -> None:
    parser.add_argument(
        "--offline", action="store_true", help=words(message("do not ask the calendar servers"))
    )


def _check(options: argparse.Namespace, terminal: Terminal) -> int:
    context = context_of(options, terminal, give_ids=False)
    return terminal.tell(check(context, offline=options.offline), always=True)


def _pull_options(parser: argparse.ArgumentParser, words: Words) -> None:
    parser.add_argument(
        "--source",
        action="append",
        default=[],
        metavar="ID",
        help=words(message("only this calendar of config.toml; can be given several times")),
    )
    parser.add_argument(
        "--accept",
        action="append",
        default=[],
        metavar="ID",
        help=words(
            message("take what this calendar has now, even if nearly all of it has vanished")
        ),
    )
    parser.add_argument(
        "--rebuild",
        action="store_true",
        help=words(message("set a damaged state database aside and pull everything again")),
    )


def _pull(options: argparse.Namespace, terminal: Terminal) -> int:
    context = context_of(options, terminal)
    with (
        open_store(context, rebuild=options.rebuild, wait=WAIT) as store,
        terminal.progress() as progress,
    ):
        outcome = pull(
            context, store, only=options.source, accept=options.accept, progress=progress
        )
    return terminal.tell(outcome)


def _build(options: argparse.Namespace, terminal: Terminal) -> int:
    context = context_of(options, terminal)
    with open_store(context, wait=WAIT) as store, terminal.progress() as progress:
        outcome = build(context, store, progress=progress)
    return terminal.tell(outcome)


def _nightly(options: argparse.Namespace, terminal: Terminal) -> int:
    context = context_of(options, terminal)
    with terminal.progress() as progress:
        outcome = nightly(context, progress=progress, started=STARTED)
    outcome = notify(context, outcome)
    return terminal.tell(outcome)


def _show_options(parser: argparse.ArgumentParser, words: Words) -> None:
    parser.add_argument(
        "span",
        nargs="?",
        default="this",
        help=words(
            message("this, next, 2027-W12, 29 Dec, a month as 2027-03, or two days FROM/TO")
        ),
    )
    parser.add_argument("--person", metavar="ID", help=words(message("only what is this person's")))
    parser.add_argument("--area", metavar="ID", help=words(message("only this area of life")))
    parser.add_argument(
        "--json", action="store_true", help=words(message("the whole computed record as JSON"))
    )
    parser.add_argument(
        "--schema", action="store_true", help=words(message("the JSON Schema of that record"))
    )


def _show(options: argparse.Namespace, terminal: Terminal) -> int:
    if options.schema:
        terminal.say(schema_text().rstrip("\n"))
        return Status.FINE
    context = context_of(options, terminal, give_ids=False)
    spread, problems = shown(context, options.span, person=options.person, area=options.area)
    outcome = Outcome.of((), problems)
    if options.json:
        json.dump(record(context, spread, problems), terminal.out, ensure_ascii=False, indent=1)
        terminal.out.write("\n")
    else:
        if spread.week is not None and (closed := context.archive.get(spread.week)) is not None:
            terminal.say(closed_when(context, spread.week, closed))
        for line in lines_of(as_it_was(context, spread), spread):
            terminal.say(line)
    terminal.problems(problem for problem in outcome.problems if problem.counts)
    return int(outcome.status)


def _confirm_options(parser: argparse.ArgumentParser, words: Words) -> None:
    parser.add_argument(
        "week",
        nargs="?",
        default="this",
        help=words(message("this, next, 2027-W12 or a day of the week")),
    )


def _confirm(options: argparse.Namespace, terminal: Terminal) -> int:
    context = context_of(options, terminal)
    return terminal.tell(confirm(context, week_named(options.week, context)))


def _open_options(parser: argparse.ArgumentParser, words: Words) -> None:
    parser.add_argument(
        "week", nargs="?", help=words(message("a week, as next or 2027-W12; else the start page"))
    )


def _open(options: argparse.Namespace, terminal: Terminal) -> int:
    return _browse(page_of(context_of(options, terminal, give_ids=False), options.week), terminal)


def _browse(page: Path, terminal: Terminal) -> int:
    address = page.absolute().as_uri()
    terminal.say(address)
    if webbrowser.open(address):
        return Status.FINE
    terminal.complain(
        message("no browser could be started; open the address above in one yourself")
    )
    return Status.PROBLEMS


COMMANDS = (
    Command(
        "demo",
        message("Build the pages of an invented household; nothing to configure."),
        "weeksync demo --open",
        _demo,
        _demo_options,
    ),
    Command(
        "new",
        message("Make a household folder by asking, here or on a page; later, add to it."),
        "weeksync new ~/household",
        run_new,
        new_options,
    ),
    Command(
        "check",
        message("Look at files, calendars and zone data, and say what would be left out."),
        "weeksync check --household ~/household",
        _check,
        _check_options,
    ),
    Command(
        "pull",
        message("Fetch what has changed in the calendars."),
        "weeksync pull --source family",
        _pull,
        _pull_options,
    ),
    Command(
        "build",
        message("Make the pages from what was pulled and from the household's files."),
        "weeksync build --household ~/household",
        _build,
    ),
    Command(
        "nightly",
        message("Pull and build, for cron: says nothing when all is well."),
        "weeksync nightly --household ~/household",
        _nightly,
    ),
    Command(
        "show",
        message("A week, a month or any span of days in the terminal, or as JSON."),
        "weeksync show 2027-W12 --json",
        _show,
        _show_options,
    ),
    Command(
        "feed",
        message("The plan of a person for the calendar on their phone."),
        "weeksync feed ines --to ~/plan.ics",
        run_feed,
        feed_options,
    ),
    Command(
        "propose",
        message("The proposed week: what fits where, and why; written down only if you take it."),
        "weeksync propose next --take",
        run_propose,
        propose_options,
    ),
    Command(
        "confirm",
        message("Confirm a week as it stands: changes are counted from here on."),
        "weeksync confirm next",
        _confirm,
        _confirm_options,
    ),
    Command(
        "add",
        message("Add a task, an appointment, a habit, a bill, a routine or a lesson."),
        'weeksync add task "Mend the garden gate" --due Fri',
        run_add,
        add_options,
    ),
    Command(
        "carry",
        message("Decide about tasks left over: do, split, give a date, or drop each."),
        "weeksync carry next",
        run_carry,
        carry_options,
    ),
    Command(
        "close",
        message("Close a week that is over: it is kept as it was, whatever is changed later."),
        "weeksync close last",
        run_close,
        close_options,
    ),
    Command(
        "print",
        message("Sheets of paper: a week for the binder, a month for the wall, pages to write on."),
        "weeksync print next --way duplex",
        run_print,
        print_options,
    ),
    Command(
        "mark",
        message("Mark what happened: one thing, a week from paper, or what a tablet has saved."),
        "weeksync mark water 7 --day yesterday",
        run_mark,
        mark_options,
    ),
    Command(
        "check-in",
        message("Write a check-in: five questions, each of which may be left out."),
        "weeksync check-in --day yesterday",
        run_check_in,
        check_in_options,
    ),
    Command(
        "review",
        message("Look back on a week, a month, a term or a year, and answer your own questions."),
        "weeksync review last",
        run_review,
        review_options,
    ),
    Command(
        "find",
        message("Look for words in the titles and notes of the closed weeks."),
        "weeksync find seed list",
        run_find,
        find_options,
    ),
    Command(
        "share",
        message("A week for others: made by rules, audited, looked at, published, withdrawn."),
        "weeksync share 2027-W12",
        run_share,
        share_options,
    ),
    Command(
        "pack",
        message("Write everything of the household into one zip of plain files."),
        "weeksync pack household.zip",
        run_pack,
        pack_options,
    ),
    Command(
        "unpack",
        message("Make a household folder out of such a zip, and check it."),
        "weeksync unpack household.zip ~/household",
        run_unpack,
        unpack_options,
    ),
    Command(
        "certificate",
        message("Make or renew a certificate, so that tablets at home can use https."),
        "weeksync certificate --name kitchen.local",
        run_certificate,
        certificate_options,
    ),
    Command(
        "open",
        message("Open the pages in the browser."),
        "weeksync open next",
        _open,
        _open_options,
    ),
    Command(
        "serve",
        message("Serve the pages to the tablets of the home, and take their marks."),
        "weeksync serve --household ~/household",
        run_serve,
        serve_options,
    ),
    Command(
        "devices",
        message("The devices that may come in: list them, let one in, or let one in no longer."),
        "weeksync devices --add kitchen",
        run_devices,
        devices_options,
    ),
    Command(
        "pin",
        message("Give a person a PIN for the pages of their own where the pages are served."),
        "weeksync pin ines",
        run_pin,
        pin_options,
    ),
)
