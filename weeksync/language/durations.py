"""How long something takes, in words."""

from __future__ import annotations

from weeksync.message import Message, message


def duration(minutes: int) -> Message:
    """Minutes as people say them: 45 min, 2 h, 1 h 30 min."""
    hours, rest = divmod(minutes, 60)
    if not hours:
        return message("{minutes} min", minutes=rest)
    if not rest:
        return message("{hours} h", hours=hours)
    return message("{hours} h {minutes} min", hours=hours, minutes=rest)
