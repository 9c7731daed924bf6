"""The parts of `config.toml` that say what a shared page may show; nothing is the default.

What is said here only ever lets something through. What is never shared, whatever is said: what
is away, what is only for somebody, what its calendar calls private or confidential, journals,
places, notes, attendees, links, money, check-ins, lessons, breaks, rows of one's own, and habits
marked as health.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.fields import Title
from weeksync.model.mistake import Mistake
from weeksync.model.record import Record


class MayShare(StrEnum):
    """The most that may stand on a shared page for something; each holds those before it.

    With `title` a title still stands there only once it is released; until then its word, its
    area, or that somebody is busy.
    """

    NOTHING = "nothing"
    BUSY = "busy"
    AREA = "area"
    WORD = "word"
    TITLE = "title"

    @property
    def rank(self) -> int:
        """0 for nothing to 4 for the title."""
        return _RANKS[self]


_RANKS = {level: rank for rank, level in enumerate(MayShare)}


def check_word(share: MayShare | None, share_as: str) -> None:
    """A word in place of a title needs to be said; Mistake where it is not."""
    if share is MayShare.WORD and not share_as:
        raise Mistake(
            message("share is word, and there is no word"),
            message('add share_as, as share_as = "Club", or write share = "area"'),
            "share",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Sharing(Record):
    """What shared pages may show. Nothing is shared that is not released here or in its entry."""

    persons: Literal["left out", "roles"] = "left out"
    """Whether persons are left out or stand as their roles."""
    times: Literal["left out", "day part", "rounded", "exact"] = "left out"
    """How exactly times are shown; rounded is to the full hour."""
    dates: Literal["left out", "week"] = "left out"
    """Whether the week is named, as 2027-W12; single dates never are."""
    tasks: MayShare | None = None
    """The most that released tasks of tasks.toml show: nothing, area, word or title."""
    released: tuple[Title, ...] = ()
    """Titles of events and to-dos that may be shown, word for word; see share --release."""
    harmless: tuple[Title, ...] = ()
    """Words of the household that may stand on a shared page, as decided when it was checked."""
    busy_times: bool = False
    """Make a file of busy times, too. It shows when the home may be empty."""
    publish_folder: str = ""
    """The folder that shared pages are put into when published, from the household folder on."""
    publish_command: tuple[str, ...] = ()
    """A command that publishes them, as a list of words; {folder} stands for their folder."""

    def check(self) -> None:
        """Raise Mistake for busy times without times."""
        if self.busy_times and self.times not in {"rounded", "exact"}:
            raise Mistake(
                message("busy times are times, and times are not shown"),
                message('write times = "rounded" or "exact", or take busy_times away'),
                "busy_times",
            )
