"""Sentences for people, kept as message and values until somebody reads them.

A reason, a problem or an error text is never glued together from pieces: the sentence is one
catalogue entry with named places, the values stand beside it. The edge that shows it (page,
terminal) looks the sentence up in the reader's catalogue and then puts the values in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

Value = str | int | float

_NOTHING: Mapping[str, Value] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Message:
    """One sentence: `text` (a catalogue id with `{named}` places) and its `values`.

    `plural` and `count` are set together when the sentence has a plural form; the places may
    use `{count}` as well.
    """

    text: str
    values: Mapping[str, Value] = field(default_factory=lambda: _NOTHING, hash=False)
    plural: str | None = None
    count: int | None = None

    def __str__(self) -> str:
        """The sentence in the source language, English."""
        text = self.text
        if self.plural is not None and self.count != 1:
            text = self.plural
        return self.fill(text)

    def fill(self, text: str) -> str:
        """`text` (this sentence in some language) with the values in their places."""
        values: dict[str, Value] = dict(self.values)
        if self.count is not None:
            values.setdefault("count", self.count)
        return filled(text, values)


def filled(text: str, values: Mapping[str, Value]) -> str:
    """`text` with the values in its `{named}` places; KeyError where one is missing."""
    return text.format_map(values) if values else text.replace("{{", "{").replace("}}", "}")


def message(text: str, /, **values: Value) -> Message:
    """A sentence; the extractor of the catalogues looks for calls of this name."""
    return Message(text, MappingProxyType(values))


def counted(singular: str, plural: str, count: int, /, **values: Value) -> Message:
    """A sentence with a plural form, chosen by `count` in the reader's language."""
    return Message(singular, MappingProxyType(values), plural, count)
