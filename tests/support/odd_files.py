"""Hypothesis: files with an array of tasks, written in every way a person or program might."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from typing import Any

from hypothesis import strategies as st

from tests.support.toml_texts import Writer


@dataclass(frozen=True)
class OddFile:
    """A text with `[[tasks]]`; every comment in it is `#c` and a number of its own.

    `plain` where no value that may be replaced has a comment inside, no key of an entry is
    dotted, and no entry has tables of its own: then every edit must succeed.
    """

    text: str
    plain: bool

    @property
    def data(self) -> dict[str, Any]:
        """What the standard parser reads."""
        return tomllib.loads(self.text)


class _Odd(Writer):
    def __init__(self, draw: st.DrawFn) -> None:
        super().__init__(draw)
        self.plain = draw(st.booleans())

    def comment(self) -> str:
        return f"#c{self.number()} [[x]] = \"'"

    def rest(self) -> str:
        """What may stand behind a value or a header."""
        return self.pick("", "", "  ", f" {self.comment()}") + "\n"

    def between(self) -> str:
        """What may stand between lines."""
        return self.pick("", "", "\n", f"{self.comment()}\n", f"\n  {self.comment()}\n\n")

    def simple(self) -> str:
        """A value on one or several lines, without a comment where all is to be plain."""
        if self.pick("leaf", "leaf", "list") == "leaf":
            return self.leaf()
        inner = self.pick("\n", " ", "") if self.plain else f" {self.comment()}\n"
        items = [f'"i{self.number()}"' for _ in range(self.draw(st.integers(0, 2)))]
        return f"[{inner}{(',' + inner).join(items)}{self.pick('', inner)}]"

    def due(self) -> list[str]:
        """The key that is going to be edited, in some way of writing; or no such key."""
        key = self.pick("due", '"due"', "'due'", "", "")
        return [f"{key}{self.pick('=', ' = ')}{self.simple()}"] if key else []

    def items(self) -> list[str]:
        """A list that is going to be added to, or none."""
        if self.pick("yes", "no") == "no":
            return []
        inner = self.pick("", " ", "\n  " if self.plain else f" {self.comment()}\n  ")
        count = self.draw(st.integers(0, 2))
        comma = self.pick("", ",") if count else ""
        body = f",{inner}".join(f'"p{self.number()}"' for _ in range(count))
        return [f"list = [{inner}{body}{comma}{inner}]"]

    def keys(self) -> list[str]:
        """The pairs of an entry, in some order."""
        pairs = [f'id = "t{self.number()}"', *self.due(), *self.items()]
        if not self.plain:
            pairs += self.draw(st.sampled_from([[], [f"a{self.number()}.b = 1"]]))
        pairs += [f"k{self.number()} = {self.leaf()}" for _ in range(self.draw(st.integers(0, 2)))]
        return list(self.draw(st.permutations(pairs)))

    def by_headers(self) -> str:
        """`[[tasks]]` entries, other tables between them."""
        text = ""
        for _ in range(self.draw(st.integers(1, 4))):
            indent = self.pick("", "  ", "\t")
            text += f"{self.between()}{indent}[[{self.pick('tasks', ' tasks ')}]]{self.rest()}"
            for pair in self.keys():
                text += f"{self.between()}{indent}{pair}{self.rest()}"
            if not self.plain and self.pick("yes", "no") == "yes":
                text += f"[tasks.n{self.number()}]{self.rest()}x = 1{self.rest()}"
            if self.pick("yes", "no") == "yes":
                text += f"[[bills]]{self.rest()}x = {self.leaf()}{self.rest()}"
        return text

    def in_brackets(self) -> str:
        """The same as a list of tables in braces; those are on one line (TOML 1.0)."""
        entries = []
        for _ in range(self.draw(st.integers(0, 3))):
            pairs = [pair for pair in self.keys() if "\n" not in pair]
            space = self.pick("", " ")
            entries.append("{" + space + ", ".join(pairs) + space + "}")
        inner = self.pick("", " ", "\n", f" {self.comment()}\n ")
        comma = self.pick("", ",") if entries else ""
        return f"tasks = [{inner}{f',{inner}'.join(entries)}{comma}{inner}]{self.rest()}"


@st.composite
def odd_files(draw: st.DrawFn) -> OddFile:
    """A file as a person might leave it: CRLF or not, with or without a last line break."""
    write = _Odd(draw)
    head = f"format = 1{write.rest()}{write.between()}"
    style = write.pick("headers", "headers", "brackets", "none")
    body = write.by_headers() if style == "headers" else ""
    body = write.in_brackets() if style == "brackets" else body
    text = head + body + write.between()
    if draw(st.booleans()):
        text = text.removesuffix("\n")
    return OddFile(text.replace("\n", "\r\n") if draw(st.booleans()) else text, write.plain)
