"""The pages on which words of closed weeks are looked for."""

from __future__ import annotations

from weeksync.lazy import dataclass
from weeksync.site.record.base import Page
from weeksync.site.record.form import ServedPage


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchPage(Page):
    """`search.html`: the browser itself looks through the indexes of the years.

    They hold what stands on common pages, and nothing else.
    """

    indexes: tuple[str, ...]
    """The scripts with the texts of each year, as `search-2027.js`, the last one first."""
    texts: tuple[tuple[str, str], ...]
    """(name, sentence) of what the script says; `{n}` stands for a number."""


@dataclass(frozen=True, slots=True)
class HitLine:
    """A text that has all the words."""

    href: str
    """The page of its week; "" where the week has none."""
    week: str
    """The week, with its year."""
    day: str
    """The day on which it stands; "" for none."""
    kind: str
    """What it is: an event, a task, a note …"""
    text: str
    """The text, shortened around the first word that was looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPage(ServedPage):
    """What `weeksync serve` finds: on common pages, and of the person who has unlocked."""

    query: str
    """What was typed."""
    person: str
    """Whose own things are looked through, too; "" for nobody's."""
    unlock: str
    """Where one's own pages are unlocked; "" where they are."""
    count: str
    """How many were found; "" where nothing was looked for."""
    hits: tuple[HitLine, ...]
    """What was found, the newest week first."""
    more: str
    """How many more there are; "" for none."""
