"""`weeksync carry --spread` and `--park`: one step for what piled up in a lighter week."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import date

from weeksync.cli.choices import is_yes
from weeksync.cli.plan_words import Words, wrapped
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, counted, message
from weeksync.workflow import Context, Status, carry
from weeksync.workflow.carry import PiledUp


def spread_piled_up(context: Context, terminal: Terminal, person: str | None, *, sure: bool) -> int:
    """Put what piled up on days to come: shown first, then asked."""
    piled = carry.to_spread(context, person)
    if _is_wanted(context, terminal, piled, message("Put them on these days?"), sure=sure):
        carry.spread_out(context, piled)
        count = sum(len(one.days) for one in piled)
        terminal.say(counted("{count} task put on a day.", "{count} tasks put on days.", count))
    return Status.FINE


def park_piled_up(
    context: Context, terminal: Terminal, person: str | None, until: date, *, sure: bool
) -> int:
    """Set what piled up aside until a day: shown first, then asked."""
    piled = carry.to_park(context, until, person)
    question = message("Set them aside until {day}?", day=until.isoformat())
    if _is_wanted(context, terminal, piled, question, sure=sure):
        skipped = carry.park_all(context, piled)
        count = sum(len(one.days) for one in piled) - len(skipped)
        terminal.say(counted("{count} task set aside.", "{count} tasks set aside.", count))
        for task in skipped:
            terminal.say(
                message("“{title}” stands in a calendar and is as it was", title=task.title)
            )
    return Status.FINE


def _is_wanted(
    context: Context,
    terminal: Terminal,
    piled: Sequence[PiledUp],
    question: Message,
    *,
    sure: bool,
) -> bool:
    if not piled:
        terminal.say(message("Nothing piled up in a lighter week of the last two weeks."))
        return False
    words = Words(context)
    for one in piled:
        _show(one, words, terminal)
    if not any(one.days for one in piled):
        return False
    return sure or asks(terminal, question)


def asks(terminal: Terminal, question: Message) -> bool:
    """Whether the question is answered with yes; UsageError where nobody can answer."""
    if not (sys.stdin.isatty() and terminal.watched):
        raise UsageError(
            message("this is no terminal to ask at; --yes writes what is shown without asking")
        )
    return is_yes(terminal, question)


def _show(one: PiledUp, words: Words, terminal: Terminal) -> None:
    terminal.say(message("{person}, after the lighter week:", person=words.person(one.person)))
    for task, day in one.days:
        for text in wrapped(task.title, f"  {words.day(day):<11}  ", " " * 15):
            terminal.say(text)
    for task in one.left:
        text = words.text(message("{title}: stays as it is", title=task.title))
        for part in wrapped(text, "  ", "    "):
            terminal.say(part)
