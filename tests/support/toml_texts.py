"""Hypothesis: TOML texts written in every way the format allows, with leaves one can find again.

Every leaf is unlike all others, so that a line either holds it or does not.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import datetime, timedelta

from hypothesis import strategies as st

BEGIN = datetime(1979, 5, 27)


class Writer:
    """Draws a text piece by piece; `leaf` numbers run through it."""

    def __init__(self, draw: st.DrawFn) -> None:
        self.draw = draw
        self.count = 100_000

    def pick(self, *choices: str) -> str:
        """One of the choices."""
        return self.draw(st.sampled_from(choices))

    def number(self) -> int:
        """A number not used before."""
        self.count += 1
        return self.count

    def leaf(self) -> str:
        """A value that stands in the text only once."""
        n = self.number()
        moment = BEGIN + timedelta(seconds=n)
        return self.pick(
            str(n),
            f'"m{n} \\" # [x] ="',
            f"'m{n} \\'",
            f'"""m{n}\n[[no]] # = "" x\n\\""""""',
            f"'''m{n}\nid = 'y' ''''",
            f"{moment:%Y-%m-%d %H:%M:%S}",
            f"{moment:%Y-%m-%dT%H:%M:%S}Z",
            f"{n}.5",
        )

    def value(self, depth: int = 0) -> str:
        """A leaf, an array (on one line or several) or an inline table."""
        kind = self.pick("leaf", "leaf", "array", "table") if depth < 3 else "leaf"
        if kind == "leaf":
            return self.leaf()
        parts = [self.value(depth + 1) for _ in range(self.draw(st.integers(0, 3)))]
        if kind == "table":
            return "{" + ",".join(f" {self.key()} = {one} " for one in parts) + "}"
        between = self.pick(",", ", ", ' ,\n  # [c], = "\n\t', ",\n\n")
        return self.pick("[", "[ ", "[ # {[\n") + between.join(parts) + self.pick("]", "\n]", " ]")

    def key(self) -> str:
        """A bare, quoted, dotted or date-like key, not used before."""
        n = self.number()
        return self.pick(
            f"k{n}",
            f'"k {n} ] ="',
            f"'k.{n} # '",
            f"{BEGIN + timedelta(days=n - 100_000):%Y-%m-%d}",
            f'k{n} . "a b".c',
            f"k{n}.x",
        )

    def pair(self) -> str:
        """A line of key and value."""
        before, equals = self.pick("", "  ", "\t"), self.pick("=", " = ", "\t=  ")
        return f"{before}{self.key()}{equals}{self.value()}{self.pick('', ' # c = [', '  ')}\n"

    def blank(self) -> str:
        """What may stand between lines."""
        return self.pick("", "", "\n", "# [[tasks]] id = 1\n", "   \n")


@st.composite
def toml_texts(draw: st.DrawFn) -> str:
    """A valid text with tables, interleaved arrays of tables and every kind of value."""
    write = Writer(draw)
    parts = [write.blank() + write.pair() for _ in range(draw(st.integers(0, 2)))]
    arrays: set[str] = set()
    for _ in range(draw(st.integers(0, 6))):
        name = write.pick("tasks", "bills", '"x y"')
        inner = f"n{write.number()}"
        kinds = ["[[{0}]]", "[t{1}]", "[t{1} . 'a.b'.c]"]
        kinds += ["[ {0}.{1} ]", "[[{0}.paid]]"] if name in arrays else []
        header = draw(st.sampled_from(kinds)).format(name, inner)
        if header.startswith("[["):
            arrays.add(name)
        parts.append(
            write.blank() + write.pick("", "  ") + header + write.pick("", " # [x]") + "\n"
        )
        parts += [write.pair() for _ in range(draw(st.integers(0, 3)))]
    text = "".join(parts)
    if draw(st.booleans()):
        text = text.removesuffix("\n")
    return text.replace("\n", "\r\n") if draw(st.booleans()) else text


def leaves(
    value: object, path: tuple[str | int, ...] = ()
) -> Iterator[tuple[tuple[str | int, ...], object]]:
    """(path, value) of each leaf of parsed data."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from leaves(inner, (*path, index))
    else:
        yield path, value


def sign_of(leaf: object) -> str:
    """What a line that holds this leaf's beginning has in it."""
    if isinstance(leaf, datetime):
        return leaf.strftime("%H:%M:%S")
    return str(leaf).split()[0].split("\n")[0]


def is_valid(text: str) -> bool:
    """Whether the standard parser takes the text."""
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return False
    return True
