"""Words for a day's frame that several pages share: day parts and term weeks."""

from __future__ import annotations

from weeksync.language.day_parts import PART_NAMES
from weeksync.message import counted, message
from weeksync.model.fields import DayPart
from weeksync.model.spread import Day
from weeksync.site.words import Words


def part_name(words: Words, part: DayPart) -> str:
    """Morning, Afternoon, Evening."""
    return words.text(PART_NAMES[part])


def term_text(words: Words, day: Day) -> str:
    """The break from lessons, or the term with its week; "" outside of both."""
    if day.term_break:
        return day.term_break
    if day.term and day.term_week is not None:
        return words.text(message("{term}, week {number}", term=day.term, number=day.term_week))
    return day.term


def more_text(words: Words, count: int, span: str) -> str:
    """How much is counted and not listed, and the command that lists it; "" where all is."""
    if count <= 0:
        return ""
    return words.text(
        counted(
            "and {count} more; to see all: weeksync show {span}",
            "and {count} more; to see all: weeksync show {span}",
            count,
            span=span,
        )
    )
