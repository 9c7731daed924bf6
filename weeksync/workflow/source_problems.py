"""What is to be said about a source that failed, or whose last pull left something to be known."""

from __future__ import annotations

from collections.abc import Iterable

from weeksync.errors import HouseholdError, SourceError
from weeksync.message import message
from weeksync.model.config import CalendarSource
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.store import Store


def source_problem(source: CalendarSource, error: Exception) -> Problem:
    """Why a source failed. Of an error nobody foresaw only the kind is told: its text may hold
    what a server or a file said."""
    if isinstance(error, SourceError | HouseholdError):
        return Problem(ProblemKind.SOURCE, error.message, Place(source=source.id))
    return Problem(
        ProblemKind.SOURCE,
        message(
            "the calendar “{calendar}” could not be pulled: {kind}, a fault of weeksync",
            calendar=source.label,
            kind=type(error).__name__,
        ),
        Place(source=source.id),
        message("the last good copy is shown; please report it with WEEKSYNC_TRACE=1"),
    )


def standing_problems(store: Store, sources: Iterable[CalendarSource]) -> tuple[Problem, ...]:
    """What the last pull of each source left to be known; never pulled is a problem, too."""
    states = store.states()
    problems: list[Problem] = []
    for source in sources:
        state = states.get(source.id)
        if state is None:
            problems.append(
                Problem(
                    ProblemKind.SOURCE,
                    message("the calendar “{calendar}” was never pulled", calendar=source.label),
                    Place(source=source.id),
                    message("run: weeksync pull"),
                )
            )
        else:
            problems += state.problems
    return tuple(problems)
