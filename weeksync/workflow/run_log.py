"""The log of a run: a line for each calendar, each tick and the run, without anything private.

A line names a calendar by its id and says why it failed in the words of a SourceError, which name
a server by its host alone and hold no password (`errors.py`). Of any other error only the kind is
told.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import field
from datetime import datetime
from typing import TextIO, TypeVar

from weeksync.errors import WeeksyncError
from weeksync.fetch.counted import counting
from weeksync.lazy import dataclass
from weeksync.lean import log
from weeksync.message import message
from weeksync.model.config import CalendarSource
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import Pulled, SourceState
from weeksync.model.sent import SentStep
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome, Status, status_of
from weeksync.workflow.status_file import TOO_OLD_HOURS

_T = TypeVar("_T")
_LEVELS = {Status.FINE: "info", Status.PROBLEMS: "warning"}


@dataclass(slots=True)
class _Seen:
    """What was seen of one source in this run."""

    requests: int = 0
    seconds: float = 0.0
    changed: int = 0
    outcome: str = "failed"
    why: str = ""
    problems: int = 0


@dataclass(slots=True)
class RunLog:
    """What is seen of the sources of one run, and where it is written at its end.

    `least` is the level from which on lines go to `stream`, "" for none; what goes to a file
    stands under `[log]`.
    """

    context: Context
    stream: TextIO | None = None
    least: str = ""
    _seen: dict[str, _Seen] = field(default_factory=dict)
    _ticks: dict[str, list[log.Line]] = field(default_factory=dict)
    _lines: list[log.Line] = field(default_factory=list)
    _begun: float = field(default_factory=time.monotonic)

    def watched(self, source: str, fetch: Callable[..., _T], *given: object) -> _T:
        """What `fetch` gives for `given`; its seconds and its requests are noted, also of one that
        fails. Called in the thread that pulls the source."""
        seen = self._seen.setdefault(source, _Seen())
        begun = time.monotonic()
        with counting() as requests:
            try:
                return fetch(*given)
            finally:
                seen.requests, seen.seconds = requests.sent, time.monotonic() - begun

    def kept(self, source: str, pulled: object, problems: Sequence[Problem]) -> None:
        """What came of it: `pulled` is a Pulled, None where the source failed, and anything else
        where it has nothing new; `problems` is what is to be known."""
        seen = self._seen.setdefault(source, _Seen())
        seen.problems = sum(one.counts for one in problems)
        if pulled is None:
            seen.why = next((str(p.what) for p in problems if p.kind is ProblemKind.SOURCE), "")
            return
        collections = pulled.collections if isinstance(pulled, Pulled) else ()
        seen.changed = sum(len(one.changed) + len(one.gone) for one in collections)
        asked = any(one.kind is ProblemKind.QUESTION for one in problems)
        seen.outcome = "held" if asked else "changed" if seen.changed else "same"

    def sources(
        self,
        states: Mapping[str, SourceState],
        objects: Mapping[str, int],
        entries: Mapping[str, int],
        now: datetime,
    ) -> None:
        """A line for each source that was watched, in the order of `config.toml`, and after it one
        for each tick."""
        for one in self.context.config.calendars:
            if one.id in self._seen:
                state = states.get(one.id, SourceState(one.id))
                held = objects.get(one.id, 0), entries.get(one.id, 0)
                self._lines.append(_line(one, self._seen[one.id], state, held, now))
                self._lines += self._ticks.get(one.id, ())

    def ticks(self, source: str, ends: Iterable[tuple[str, SentStep | None]]) -> None:
        """(id of a to-do of that source, what became of its tick); None where it waits."""
        self._ticks.setdefault(source, []).extend(tick_line(source, *one) for one in ends)

    @contextmanager
    def of(self, command: str) -> Iterator[_Ended]:
        """A run of that command; its line is written at the end, also of one that is stopped."""
        ended = _Ended()
        try:
            yield ended
        except BaseException as error:
            status = status_of(error) if isinstance(error, WeeksyncError) else Status.NOTHING_DONE
            why = {"why": type(error).__name__}
            self._lines.append(("error", self._run(command, status, (), why)))
            self._write()
            raise
        outcome = ended.outcome
        level = _LEVELS.get(outcome.status, "error")
        self._lines.append((level, self._run(command, outcome.status, outcome.problems, {})))
        ended.outcome = outcome.then(Outcome.of((), self._write()))

    def _run(
        self, command: str, status: Status, problems: Sequence[Problem], more: Mapping[str, str]
    ) -> str:
        failed = sum(one.outcome == "failed" for one in self._seen.values())
        return log.words(
            {
                "run": command,
                "status": int(status),
                "sources": len(self._seen),
                "failed": failed,
                "problems": sum(one.counts for one in problems),
                "seconds": f"{time.monotonic() - self._begun:.1f}",
                **more,
            }
        )

    def _write(self) -> tuple[Problem, ...]:
        if self.stream is not None and self.least:
            log.say(self.stream, log.heard(self._lines, self.least), self.context.now)
        return to_file(self.context, self._lines)


@dataclass(slots=True)
class _Ended:
    """How a run ended, for its last line."""

    outcome: Outcome = field(default_factory=Outcome)


def to_file(context: Context, lines: Iterable[log.Line]) -> tuple[Problem, ...]:
    """Lines to the file of `[log]`, those it hears; a problem where it cannot be written."""
    asked = context.config.log
    if not asked.file:
        return ()
    place = context.folder / asked.file
    try:
        log.append(str(place), log.heard(lines, asked.level), context.now, asked.kilobytes * 1024)
    except OSError as error:
        return (_unwritten(asked.file, error),)
    return ()


def tick_line(source: str, todo: str, step: SentStep | None) -> log.Line:
    """What became of a tick. The to-do is named by its id, which tells nothing of its title."""
    level = "info" if step in {SentStep.WRITTEN, SentStep.ALREADY} else "warning"
    told = {"source": source, "tick": todo, "outcome": step.name.lower() if step else "waits"}
    return level, log.words(told)


def _line(
    source: CalendarSource, seen: _Seen, state: SourceState, held: tuple[int, int], now: datetime
) -> log.Line:
    age = int((now - state.last_good).total_seconds()) if state.last_good is not None else None
    old = age is None or age > TOO_OLD_HOURS * 3600
    well = seen.outcome in {"same", "changed"}
    level = "info" if well and not seen.problems else "error" if old else "warning"
    told: dict[str, object] = {
        "source": source.id,
        "kind": kind_in_log(source),
        "outcome": seen.outcome,
        "objects": held[0],
        "entries": held[1],
        "changed": seen.changed,
        "requests": seen.requests,
        "seconds": f"{seen.seconds:.1f}",
        "age": "never" if age is None else age,
    }
    if seen.problems:
        told["problems"] = seen.problems
    if seen.why:
        told["why"] = seen.why
    return level, log.words(told)


def kind_in_log(source: CalendarSource) -> str:
    """What kind of source it is, in the word of the log."""
    return {"path": "file", "url": "feed"}.get(source.kind, source.kind)


def _unwritten(place: str, error: OSError) -> Problem:
    return Problem(
        ProblemKind.SOURCE,
        message(
            "the log {file} could not be written ({reason})",
            file=place,
            reason=error.strerror or type(error).__name__,
        ),
        Place(file="config.toml"),
        message("see to its folder, or take file out of [log]"),
    )
