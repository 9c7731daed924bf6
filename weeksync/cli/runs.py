"""The commands that make pages: `demo`, `check`, `pull`, `build` and `nightly`.

Each imports what does its work when it is run: a pull makes no pages, a night no demo.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.lean import STARTED
from weeksync.lean.log import LEVELS
from weeksync.message import Message, message

Words = Callable[[Message], str]

WAIT = 5.0
"""Seconds that a run by hand waits for another: `weeksync serve` writes pages now and then."""


def demo_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of `demo`."""
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


def run_demo(options: argparse.Namespace, terminal: Terminal) -> int:
    """`weeksync demo`: the pages of an invented household; its exit status."""
    from weeksync.cli.looking import browse
    from weeksync.workflow import instant_now
    from weeksync.workflow import run_demo as make_demo

    now = instant_now(options.now) if options.now else None
    folder = Path(options.to)
    with terminal.progress() as progress:
        home = Path(options.household) if options.household else None
        outcome = make_demo(folder, home=home, locale=options.locale, now=now, progress=progress)
    status = terminal.tell(outcome, always=True)
    if options.open:
        browse(folder / "site" / "index.html", terminal)
    return status


def check_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of `check`."""
    parser.add_argument(
        "--offline", action="store_true", help=words(message("do not ask the calendar servers"))
    )


def run_check(options: argparse.Namespace, terminal: Terminal) -> int:
    """`weeksync check`; its exit status."""
    from weeksync.workflow.check import check

    context = context_of(options, terminal, give_ids=False)
    return terminal.tell(check(context, offline=options.offline), always=True)


def pull_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of `pull`."""
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
    nightly_options(parser, words)


def nightly_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The option of `nightly`, which `pull` has as well."""
    parser.add_argument(
        "--log",
        choices=LEVELS,
        default="",
        help=words(
            message("a line for each calendar and one for the run on standard error, from there on")
        ),
    )


def run_pull(options: argparse.Namespace, terminal: Terminal) -> int:
    """`weeksync pull`; its exit status."""
    from weeksync.workflow.opening import open_store
    from weeksync.workflow.pull import pull
    from weeksync.workflow.run_log import RunLog

    context = context_of(options, terminal)
    log = RunLog(context, terminal.err, options.log)
    with (
        log.of("pull") as ended,
        open_store(context, rebuild=options.rebuild, wait=WAIT) as store,
        terminal.progress() as progress,
    ):
        ended.outcome = pull(
            context, store, only=options.source, accept=options.accept, progress=progress, log=log
        )
    return terminal.tell(ended.outcome)


def run_build(options: argparse.Namespace, terminal: Terminal) -> int:
    """`weeksync build`; its exit status."""
    from weeksync.workflow.build import build
    from weeksync.workflow.opening import open_store

    context = context_of(options, terminal)
    with open_store(context, wait=WAIT) as store, terminal.progress() as progress:
        outcome = build(context, store, progress=progress)
    return terminal.tell(outcome)


def run_nightly(options: argparse.Namespace, terminal: Terminal) -> int:
    """`weeksync nightly`; its exit status."""
    from weeksync.workflow.nightly import nightly
    from weeksync.workflow.notify import notify, notify_stopped
    from weeksync.workflow.run_log import RunLog

    context = context_of(options, terminal, may_be_kept=True)
    log = RunLog(context, terminal.err, options.log)
    try:
        with log.of("nightly") as ended, terminal.progress() as progress:
            ended.outcome = nightly(context, progress=progress, started=STARTED, log=log)
    except Exception as error:
        terminal.problems(notify_stopped(context, error).problems)
        raise
    return terminal.tell(notify(context, ended.outcome))
