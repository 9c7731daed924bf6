"""What there is to say about ticks that were not written to their server."""

from __future__ import annotations

from weeksync.message import Message, counted, message
from weeksync.model.config import CalendarSource
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.sent import SentStep


def ended(source: CalendarSource, title: str, calendar: str, step: SentStep) -> Problem:
    """Why nothing was written for a tick."""
    return _of(source, _sentence(step, {"title": title, "calendar": calendar}))


def _sentence(step: SentStep, said: dict[str, str]) -> Message:
    match step:
        case SentStep.GONE:
            return message(
                "“{title}” was ticked here, and “{calendar}” has it no longer; nothing was written",
                **said,
            )
        case SentStep.CANCELLED:
            return message(
                "“{title}” was ticked here, and was cancelled in “{calendar}” since; nothing was"
                " written",
                **said,
            )
        case SentStep.ANEW:
            return message(
                "“{title}” was opened again here, and was completed once more in “{calendar}”"
                " since; it is left as it is there",
                **said,
            )
        case _:
            return message(
                "“{title}” was changed in “{calendar}” again and again while it was to be ticked;"
                " the next run tries again",
                **said,
            )


def unclear(source: CalendarSource, title: str, calendar: str) -> Problem:
    """That a to-do cannot be edited without touching more than the tick."""
    what = message(
        "“{title}” cannot be ticked in “{calendar}” without changing more of it than that",
        title=title,
        calendar=calendar,
    )
    return _of(source, what, message("tick it in the program it was written with"))


def read_only(source: CalendarSource, calendar: str, status: int) -> Problem:
    """That a list can be read and not written."""
    what = message(
        "“{calendar}” can be read and not written ({status}); what is ticked in it stays here",
        calendar=calendar,
        status=status,
    )
    remedy = message(
        "ask its owner to let you write, or leave it out of tick_only in config.toml"
        " (tick_todos = false for all of them)"
    )
    return _of(source, what, remedy)


def not_kept(source: CalendarSource, title: str, calendar: str) -> Problem:
    """That a server took a tick and has something else."""
    what = message(
        "“{calendar}” took the tick of “{title}”, and it does not stand there now",
        title=title,
        calendar=calendar,
    )
    return _of(source, what, message("look at it there; the next tick is written again"))


def fault(source: CalendarSource, error: Exception) -> Problem:
    """An error that nobody foresaw; only its kind is told, its text may hold what a server said."""
    what = message(
        "ticks for “{calendar}” could not be written: {kind}, a fault of weeksync",
        calendar=source.label,
        kind=type(error).__name__,
    )
    return _of(source, what, message("they are kept; please report it with WEEKSYNC_TRACE=1"))


def waits(source: CalendarSource, count: int) -> Message:
    """How many ticks wait for a source."""
    return counted(
        "{count} tick waits to be written to {source}.",
        "{count} ticks wait to be written to {source}.",
        count,
        source=source.id,
    )


def were_written(source: CalendarSource, count: int, days: int) -> Message:
    """How many ticks were written to a source lately."""
    return counted(
        "{count} tick was written to {source} in the last {days} days; sent/ has them all.",
        "{count} ticks were written to {source} in the last {days} days; sent/ has them all.",
        count,
        source=source.id,
        days=days,
    )


def _of(source: CalendarSource, what: Message, remedy: Message | None = None) -> Problem:
    return Problem(ProblemKind.SOURCE, what, Place(source=source.id), remedy)
