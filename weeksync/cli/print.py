"""`weeksync print`: sheets for the binder, the wall and the pocket."""

from __future__ import annotations

import argparse
import sys
import webbrowser
from collections.abc import Callable, Sequence
from pathlib import Path

from weeksync.cli.choices import is_yes
from weeksync.cli.household import context_of
from weeksync.cli.print_test import ask_for_printer
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.model.snapshot import Snapshot
from weeksync.workflow import Context
from weeksync.workflow.printing import Printed, print_sheets
from weeksync.workflow.printing_names import (
    KINDS,
    PATTERNS,
    SIZE_NAMES,
    WAYS,
    WITH,
    Asked,
    settings_and_order,
)
from weeksync.workflow.printing_waiting import came_out, did_not, let_wait, waiting


def print_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command."""
    add = parser.add_argument
    add(
        "span",
        nargs="?",
        default="this",
        help=words(message("a week, as next or 2027-W12; a month as 2027-03; a year as 2027")),
    )
    add(
        "--kind",
        choices=KINDS,
        default=None,
        metavar="KIND",
        help=words(message("what is printed: {known}", known=", ".join(KINDS))),
    )
    add(
        "--changes",
        action="store_true",
        help=words(message("a strip of what changed since the week was printed")),
    )
    add("--weeks", type=int, default=1, metavar="N", help=words(message("so many weeks in a row")))
    add("--person", metavar="ID", default="", help=words(message("whose sheet it is")))
    add(
        "--way",
        choices=WAYS,
        default="single",
        metavar="WAY",
        help=words(message("how pages go on paper: {known}", known=", ".join(WAYS))),
    )
    add(
        "--size",
        choices=SIZE_NAMES,
        default=None,
        metavar="SIZE",
        help=words(message("the sheet, as A5, in place of the one in config.toml")),
    )
    add(
        "--paper",
        choices=SIZE_NAMES,
        default=None,
        metavar="SIZE",
        help=words(message("what lies in the printer, where it is larger than the sheet")),
    )
    turned = parser.add_mutually_exclusive_group()
    turned.add_argument(
        "--landscape",
        action="store_const",
        const=True,
        default=None,
        help=words(message("sheets on their side")),
    )
    turned.add_argument(
        "--portrait",
        dest="landscape",
        action="store_const",
        const=False,
        help=words(message("sheets upright")),
    )
    add("--large", action="store_true", help=words(message("large print: 14 points")))
    add("--ink-saving", action="store_true", help=words(message("no fills, no decoration")))
    add("--hole-ticks", action="store_true", help=words(message("light crosses where holes go")))
    add(
        "--pattern",
        choices=PATTERNS,
        default="lines",
        metavar="PATTERN",
        help=words(message("of pages to write on: {known}", known=", ".join(PATTERNS))),
    )
    add(
        "--count",
        type=int,
        default=2,
        metavar="N",
        help=words(message("how many pages to write on")),
    )
    add(
        "--with",
        dest="engine",
        choices=WITH,
        default=None,
        metavar="PROGRAM",
        help=words(message("what makes it: {known}", known=", ".join(WITH))),
    )
    add("--to", metavar="FILE", default=None, help=words(message("the file to write")))
    add("--report", action="store_true", help=words(message("say how much ink each page takes")))
    add("--open", action="store_true", help=words(message("show what was made")))
    add(
        "--came-out",
        choices=("yes", "no"),
        default=None,
        help=words(
            message("whether what was made before came out; makes it first where nothing was")
        ),
    )


def run_print(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    context = context_of(options, terminal)
    config, order = settings_and_order(context, _asked(options))
    if options.came_out is not None and order.counts:
        made = waiting(context, order.weeks)
        if made:  # the answer is to what was made before: nothing new is made
            return _answered(context, made, options.came_out, terminal)
    printed = print_sheets(context, config, order)
    for line in printed.said:
        terminal.say(line)
    terminal.problems(problem for problem in printed.problems if problem.counts)
    if options.open or printed.shown_in_browser:
        _show(printed, terminal)
    if order.kind.value == "test":
        return ask_for_printer(context, config, terminal) if _asks(terminal) else 0
    return _came_out(context, printed, options.came_out, terminal)


def _asked(options: argparse.Namespace) -> Asked:
    if options.changes and options.kind not in (None, "changes"):
        raise UsageError(message("--changes is a kind of its own; leave out --kind"))
    return Asked(
        span=options.span,
        kind="changes" if options.changes else options.kind or "spread",
        weeks=options.weeks,
        person=options.person,
        way=options.way,
        size=options.size,
        paper=options.paper,
        landscape=options.landscape,
        large=options.large,
        ink_saving=options.ink_saving,
        hole_ticks=options.hole_ticks,
        pattern=options.pattern,
        count=options.count,
        engine=options.engine,
        target=Path(options.to) if options.to else None,
        report=options.report,
    )


def _show(printed: Printed, terminal: Terminal) -> None:
    if not webbrowser.open(printed.path.absolute().as_uri()):
        terminal.complain(
            message("no browser could be started; open the file above in one yourself")
        )


def _asks(terminal: Terminal) -> bool:
    return terminal.watched and sys.stdin.isatty()


def _came_out(context: Context, printed: Printed, answer: str | None, terminal: Terminal) -> int:
    """Ask whether it came out; only then does it count as printed."""
    if not printed.snapshots:
        return 0
    if answer is None and _asks(terminal):
        answer = "yes" if is_yes(terminal, message("Did it come out as it should?")) else "no"
    if answer is not None:
        return _answered(context, printed.snapshots, answer, terminal)
    let_wait(context, printed.snapshots)
    terminal.say(
        message(
            "It does not count as printed yet; say so with --came-out yes when it has come out."
        )
    )
    return 0


def _answered(
    context: Context, snapshots: Sequence[Snapshot], answer: str, terminal: Terminal
) -> int:
    outcome = came_out if answer == "yes" else did_not
    return terminal.tell(outcome(context, snapshots), always=True)
