"""What was sent to calendar servers: ticks of to-dos, and the journal of what became of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date, datetime
from enum import StrEnum

from weeksync.lazy import dataclass


class SentStep(StrEnum):
    """What a line of the journal says of a tick."""

    TAKEN = "taken"
    """It was made here, and is to be written to the server."""
    BEGUN = "about to write"
    """It is being written; without a later line nobody knows whether it was."""
    WRITTEN = "written"
    ALREADY = "was so already"
    """The server had it so before; nothing was written."""
    GONE = "gone"
    """The server has the to-do no longer; nothing was written."""
    CANCELLED = "cancelled"
    """The to-do was cancelled there; nothing was written."""
    ANEW = "completed anew"
    """To be opened again, and somebody has completed it once more since; nothing was written."""
    REFUSED = "refused"
    """The server lets us read and not write; the tick waits."""
    CHANGED = "changed meanwhile"
    """Somebody else changed it each time; the tick waits."""

    @property
    def settles(self) -> bool:
        """Whether nothing is left to be done about the tick."""
        return self in _SETTLE


_SETTLE = {
    SentStep.WRITTEN,
    SentStep.ALREADY,
    SentStep.GONE,
    SentStep.CANCELLED,
    SentStep.ANEW,
}


@dataclass(frozen=True, slots=True)
class Sent:
    """One line of the journal; `at` and `made` are aware instants.

    `id`, `day`, `value` and `made` are those of the mark. `source`, `collection`, `object`, `uid`
    and `identity` (RECURRENCE-ID, "" for none) say which to-do it is, `title` is its SUMMARY.
    `properties` are what was set, "" for one that was taken away; `tag_before` and `tag_after` the
    server's version tags; `guard` how a change in between was kept from being lost: `If-Match`, or
    `compared` where the server gives no strong tag.
    """

    at: datetime
    step: SentStep
    id: str
    day: date
    value: str
    made: datetime
    source: str
    collection: str
    uid: str
    identity: str = ""
    title: str = ""
    object: str = ""
    properties: Mapping[str, str] = field(default_factory=dict)
    tag_before: str = ""
    tag_after: str = ""
    guard: str = ""


@dataclass(frozen=True, slots=True)
class Tick:
    """How what was said of a calendar's to-do stands: `done` or open again, on `day`.

    `waits` until the server has it. `ours` is whether a completion there came from here, so that
    it can be taken back here.
    """

    day: date
    done: bool
    waits: bool
    ours: bool
