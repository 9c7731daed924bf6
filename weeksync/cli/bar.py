"""A progress bar on standard error, for a person who waits."""

from __future__ import annotations

from types import TracebackType
from typing import Self, TextIO

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, TextColumn
from rich.progress import Progress as Columns

from weeksync.language import Language
from weeksync.message import Message


class Bar:
    """One bar a piece of work; it disappears when the work is done."""

    def __init__(self, language: Language, stream: TextIO) -> None:
        self._language = language
        self._columns = Columns(
            TextColumn("{task.description}"),
            BarColumn(),
            MofNCompleteColumn(),
            console=Console(file=stream),
            transient=True,
        )
        self._task = self._columns.add_task("", total=None, visible=False)

    def __enter__(self) -> Self:
        self._columns.start()
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._columns.stop()

    def start(self, what: Message, steps: int) -> None:
        """A piece of work of that many steps begins; it ends the one before."""
        self._columns.reset(
            self._task, description=self._language.text(what), total=steps, visible=True
        )

    def step(self) -> None:
        """One more step is done."""
        self._columns.advance(self._task)
