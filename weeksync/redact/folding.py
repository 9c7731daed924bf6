"""Texts as the audit compares them: without case, accents, spacing and punctuation.

Two texts are the same when the runs of their letters and of their digits, one after the other,
are: "Sált-Mere" and "saltmere", "0163 296-0123" and "01632960123".
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator

from weeksync.lazy import dataclass

MOST_RUNS = 12
"""The longest phrase that is looked for as a whole, in runs; of longer ones each word is."""

_RUN = re.compile(r"[^\W\d_]+|\d+")
_PLAIN = str.maketrans({"ł": "l", "đ": "d", "ø": "o", "ð": "d", "ħ": "h", "ı": "i", "ŧ": "t"})
"""Letters with a stroke, which Unicode does not take apart (UnicodeData.txt has no mapping)."""

_UNSPACED = re.compile(
    "[\u0e00-\u0eff\u1000-\u109f\u1780-\u17ff\u3040-\u30ff\u31f0-\u31ff\u3400-\u9fff\uf900-\ufaff]"
)
"""Thai, Lao, Burmese, Khmer, kana and Han: written without spaces, so that no word ends there."""


def folded(text: str) -> str:
    """The text without case, accents and signs nobody sees; digits of every script as ASCII.

    Compatibility decomposition and case folding as Unicode 15, section 3.13, D145 puts them
    together, less the marks (general category Mn) and the format signs (Cf).
    """
    if text.isascii():
        return text.lower()
    parts = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    kept = "".join(_digit(sign) for sign in parts if unicodedata.category(sign) not in {"Mn", "Cf"})
    return kept.translate(_PLAIN)


def _digit(sign: str) -> str:
    return str(unicodedata.decimal(sign)) if sign.isdecimal() else sign


def runs(text: str) -> tuple[str, ...]:
    """The runs of letters and of digits of a text, folded and in order."""
    return tuple(_RUN.findall(folded(text)))


def is_unspaced(run: str) -> bool:
    """Whether it is written in a script that puts no space between words."""
    return not run.isascii() and _UNSPACED.search(run) is not None


def written_small(text: str) -> Iterator[str]:
    """The words of a text that are written with small letters alone, folded.

    Addresses are no words: they are written small whatever they name.
    """
    for word in re.findall(r"[^\W\d_]+", re.sub(r"\S*[@/.:\\]\S+", " ", text)):
        if word.islower():
            yield folded(word)


@dataclass(frozen=True, slots=True)
class Phrases:
    """Every phrase of some texts: what its runs are when put together → (text, how many runs).

    `text` is the place of the first text that has it. Only whole runs count: of "lantern steps"
    there are "lantern", "steps" and "lanternsteps".
    """

    found: dict[str, tuple[int, int]]
    single: dict[str, int]
    """Each run by itself, and where it is first."""
    squeezed: tuple[str, ...]
    """Each text with its runs put together."""

    @classmethod
    def of(cls, texts: list[str]) -> Phrases:
        """Those of the texts."""
        found: dict[str, tuple[int, int]] = {}
        single: dict[str, int] = {}
        squeezed = []
        for place, text in enumerate(texts):
            parts = runs(text)
            squeezed.append("".join(parts))
            for first, run in enumerate(parts):
                single.setdefault(run, place)
                phrase = ""
                for count, part in enumerate(parts[first : first + MOST_RUNS], 1):
                    phrase += part
                    known = found.get(phrase)
                    if known is None or known[1] > count:
                        found[phrase] = (place, count)
        return cls(found, single, tuple(squeezed))

    def __contains__(self, phrase: str) -> bool:
        """Whether some text has it."""
        return phrase in self.found

    def inside(self, part: str) -> int | None:
        """The place of the first text that has it within a word; None where none has.

        In scripts without spaces: anywhere.
        """
        if is_unspaced(part):
            return next((at for at, text in enumerate(self.squeezed) if part in text), None)
        return next((at for run, at in self.single.items() if part in run), None)
