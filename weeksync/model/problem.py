"""Problems: what the user should know, each with place, value and remedy."""

from __future__ import annotations

from enum import StrEnum

from weeksync.lazy import dataclass
from weeksync.message import Message, message


class ProblemKind(StrEnum):
    """What a problem is about, and with it how much it weighs.

    All but NOTICE make a run end with status 1, a MISTAKE in `config.toml` with 2.
    """

    MISTAKE = "mistake"
    """A value in a household file that cannot be used."""
    SOURCE = "source"
    """A source that could not be pulled; its last good copy is shown."""
    QUESTION = "question"
    """Something only the user can decide, as a calendar that is suddenly empty."""
    OBJECT = "object"
    """One thing in a calendar that could not be read or was read by a rule of ours."""
    NOTICE = "notice"
    """Worth knowing, and nothing is wrong."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where a problem is: a household file with a line (from 1), or a source, or both absent.

    Of a source also the object it lies in and the line of that, where they are known.
    """

    file: str = ""
    line: int | None = None
    source: str = ""
    object: str = ""
    """The name of the source's object it lies in: the problem lasts as long as that object."""

    def text(self) -> Message:
        """The place for people: `tasks.toml:14`, `school`, `school (export.ics, line 1203)`."""
        if self.source and self.object and self.line is not None:
            return message(
                "{source} ({object}, line {line})",
                source=self.source,
                object=self.object,
                line=str(self.line),
            )
        where = self.file or self.source
        if self.line is not None:
            where = f"{where}:{self.line}"
        return Message("{place}", {"place": where})  # nothing to translate in it

    def __str__(self) -> str:
        return str(self.text())


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing the user should know: `what` is wrong with which value, and the `remedy`."""

    kind: ProblemKind
    what: Message
    place: Place = Place()
    remedy: Message | None = None

    @property
    def counts(self) -> bool:
        """Whether a run that met this problem ends with a status other than 0."""
        return self.kind is not ProblemKind.NOTICE

    def __str__(self) -> str:
        """One line in English: `tasks.toml:14: due = "2027-02-30" is no date; write …`."""
        where = str(self.place)
        text = f"{where}: {self.what}" if where else str(self.what)
        return f"{text}; {self.remedy}" if self.remedy is not None else text
