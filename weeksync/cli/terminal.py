"""What a command has to do with the outside: words, standard output and error, progress."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from functools import cached_property
from typing import TextIO

from weeksync.errors import HouseholdError
from weeksync.language import Language
from weeksync.message import Message
from weeksync.model.problem import Problem
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.progress import Progress, Silent


class Terminal:
    """Standard output and error in one language; `watched` where a person sees the output."""

    def __init__(self, out: TextIO | None = None, err: TextIO | None = None) -> None:
        self.out = out or sys.stdout
        self.err = err or sys.stderr

    @cached_property
    def language(self) -> Language:
        """What it speaks: the language of the environment, until another is put here."""
        return _language_of_environment()

    @property
    def watched(self) -> bool:
        """Whether somebody watches: output goes to a terminal."""
        return self.out.isatty()

    def say(self, text: Message | str) -> None:
        """A line on standard output."""
        line = self.language.text(text, dates=True) if isinstance(text, Message) else text
        self.out.write(line + "\n")

    def complain(self, text: Message) -> None:
        """A line on standard error."""
        self.err.write(f"weeksync: {self.language.text(text)}\n")

    def problems(self, problems: Iterable[Problem]) -> None:
        """Each problem on a line of standard error."""
        for problem in problems:
            self.err.write(self.problem_line(problem) + "\n")

    def problem_line(self, problem: Problem) -> str:
        """`place: what; remedy` in the terminal's language."""
        where = self.language.text(problem.place.text())
        text = self.language.text(problem.what)
        line = f"{where}: {text}" if where else text
        return f"{line}; {self.language.text(problem.remedy)}" if problem.remedy else line

    def tell(self, outcome: Outcome, *, always: bool = False) -> int:
        """Show an outcome (what was done only if watched or `always`) and give its status."""
        if always or self.watched:
            for line in outcome.done:
                self.say(line)
            self.problems(outcome.problems)
        else:  # under cron a line means: look at this
            self.problems(problem for problem in outcome.problems if problem.counts)
        return int(outcome.status)

    @contextmanager
    def progress(self) -> Iterator[Progress]:
        """A progress bar where a person watches standard error, else nothing."""
        if not self.err.isatty():
            yield Silent()
            return
        from weeksync.cli.bar import Bar

        with Bar(self.language, self.err) as bar:
            yield bar


def _language_of_environment() -> Language:
    """The language of a person at a terminal (POSIX: LC_ALL, LC_MESSAGES, LANG), else English."""
    values = (os.environ.get(name, "") for name in ("LC_ALL", "LC_MESSAGES", "LANG"))
    name = next((value.partition(".")[0].partition("@")[0] for value in values if value), "C")
    try:
        return Language("en" if name in {"C", "POSIX"} else name)
    except HouseholdError:  # a locale CLDR does not know is no reason to stop
        return Language("en")
