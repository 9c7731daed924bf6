"""What can be added and changed by a form: for each kind of entry its file and its fields."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field
from typing import Any

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.fields import FileRecord
from weeksync.model.record import Record
from weeksync.workflow.edit_codecs import Codec
from weeksync.workflow.edit_words import EditWords


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that stand together; `folded` ones open when asked."""

    heading: Message | None
    codecs: tuple[Codec, ...]
    folded: bool = False


@dataclass(frozen=True, slots=True)
class Ending:
    """One way in which an entry ends: keys with their values, or it is taken `out`.

    `said` is what can be taken back afterwards, with the place `{title}`.
    """

    name: str
    text: Message
    hint: Message
    said: Message
    values: Mapping[str, Any] = field(default_factory=dict)
    out: bool = False


def _nothing(words: EditWords, record: Any) -> str:
    return ""


def _never(words: EditWords, record: Any) -> bool:
    return False


def _no_endings(words: EditWords, record: Any) -> Sequence[Ending]:
    return ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of entry.

    `name` stands in addresses (`tasks`) and `word` is what the command line calls one (`task`);
    `title` is the key that names an entry. `note` says in a list whose it is and when, `over`
    whether it has ended, `endings` how it can end, and `stays` why it cannot be taken out.
    """

    name: str
    word: str
    array: str
    file: str
    model: type[FileRecord]
    record: type[Record]
    title: str = "title"
    heading: Message
    one: Message
    add: Message
    empty: Message
    groups: tuple[Group, ...]
    held: Callable[[EditWords], Sequence[Any]]
    note: Callable[[EditWords, Any], str] = _nothing
    over: Callable[[EditWords, Any], bool] = _never
    endings: Callable[[EditWords, Any], Sequence[Ending]] = _no_endings
    stays: Message | None = None

    @property
    def codecs(self) -> tuple[Codec, ...]:
        """All its fields in their order."""
        return tuple(codec for group in self.groups for codec in group.codecs)

    def title_of(self, record: Any) -> str:
        """What an entry is called."""
        return str(getattr(record, self.title))


def take_out(hint: Message) -> Ending:
    """That an entry without a history is taken out of its file."""
    return Ending(
        "out",
        message("Take it out of the file"),
        hint,
        message("Taken out: “{title}”", title="{title}"),
        out=True,
    )


def marked(words: EditWords, record: Any) -> bool:
    """Whether anything has been recorded for an entry: marks, places in weeks, priorities."""
    ident, files = record.id, words.context.files
    return any(mark.id == ident for mark in files.marks) or any(
        any(one.task == ident for one in week.placed)
        or any(ident in day.priorities for day in week.days)
        for week in files.weeks.values()
    )


def listed(words: EditWords, parts: Sequence[str]) -> str:
    """What a line says behind a title, side by side."""
    return words.context.language.joined([one for one in parts if one])
