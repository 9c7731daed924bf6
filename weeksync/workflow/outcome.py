"""How a run ended: what it did, what the user should know, and the exit status."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field
from enum import IntEnum

from weeksync.errors import HouseholdError, UsageError, WeeksyncError
from weeksync.lazy import dataclass
from weeksync.message import Message
from weeksync.model.problem import Problem, ProblemKind


class Status(IntEnum):
    """Exit statuses of every command."""

    FINE = 0
    PROBLEMS = 1
    """Finished, and there is something the user should know."""
    WRONG_USE = 2
    """Called wrongly, or a configuration that cannot be used."""
    NOTHING_DONE = 3
    """Nothing could be done."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a command did (`done`, for a terminal) and the problems it met, each once."""

    done: tuple[Message, ...] = ()
    problems: tuple[Problem, ...] = ()
    status: Status = field(default=Status.FINE)

    @classmethod
    def of(
        cls, done: Iterable[Message], problems: Iterable[Problem], least: Status = Status.FINE
    ) -> Outcome:
        """An outcome whose status follows from its problems, and is at least `least`."""
        met = unique(problems)
        status = max((_weight(problem) for problem in met), default=Status.FINE)
        return cls(tuple(done), met, max(status, least))

    def then(self, later: Outcome) -> Outcome:
        """This and a later one as one."""
        return Outcome(
            self.done + later.done,
            unique(self.problems + later.problems),
            max(self.status, later.status),
        )


def _weight(problem: Problem) -> Status:
    if is_configuration(problem):
        return Status.WRONG_USE
    return Status.PROBLEMS if problem.counts else Status.FINE


def is_configuration(problem: Problem) -> bool:
    """Whether it is a mistake in `config.toml`: the run went on with what could be used."""
    return problem.kind is ProblemKind.MISTAKE and problem.place.file == "config.toml"


def unique(problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """The problems in order, each once; two are the same when they read the same."""
    return tuple({(one.kind, str(one)): one for one in problems}.values())


def status_of(error: WeeksyncError) -> Status:
    """The exit status that an error ends a command with."""
    return (
        Status.WRONG_USE if isinstance(error, UsageError | HouseholdError) else Status.NOTHING_DONE
    )
