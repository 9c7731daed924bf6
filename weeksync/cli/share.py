"""`weeksync share`: a week for others, looked at first, then published, listed, withdrawn."""

from __future__ import annotations

import argparse
import json
import shlex
from collections.abc import Callable
from contextlib import suppress
from typing import Any

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.model.shared import Decision, ShownAs
from weeksync.model.week import IsoWeek
from weeksync.workflow import Context, Outcome, Status
from weeksync.workflow.sharing import KINDS, listed, publish, share, shown_text, withdraw
from weeksync.workflow.sharing_rules import explained, release
from weeksync.workflow.spans import week_named


def share_options(parser: argparse.ArgumentParser, words: Callable[[Message], str]) -> None:
    """The options of the command."""
    parser.add_argument(
        "week",
        nargs="?",
        default="last",
        help=words(message("a week that is over, as 2027-W12 or a day of it; without it the last")),
    )
    one_of = parser.add_mutually_exclusive_group()
    one_of.add_argument(
        "--explain",
        action="store_true",
        help=words(message("list what would be shown, as what and by which rule; write nothing")),
    )
    one_of.add_argument(
        "--release",
        metavar="WHAT",
        help=words(
            message("let one thing through: the id of a habit, task or appointment, or a title")
        ),
    )
    one_of.add_argument(
        "--accept",
        metavar="WORD",
        action="append",
        default=[],
        help=words(message("a word that was asked about may stand there, from now on")),
    )
    one_of.add_argument(
        "--publish",
        action="store_true",
        help=words(message("put what was looked at where config.toml says, and run its command")),
    )
    one_of.add_argument(
        "--withdraw",
        action="store_true",
        help=words(message("take the week (or the folder of that name) out of what is published")),
    )
    one_of.add_argument(
        "--list", action="store_true", help=words(message("list what is published, and was"))
    )
    parser.add_argument("--json", action="store_true", help=words(message("the same as JSON")))


def run_share(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    context = context_of(options, terminal)
    if options.list:
        return _list(context, terminal, as_json=options.json)
    if options.withdraw:
        week: IsoWeek | None = None
        with suppress(UsageError):  # the name of a folder is no week
            week = week_named(options.week, context)
        return _tell(terminal, withdraw(context, options.week, week), as_json=options.json)
    week = week_named(options.week, context)
    if options.explain:
        return _explain(context, week, terminal, as_json=options.json)
    if options.release is not None:
        outcome = Outcome.of([release(context, week, options.release)], ())
        return _tell(terminal, outcome, as_json=options.json)
    if terminal.watched and not options.json:
        terminal.say(message("The pages are made, then searched; that takes a while."))
    if options.publish:
        return _tell(terminal, publish(context, week), as_json=options.json)
    shown = share(context, week, accept=options.accept)
    words = list(shown.made.words) if shown.made is not None else []
    where = {"folder": shown.folder or None, "preview": shown.preview or None}
    more = {"week": str(week), **where, "decide": words}
    return _tell(terminal, shown.outcome, as_json=options.json, more=more)


def _tell(
    terminal: Terminal, outcome: Outcome, *, as_json: bool, more: dict[str, Any] | None = None
) -> int:
    if not as_json:
        return terminal.tell(outcome, always=True)
    said = [terminal.language.text(line) for line in outcome.done]
    problems = [terminal.problem_line(problem) for problem in outcome.problems]
    _write(terminal, {**(more or {}), "done": said, "problems": problems})
    return int(outcome.status)


def _write(terminal: Terminal, data: Any) -> None:
    json.dump(data, terminal.out, ensure_ascii=False, indent=1)
    terminal.out.write("\n")


def _list(context: Context, terminal: Terminal, *, as_json: bool) -> int:
    places = listed(context)
    if as_json:
        _write(
            terminal,
            [
                {
                    "week": one.week or None,
                    "name": one.name,
                    "published_at": one.published_at or None,
                    "withdrawn_at": one.withdrawn_at or None,
                }
                for one in places
            ],
        )
        return Status.FINE
    if not places:
        terminal.say(message("Nothing is published."))
    for one in places:
        if one.withdrawn_at:
            terminal.say(
                message(
                    "{week}  {name}  published {at}, withdrawn {until}",
                    week=one.week,
                    name=one.name,
                    at=one.published_at[:10],
                    until=one.withdrawn_at[:10],
                )
            )
        elif one.week:
            terminal.say(
                message(
                    "{week}  {name}  published {at}",
                    week=one.week,
                    name=one.name,
                    at=one.published_at[:10],
                )
            )
        else:
            terminal.say(message("{name}  nobody remembers of which week", name=one.name))
    return Status.FINE


def _explain(context: Context, week: IsoWeek, terminal: Terminal, *, as_json: bool) -> int:
    made, refused = explained(context, week)
    decisions = made.decisions
    if as_json:
        _write(terminal, [_entry(terminal, one) for one in decisions])
        return Status.FINE
    shown = [one for one in decisions if one.shown_as is not ShownAs.NOTHING]
    hidden = [one for one in decisions if one.shown_as is ShownAs.NOTHING]
    terminal.say(message("Shown to others:"))
    for one in shown:
        terminal.say(f"  {_name(terminal, one)} → {shown_text(terminal.language, one)}")
        terminal.say(f"      {terminal.language.text(one.why)}")
    nothing = f"  {terminal.language.text(message('nothing'))}"
    if not shown:
        terminal.say(nothing)
    terminal.say(message("Left out:"))
    if not hidden:
        terminal.say(nothing)
    for one in hidden:
        terminal.say(f"  {_name(terminal, one)}")
        terminal.say(f"      {terminal.language.text(one.why)}")
        if one.release:
            terminal.say(f"      --release {shlex.quote(one.release)}")
    for why in refused:
        terminal.say(why)
    return Status.FINE


def _name(terminal: Terminal, one: Decision) -> str:
    days = ", ".join(terminal.language.weekday(day.weekday(), "abbreviated") for day in one.days)
    what = one.title or terminal.language.text(KINDS[one.kind])
    return f"{days}: {what}" if days else what


def _entry(terminal: Terminal, one: Decision) -> dict[str, Any]:
    return {
        "kind": one.kind.value,
        "title": one.title,
        "days": [day.isoformat() for day in one.days],
        "shown_as": one.shown_as.value,
        "label": one.label,
        "why": terminal.language.text(one.why),
        "release": one.release or None,
        "only_for": list(one.only_for),
    }
