"""Whether a rule of `config.toml` speaks of an event: the conditions of `[[rules]]`.

Texts are compared without regard to case, after NFC (two spellings of one accented letter are the
same to a reader).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable

from weeksync.model.config import Rule

Traits = tuple[str, str, tuple[str, ...], tuple[str, ...]]
"""(source, title, categories, attendees): all that a rule can ask about."""


def condition_of(rule: Rule) -> Callable[[Traits], bool]:
    """The conditions of a rule as a test of plain traits; every one that is given must hold."""
    category, title = plain(rule.category), plain(rule.title)
    attendee = plain(rule.attendee).removeprefix("mailto:")

    def holds(traits: Traits) -> bool:
        source, its_title, categories, attendees = traits
        return (
            (rule.calendar is None or rule.calendar == source)
            and (not category or category in categories)
            and (not attendee or attendee in attendees)
            and (not title or title in its_title)
        )

    return holds


def plain_traits(traits: Traits) -> Traits:
    """The traits as the tests of rules compare them."""
    source, title, categories, attendees = traits
    return source, plain(title), tuple(map(plain, categories)), tuple(map(plain, attendees))


def plain(text: str) -> str:
    """A text without regard to case."""
    return unicodedata.normalize("NFC", text).casefold()
