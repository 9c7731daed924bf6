"""A log of single lines, each with a level: to standard error, or to a file that stays small.

A line is a level and `name=value` words. Nothing is kept open between two lines. Under systemd
the level goes before the line as the journal reads it, and the time is the journal's own.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from datetime import datetime
from typing import TextIO

LEVELS = ("error", "warning", "info")
"""From what needs a person to what is only said; the names of the priorities of RFC 5424."""
_PRIORITY = {"error": 3, "warning": 4, "info": 6}
"""RFC 5424, section 6.2.1, table 2; sd-daemon(3) has the journal read them as <3>."""

Line = tuple[str, str]
"""(level, text)"""


def words(values: Mapping[str, object]) -> str:
    """`name=value` of each; a value with blanks or anything but plain letters is quoted as JSON,
    so that a text from outside stays on its line."""
    return " ".join(f"{name}={_word(value)}" for name, value in values.items())


def _word(value: object) -> str:
    text = str(value)
    plain = text.isascii() and text.isprintable() and not set(text) & set(' "=\\')
    return text if text and plain else json.dumps(text)


def heard(lines: Iterable[Line], least: str) -> list[Line]:
    """The lines of level `least` and of those before it in LEVELS."""
    wanted = LEVELS[: LEVELS.index(least) + 1]
    return [one for one in lines if one[0] in wanted]


def say(stream: TextIO, lines: Iterable[Line], at: datetime) -> None:
    """Write lines to a stream, as the journal wants them where it is the journal."""
    journal = _is_journal(stream)
    for level, text in lines:
        begins = f"<{_PRIORITY[level]}>" if journal else f"{_instant(at)} {level} "
        stream.write(f"{begins}{text}\n")
    stream.flush()


def append(place: str, lines: Iterable[Line], at: datetime, most_bytes: int) -> None:
    """Write lines to the end of a file, for its owner only; OSError where that cannot be.

    Where it would grow beyond `most_bytes` it is first renamed to its name with `.1`, in place of
    an older one: together they take at most twice as much.
    """
    content = "".join(f"{_instant(at)} {level} {text}\n" for level, text in lines).encode()
    if not content:
        return
    with suppress(FileNotFoundError):
        if os.stat(place).st_size + len(content) > most_bytes:
            os.replace(place, f"{place}.1")
    number = os.open(place, os.O_WRONLY | os.O_CREAT | os.O_APPEND | os.O_CLOEXEC, 0o600)
    try:
        os.write(number, content)  # whole: two runs that log at once do not mix their lines
    finally:
        os.close(number)


def _instant(at: datetime) -> str:
    return at.isoformat(timespec="seconds")


def _is_journal(stream: TextIO) -> bool:
    """Whether systemd says that this stream leads to its journal (systemd.exec(5))."""
    try:
        device, _, inode = os.environ["JOURNAL_STREAM"].partition(":")
        about = os.fstat(stream.fileno())
        return (about.st_dev, about.st_ino) == (int(device), int(inode))
    except (KeyError, ValueError, OSError):
        return False
