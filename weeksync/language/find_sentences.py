"""What is said of texts that were found: what they are, and the stretch around a word."""

from __future__ import annotations

from weeksync.message import Message, message
from weeksync.model.year import TextKind

KINDS: dict[TextKind, Message] = {
    TextKind.EVENT: message("appointment"),
    TextKind.TASK: message("task"),
    TextKind.PRIORITY: message("priority"),
    TextKind.HABIT: message("habit"),
    TextKind.LESSON: message("lesson"),
    TextKind.MONEY: message("bill or pay"),
    TextKind.BREAK: message("break"),
    TextKind.ROW: message("own row"),
    TextKind.NOTE: message("note"),
}
"""What a text is."""


def shortened(text: str, at: int, most: int = 160) -> str:
    """The text with at most so many signs around the place `at`, cut between words."""
    if len(text) <= most:
        return text
    start = max(0, min(at - most // 3, len(text) - most))
    cut = text[start : start + most]
    head = cut.partition(" ")[2] if start and " " in cut[:30] else cut
    if start + most < len(text) and " " in head[-30:]:
        head = head.rpartition(" ")[0]
    return f"{'… ' if start else ''}{head}{' …' if start + most < len(text) else ''}"
