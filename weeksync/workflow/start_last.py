"""The nightly timer, and the last step: the week itself, on the screen and on paper."""

from __future__ import annotations

import shlex

from weeksync.message import Message, message
from weeksync.site.record import Link
from weeksync.workflow.context import Context
from weeksync.workflow.spans import week_ahead
from weeksync.workflow.start_basics import Body
from weeksync.workflow.timer import HOUR, Timer, TimerKind, set_timer, take_out, timer_of


def nightly_body(context: Context, *, here: bool) -> Body:
    """What would be written, word for word; `here`: the page is on the computer itself."""
    say = context.language.text
    timer = timer_of(context.folder)
    if not here:
        return {
            "notes": (say(message("A timer is set at the computer that weeksync runs on.")),),
            "blocks": ((say(message("Typed there:")), command_of(context, "new")),),
        }
    return {
        "notes": tuple(map(say, about(timer))),
        "blocks": tuple((say(heading), text) for heading, text in as_written(timer)),
        "buttons": tuple((value, say(text)) for value, text in _buttons(timer)),
    }


def about(timer: Timer) -> tuple[Message, ...]:
    """What there is to know of a timer before it is set, or once it is."""
    if timer.set:
        return (
            message(
                "The timer is set, every night at {hour}. This is what stands there:", hour=HOUR
            ),
        )
    if timer.kind is TimerKind.SYSTEMD:
        return (
            message(
                "These two files would be written, and nothing else. The timer runs every night "
                "at {hour}, and after a night in which the computer was off as soon as you are "
                "back.",
                hour=HOUR,
            ),
        )
    if timer.kind is TimerKind.CRONTAB:
        return (
            message(
                "These two lines would be put below what stands in your crontab; its other lines "
                "stay as they are. The computer has to be on at {hour}.",
                hour=HOUR,
            ),
        )
    return (
        message(
            "This computer has neither a systemd of yours nor cron, so nothing can be set here. "
            "Let whatever starts programs on it run this once a night, or type it when you like:"
        ),
    )


def as_written(timer: Timer) -> tuple[tuple[Message, str], ...]:
    """(what it is, text) of everything that would be written, or that is to be typed."""
    if timer.kind is TimerKind.SYSTEMD:
        return tuple(
            (message("{file}", file=str(path)), text.rstrip("\n")) for path, text in timer.files
        )
    if timer.kind is TimerKind.CRONTAB:
        return ((message("Crontab"), "\n".join(timer.lines)),)
    return ((message("Typed at this computer:"), timer.command),)


def _buttons(timer: Timer) -> tuple[tuple[str, Message], ...]:
    if timer.set:
        return (("take-out", message("Take it out again")),)
    if timer.kind is TimerKind.NONE:
        return ()
    return (("set", message("Yes, write this")),)


def nightly_do(context: Context, do: str) -> Message:
    """Set the timer or take it out; HouseholdError where that cannot be."""
    timer = timer_of(context.folder)
    return set_timer(timer) if do == "set" else take_out(timer)


def print_body(context: Context) -> Body:
    """Where the week is, how it is printed, and how others come in."""
    say = context.language.text
    week = week_ahead(context)
    return {
        "notes": (
            say(
                message(
                    "Open the week and print it with the browser: the page knows how it is laid "
                    "out on paper. What you change here is on it a moment later."
                )
            ),
            say(message("On any other evening the pages are started with:")),
        ),
        "blocks": (("", command_of(context, "serve")),),
        "go": (
            Link(f"/{week}.html", say(message("Open the week"))),
            Link("/plan/", say(message("Plan the week"))),
            Link("/edit/", say(message("Add or change"))),
        ),
        "buttons": (("finish", say(message("That was it"))),),
    }


def command_of(context: Context, *words: str) -> str:
    """A command of weeksync for this household, as it is typed in a shell."""
    return shlex.join(("weeksync", *words, "--household", str(context.folder.absolute())))
