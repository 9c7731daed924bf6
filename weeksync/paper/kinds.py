"""The kinds of page that can be printed, with what they are called in a command."""

from __future__ import annotations

from enum import StrEnum


class Kind(StrEnum):
    """A kind of page."""

    SPREAD = "spread"
    """A week on two pages."""
    WEEK = "week"
    """A week on one page."""
    PERSON = "person"
    """One person's week on one page."""
    OWN = "own"
    """One person's week with what is only for that person and with amounts."""
    DAYS = "days"
    """A page a day."""
    FRIDGE = "fridge"
    """The week for the wall, a column a person."""
    CHECK_IN = "check-in"
    """A page for a week's check-ins."""
    BILLS = "bills"
    """A month's bills, pays and steps, with amounts, to tick."""
    BLANK = "blank"
    """A page to write on."""
    CHANGES = "changes"
    """A strip of what changed since the week was printed."""
    HABITS = "habits"
    """A page for marks, to be read back."""
    MONTH = "month"
    """A month on one sheet."""
    YEAR = "year"
    """A year on one strip."""
    TEST = "test"
    """A sheet that measures the printer."""


PRIVATE = frozenset({Kind.OWN, Kind.CHECK_IN, Kind.BILLS})
"""Kinds that hold what is not for everybody, and stand on sheets of their own."""

NEEDS_PERSON = frozenset({Kind.PERSON, Kind.OWN, Kind.CHECK_IN})
"""Kinds that are one person's; without a name they are the first person's."""
