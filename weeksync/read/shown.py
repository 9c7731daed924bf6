"""How a value of a file stands in a message: short, printable, and never a secret."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, time

MOST = 60
"""Characters of a value that are shown."""

_CREDENTIALS = re.compile(r"(//)[^/\s\"']*@")
_BARE = re.compile(r"[\w-]+", re.ASCII)
_ESCAPES = str.maketrans({"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t"})
_SECRET = re.compile(r"pass|secret|token|://|@", re.IGNORECASE)


def shown(value: object, key: str = "") -> str:
    """`value` as one would write it in TOML; "…" where its key says that it is a secret."""
    if _SECRET.search(key):
        return "…"
    return short(_CREDENTIALS.sub(r"\1…@", _written(value)))


def excerpt(line: str) -> str:
    """A line of a file; only its key where a secret may stand in it."""
    text = line.strip()
    if _SECRET.search(text):
        key, equals, _ = text.partition("=")
        return f"{key.strip()} = …" if equals and _BARE.fullmatch(key.strip()) else "…"
    return short(_printable(text))


def short(text: str) -> str:
    """`text`, cut where it is long."""
    return text if len(text) <= MOST else f"{text[: MOST - 1]}…"


def nearest(word: object, known: Iterable[str]) -> str | None:
    """What was probably meant by `word`, or None."""
    from difflib import get_close_matches

    close = get_close_matches(str(word).casefold(), known, n=1, cutoff=0.6)
    return close[0] if close else None


def listed(words: Iterable[str]) -> str:
    """Several words in a message, at most as many as one can read there."""
    all_words = list(words)
    return ", ".join([*all_words[:12], *(["…"] if len(all_words) > 12 else [])])


def _written(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{_printable(value[: 2 * MOST].translate(_ESCAPES))}"'
    if isinstance(value, date | time):
        return value.isoformat()
    if isinstance(value, list):
        return f"[{', '.join(_written(one) for one in value[:MOST])}]"
    if isinstance(value, dict):
        return "{…}"
    if isinstance(value, int) and value.bit_length() > 256:
        return "…"
    return str(value)


def _printable(text: str) -> str:
    """Control and direction signs as escapes: a message goes to a terminal, too."""
    return "".join(sign if sign.isprintable() else f"\\u{ord(sign):04X}" for sign in text)
