"""A calendar on which an oracle differs, made as small as it can be with the difference kept."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from tests.calendar.oracles.question import Question

_KEPT = ("BEGIN:", "END:", "UID:", "VERSION:", "TZID:", "TZOFFSET")


def minimal(question: Question, differs: Callable[[Question], bool]) -> Question:
    """The smallest text found by leaving out blocks, lines and parts of the rule, one at a time."""
    while True:
        for text in _smaller(question.text):
            smaller = replace(question, text=text)
            if differs(smaller):
                question = smaller
                break
        else:
            return question


def _smaller(text: str) -> Iterator[str]:
    """The text without one block, one line, or one part of a rule."""
    lines = text.split("\r\n")
    for kind in ("VTIMEZONE", "VEVENT"):
        begins = [at for at, line in enumerate(lines) if line == f"BEGIN:{kind}"]
        for begin in begins:
            end = lines.index(f"END:{kind}", begin)
            yield "\r\n".join((*lines[:begin], *lines[end + 1 :]))
    first = lines.index("BEGIN:VEVENT") if "BEGIN:VEVENT" in lines else len(lines)
    for at, line in enumerate(lines):
        if at > first and line and not line.startswith((*_KEPT, "DTSTART")):
            yield "\r\n".join((*lines[:at], *lines[at + 1 :]))
    for at, line in enumerate(lines):
        if at > first and line.startswith("RRULE:"):
            parts = line.split(";")
            for number in range(1, len(parts)):
                rule = ";".join((*parts[:number], *parts[number + 1 :]))
                yield "\r\n".join((*lines[:at], rule, *lines[at + 1 :]))
