"""Texts of both directions in one sentence: values are isolated, and a sentence keeps its side.

Unicode Standard Annex 9: what stands between an isolate and its end is laid out apart, so that
a Latin title cannot turn the Arabic around it, or an Arabic one the English. Pages put `bdi`
around what stands alone; inside a sentence, in a title or in a terminal, only characters help.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import cache
from string import Formatter
from typing import Literal

from weeksync.message import Value

Direction = Literal["ltr", "rtl"]

LRI, RLI, FSI, PDI = "\u2066", "\u2067", "\u2068", "\u2069"
LRM, RLM = "\u200e", "\u200f"

_ISOLATES = f"[{LRI}{RLI}{FSI}]"
_LEFT = "[A-Za-z\u00c0-\u02b8\u0370-\u058f\u0900-\u1fff\u3040-\ud7ff]"
_RIGHT = (
    "[\u0590-\u065f\u066d-\u06ef\u06fa-\u08ff\ufb1d-\ufdff\ufe70-\ufefc"
    "\U00010800-\U00010fff\U0001e800-\U0001efff]"
)
_FIRST_RIGHT = "\u0590"
_STRONG = f"(?P<left>{_LEFT})|(?P<right>{_RIGHT})"
_SIGNS = r"[0-9][-+_][0-9]|[0-9]-$"
"""Signs between digits, as in 2027-03-22: after Arabic letters they would run backwards."""

_ADDRESS = r"[a-z]+://\S*\w"
"""It holds together by itself, and a terminal can take all of it for the address."""

_WHOLE = f"{FSI}[^{PDI}]*{PDI}"
"""What is isolated already."""

_SYMBOL = r"[A-Za-z]+[^\w\s\u200e\u200f]*"

_APART = f"([{LRI}{RLI}{FSI}][^{PDI}]*{PDI}|{{[^}}]*}})"

_FORMATTER = Formatter()


@cache
def _form(pattern: str) -> re.Pattern[str]:
    """Compiled when it is asked for: plain ASCII never asks. `\\w` and `\\s` are those of ASCII."""
    return re.compile(pattern, re.ASCII)


def isolated(text: str, around: Direction) -> str:
    """The text between isolates, where it would disturb a sentence that runs `around`."""
    if not _disturbs(text, around) or _form(_WHOLE).fullmatch(text):
        return text
    return f"{FSI}{text}{PDI}"


def _disturbs(text: str, around: Direction) -> bool:
    if around == "ltr":
        if text.isascii() or max(text) < _FIRST_RIGHT:
            return False
        return _form(_RIGHT).search(text) is not None
    if _form(_ADDRESS).fullmatch(text):
        return False
    return _form(_LEFT).search(text) is not None or _form(_SIGNS).search(text) is not None


def disturbed(values: Mapping[str, Value], around: Direction) -> bool:
    """Whether any of the values needs isolating."""
    texts = [one for one in values.values() if isinstance(one, str)]
    if around == "ltr" and all(map(str.isascii, texts)):  # it is asked for every sentence
        return False
    return any(_disturbs(one, around) for one in texts)


def filled(text: str, values: Mapping[str, Value], around: Direction) -> str:
    """A sentence with `{named}` places, its values in them, each apart from its neighbours.

    A place that stands between isolates of the sentence itself, as in a command, is filled as
    it is, so that the command can be copied. KeyError where a value is missing.
    """
    made: list[str] = []
    depth = 0
    for literal, name, _, _ in _FORMATTER.parse(text):
        depth += len(_form(_ISOLATES).findall(literal)) - literal.count(PDI)
        made.append(literal)
        if name is not None:
            value = str(values[name])
            made.append(value if depth else isolated(value, around))
    return sided("".join(made), around)


def symbols_apart(amount: str) -> str:
    """An amount of a language from right to left, a Latin symbol in it kept together: UK£."""
    return _form(_SYMBOL).sub(lambda found: f"{LRI}{found[0]}{PDI}", amount)


def outside(text: str, change: Callable[[str], str]) -> str:
    """A sentence, its places still empty, with what is no place and in no isolate changed.

    So the figures of a sentence get the digits of a page, and those of a command keep theirs.
    """
    return "".join(
        one if one.startswith((LRI, RLI, FSI, "{")) else change(one)
        for one in _form(_APART).split(text)
    )


def sided(text: str, around: Direction) -> str:
    """The text with a mark before it where its first letter runs the other way.

    What is laid out by its first letter (a `bdi`, a line of a terminal) then runs `around`.
    """
    first = _form(_STRONG).search(text)
    if first is None or (first["left"] is None) == (around == "rtl"):
        return text
    return (RLM if around == "rtl" else LRM) + text
