"""Pages on the way in: signing a device in, and the PIN before pages of one's own.

They are shown to whoever comes, so there is nothing of the household on them: no name, no
calendar, and of its people only those who have a PIN, to a device that is signed in.
"""

from __future__ import annotations

from weeksync.lazy import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class SignInPage:
    """Where a device is signed in with its one-time code."""

    record: int
    """The version of this record."""
    language: str
    """BCP 47 tag for `lang`."""
    direction: str
    """`ltr` or `rtl` for `dir`."""
    said: str
    """What was wrong with the code, "" at first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PinPage:
    """Where a person unlocks their own pages."""

    record: int
    """The version of this record."""
    language: str
    """BCP 47 tag for `lang`."""
    direction: str
    """`ltr` or `rtl` for `dir`."""
    said: str
    """What was wrong with the PIN, "" at first."""
    people: tuple[tuple[str, str], ...]
    """(id, name) of the persons who have a PIN."""
    person: str
    """The id of who tried, "" at first."""
    next: str
    """The page of one's own that was wanted, as `2027-W12.html`."""
