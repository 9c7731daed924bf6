"""What a pull brings and what the store remembers of it: raw objects and version tags.

One *source* of `config.toml` has one or more *collections*: a CalDAV account has several
calendars, a feed or a folder of files is one. A collection holds *objects*: the bytes of one
`.ics` text as they came, named by what the source calls them (an href, a file name).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date, datetime

from weeksync.lazy import dataclass
from weeksync.model.problem import Problem


@dataclass(frozen=True, slots=True)
class RawObject:
    """One object as it came; `tag` is the source's version tag (ETag), "" where it has none."""

    name: str
    tag: str
    content: bytes


@dataclass(frozen=True, slots=True)
class KnownCollection:
    """What we have of a collection: its `token` (sync-token, Last-Modified) and objects' tags."""

    token: str = ""
    tags: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PulledCollection:
    """What changed in one collection.

    `name` is permanent (an href, a path), `title` and `colour` are as the source has them.
    `changed` are new or changed objects, `gone` names of objects that are no more: a name is
    only there when a complete listing or an explicit answer said so. `token` is what to hand
    back next time, and `tags` are those of objects that are as they were under another one.
    """

    name: str
    title: str = ""
    colour: str = ""
    token: str = ""
    changed: tuple[RawObject, ...] = ()
    gone: frozenset[str] = frozenset()
    tags: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Pulled:
    """The outcome of one pull of one source that succeeded.

    `collections` are all that the source has now (with nothing in `changed` and `gone` where
    nothing moved); a collection known before and absent here is gone, confirmed by a listing.
    `problems` are single objects that could not be had while the rest could.
    """

    source: str
    collections: tuple[PulledCollection, ...]
    problems: tuple[Problem, ...] = ()

    @property
    def moved(self) -> bool:
        """Whether anything changed."""
        return any(one.changed or one.gone for one in self.collections)


@dataclass(frozen=True, slots=True)
class UidGroup:
    """The components of one UID in one object, and the days they can touch.

    `first_day` and `last_day` are generous by two days on each side, since zones can be 26 hours
    apart; None means no bound is known on that side. `digest` is the SHA-256 (hex) of the group's
    text.
    """

    uid: str
    digest: str
    first_day: date | None
    last_day: date | None
    components: int = 1


ROOM = 1 << 12
"""Positions that a piece of a large text has for its entries."""


@dataclass(frozen=True, slots=True)
class PlacedGroup:
    """A group and where in its object it stands: groups are in the order of their positions.

    In a large text a position is the number of a piece by `ROOM`, and a place in it. `others` are
    the numbers of the pieces in which more of it lies than where it begins.
    """

    group: UidGroup
    position: int
    others: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a large text (see `calendar.pieces`): its number, which grows from piece to piece
    and may leave some out, its bytes' count and digest (16 bytes of their SHA-256), and how many
    BEGIN and END lines and entries it has. `content` is None where the store has it.
    """

    number: int
    size: int
    digest: bytes
    marks: int
    entries: int
    content: bytes | None = None


@dataclass(frozen=True, slots=True)
class IndexedObject:
    """A raw object with its digest (SHA-256 of the content, hex) and its UID groups.

    A large text has `pieces`, and `placed` has its groups with where they stand in them. `replaced`
    is None where the groups are all there are, else they come in the place of these and all others
    are as the store has them.
    """

    raw: RawObject
    digest: str
    groups: tuple[UidGroup, ...]
    placed: tuple[PlacedGroup, ...] = ()
    pieces: tuple[Piece, ...] = ()
    replaced: tuple[PlacedGroup, ...] | None = None


@dataclass(frozen=True, slots=True)
class StoredObject:
    """An object as the store gives it back; of a large text `content` may be some pieces alone."""

    source: str
    collection: str
    name: str
    tag: str
    digest: str
    content: bytes


@dataclass(frozen=True, slots=True)
class SourceState:
    """How a source stands: when it was last tried and when the copy we show was taken.

    `failed` is true where the last try failed or was held back; `problems` then say why (of kind
    QUESTION where too much had vanished and the user must decide). The copy of `last_good` is
    what pages show; None where nothing was ever pulled.
    """

    source: str
    last_tried: datetime | None = None
    last_good: datetime | None = None
    failed: bool = False
    problems: tuple[Problem, ...] = ()
    collections: Mapping[str, str] = field(default_factory=dict)
    """Collection name → title."""
