"""The words for the parts of a day."""

from __future__ import annotations

from collections.abc import Mapping

from weeksync.message import Message, message
from weeksync.model.fields import DayPart

PART_NAMES: Mapping[DayPart, Message] = {
    DayPart.MORNING: message("Morning"),
    DayPart.AFTERNOON: message("Afternoon"),
    DayPart.EVENING: message("Evening"),
}
"""As headings; in the order of the day."""
