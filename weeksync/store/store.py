"""The state database as one object: `Store`."""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from weeksync.errors import StoreError
from weeksync.locks import Lock
from weeksync.message import message
from weeksync.model.expanded import Change, DueParts, KeptExpansion, KeptHead, PartName
from weeksync.model.problem import Problem
from weeksync.model.pulled import (
    IndexedObject,
    KnownCollection,
    Pulled,
    PulledCollection,
    SourceState,
    StoredObject,
    UidGroup,
)
from weeksync.store import due, expansions, objects, opening, pieces, uid_groups
from weeksync.store import units as page_units
from weeksync.store.faults import reading_from
from weeksync.store.schema import MIGRATIONS, Migration
from weeksync.store.uid_groups import Ahead

if TYPE_CHECKING:
    from weeksync.model.occurrence import Occurrence
    from weeksync.store.expansions import Span
    from weeksync.store.rows import Fill
    from weeksync.store.written import WrittenObject


class Store:
    """The state of one household, opened with `Store.open` and closed by `with` or `close()`.

    Opened for reading it shows one moment, whatever a writer does meanwhile. Opened for writing
    it holds the household's lock; each method that changes something is one transaction: killed
    or out of room in the middle, the database is as it was before the call. All methods raise
    StoreError: StoreDamaged where what was stored cannot be read.
    """

    def __init__(self, file: Path, connection: sqlite3.Connection, lock: Lock | None) -> None:
        self.file = file
        self.connection = connection
        self._lock = lock
        self._shared: frozenset[str] | None = None
        self._entries: dict[str, int] | None = None

    @classmethod
    def open(
        cls,
        folder: Path,
        *,
        write: bool,
        wait: float = 0.0,
        rebuild: bool = False,
        at: datetime | None = None,
        steps: Sequence[Migration] = MIGRATIONS,
    ) -> Self:
        """Open the state in `folder`, the household's `state/`.

        For reading no lock is needed; where there is no file the store is empty and none is
        made. For writing the folder is made (mode 0700) and the lock awaited for `wait` seconds,
        then StoreBusy.
        `rebuild` (only with `write`) renames the present file after the aware instant `at` and
        starts an empty one. StoreTooNew where a later weeksync wrote the file, StoreDamaged
        where it is none. `steps` are the migrations.
        """
        file = folder / opening.FILE
        if rebuild and (at is None or not write):
            raise ValueError("to rebuild, open for writing and say at what instant")
        if not write:
            with reading_from(file):
                return cls(file, opening.open_for_reading(file, steps), None)
        with reading_from(file):
            opening.private_folder(folder)
            lock = opening.take_lock(folder, wait)
            try:
                if rebuild and at is not None:
                    opening.set_aside(file, at)
                return cls(file, opening.open_for_writing(file, steps), lock)
            except BaseException:
                lock.release()
                raise

    @property
    def writable(self) -> bool:
        """Whether it was opened for writing."""
        return self._lock is not None

    def close(self) -> None:
        """Close the database and let the next writer in; a second call does nothing."""
        self.connection.close()
        if self._lock is not None:
            self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        self.close()

    @contextmanager
    def _reading(self) -> Iterator[sqlite3.Connection]:
        with reading_from(self.file):
            yield self.connection

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        if not self.writable:
            raise StoreError(message("{file} was opened for reading only", file=str(self.file)))
        with reading_from(self.file):  # what is written hangs on what is there
            self.connection.execute("BEGIN IMMEDIATE")
            try:
                yield self.connection
                self.connection.execute("COMMIT")
            except BaseException:
                if self.connection.in_transaction:  # some errors have rolled back already
                    self.connection.execute("ROLLBACK")
                raise

    # Sources and their objects

    def states(self) -> dict[str, SourceState]:
        """How each source stands that was ever tried; its times are in UTC."""
        with self._reading() as connection:
            return objects.states(connection)

    def known(self, source: str) -> dict[str, KnownCollection]:
        """Token and tags of each collection of a source, to be handed to its next pull.

        Objects that were kept when they vanished from the source are not among the tags.
        """
        with self._reading() as connection:
            return objects.known(connection, source)

    def collections(self, source: str) -> dict[str, str]:
        """Collection name → title."""
        state = self.states().get(source)
        return dict(state.collections) if state is not None else {}

    def objects(self, source: str) -> Iterator[StoredObject]:
        """The last good copy of a source, object by object, by collection and name."""
        with self._reading() as connection:
            yield from objects.objects(connection, source)

    def object_counts(self) -> dict[str, int]:
        """Source → how many objects of it there are, kept ones too."""
        with self._reading() as connection:
            return objects.counts(connection)

    def entry_counts(self) -> dict[str, int]:
        """Source → how many entries its objects hold, a series being one; kept ones, too."""
        if self._entries is None:  # asked for several times in a night, and not for nothing
            with self._reading() as connection:
                self._entries = uid_groups.counts(connection)
        return self._entries

    def object(self, source: str, collection: str, name: str) -> StoredObject | None:
        """One object of the last good copy; None where there is none of that name."""
        with self._reading() as connection:
            return next(objects.objects(connection, source, (collection, name)), None)

    def in_pieces(self, source: str, collection: str, name: str) -> pieces.KeptPieces | None:
        """What is known of a large text that the source still has; None for any other."""
        with self._reading() as connection:
            return pieces.kept(connection, (source, collection, name), self._reading)

    def grouped(self, source: str) -> Iterator[tuple[str, str, UidGroup]]:
        """(collection, object, group) of all that `groups` gives."""
        with self._reading() as connection:
            for collection, name, kept, group in uid_groups.groups(connection, source):
                if not kept:
                    yield collection, name, group

    def vanishing(
        self, source: str, touched: Collection[tuple[str, str]], there: Collection[str]
    ) -> list[tuple[str, str, UidGroup]]:
        """(collection, object, group) of the `touched` objects whose UID is not in `there`.

        Objects are named by collection and name.
        """
        with self._reading() as connection:
            return uid_groups.vanishing(connection, source, touched, there)

    def collection_names(self, source: str) -> frozenset[str]:
        """The names of all its collections."""
        with self._reading() as connection:
            return uid_groups.collections(connection, source)

    def counts_ahead(
        self, source: str, day: date, touched: Collection[tuple[str, str]]
    ) -> dict[str, tuple[Ahead, Ahead]]:
        """Collection → (what it has, what of that lies in its `touched` objects), from `day` on."""
        with self._reading() as connection:
            return uid_groups.counts_ahead(connection, source, day, touched)

    def groups(self, source: str) -> dict[str, tuple[UidGroup, ...]]:
        """Collection → the UID groups the source has, in the order of `objects`.

        Objects that were kept when they vanished from the source are left out.
        """
        with self._reading() as connection:
            return uid_groups.present_groups(connection, source)

    def preview_groups(
        self, pulled: Pulled, indexed: Sequence[tuple[str, IndexedObject]]
    ) -> dict[str, tuple[UidGroup, ...]]:
        """What `groups` would give after `apply`."""
        with self._reading() as connection:
            return uid_groups.preview(connection, pulled, indexed)

    def apply(
        self,
        pulled: Pulled,
        indexed: Sequence[tuple[str, IndexedObject]],
        at: datetime,
        problems: Sequence[Problem],
        kept: Sequence[tuple[str, IndexedObject]] = (),
    ) -> None:
        """Take over a pull: data and tokens in one transaction.

        `indexed` has (collection name, object) for each changed object; ValueError where one
        is missing. Collections the pull does not name are dropped with their objects. `kept`,
        (collection name, object) of what was taken out of objects that are changed or gone, stays
        until its UID comes back in another object, also where all collections are others now.
        Of one source at most `objects.MOST_KEPT` objects are kept, those of the latest days.
        """
        self._entries = None
        with self._writing() as connection:
            objects.apply(connection, pulled, indexed, at, problems, kept)

    def latest_change(self) -> datetime | None:
        """When the last object that is stored was pulled; None where there is none."""
        with self._reading() as connection:
            return objects.latest_change(connection)

    def renew(
        self,
        source: str,
        collections: Iterable[PulledCollection],
        at: datetime,
        problems: Sequence[Problem],
    ) -> None:
        """Note that a source was looked at, well, at `at` and had nothing new but the tokens and
        tags of `collections`; `problems` are those that stay."""
        with self._writing() as connection:
            objects.renew(connection, source, collections, at, problems)

    def take_written(
        self,
        source: str,
        written: Iterable[WrittenObject],
        problems: Sequence[Problem],
        at: datetime,
    ) -> None:
        """Take over objects that we wrote to their server, and what there is to know of it."""
        from weeksync.store.written import take_written

        self._entries = None
        with self._writing() as connection:
            take_written(connection, source, written, problems, at)

    def record_failure(self, source: str, problems: Sequence[Problem], at: datetime) -> None:
        """Note that a source was tried at `at` and failed; its last good copy is untouched."""
        with self._writing() as connection:
            objects.record_failure(connection, source, problems, at)

    def regroup(self, source: str, indexed: Sequence[tuple[str, IndexedObject]]) -> None:
        """Replace the groups of stored objects, after the rules of indexing have changed.

        Content, tags and tokens stay; objects that are not stored are passed over.
        """
        self._entries = None
        with self._writing() as connection:
            objects.regroup(connection, source, indexed)

    def forget(self, keep: Collection[str]) -> None:
        """Drop everything of the sources that are not in `keep`."""
        with self._writing() as connection:
            if objects.forget(connection, keep):
                self._entries = None
            expansions.forget(connection, keep)

    # What was worked out

    def expansion_heads(self) -> dict[str, KeptHead]:
        """Source → what is known of its kept expansion, without reading any row of it."""
        with self._reading() as connection:
            return expansions.heads(connection)

    def save_expansion(self, source: str, expansion: KeptExpansion) -> None:
        """Keep an expansion of a source in the place of an earlier one."""
        self._shared = None
        with self._writing() as connection:
            expansions.save(connection, source, expansion)

    def update_expansion(self, source: str, change: Change) -> None:
        """Take a change into the expansion of a source, one of which is kept."""
        self._shared = None
        with self._writing() as connection:
            expansions.update(connection, source, change)

    def load_expansion(
        self, source: str, key: str, start: date, end: date, *, notes: bool = True
    ) -> expansions.Expanded | None:
        """The occurrences that touch the days from `start` to before `end`, in order of time.

        With them all to-dos and problems, and what it spent; and all occurrences of each UID that
        stands in more than one place, since which of them counts can only be told from all. None
        where no expansion of that key covers these days, and where something of the source has
        changed since it was made. Without `notes` these are left empty.
        """
        with self._reading() as connection:
            shared = self._shared_uids()
            return expansions.load(connection, source, key, (start, end), shared, notes=notes)

    def load_spans(
        self, source: str, key: str, spans: Sequence[Span], fill: Fill | None = None
    ) -> tuple[Occurrence, ...] | None:
        """The occurrences alone of several spans, each once and `fill`ed in, without notes."""
        with self._reading() as connection:
            shared = self._shared_uids()
            return expansions.load_spans(connection, source, key, spans, shared, fill)

    def day_digests(
        self, sources: Sequence[str], start: date, end: date
    ) -> tuple[dict[date, bytes], bytes] | None:
        """(a digest of each day, one of what has no day), kept of exactly these days, or None."""
        with self._reading() as connection:
            return expansions.day_digests(connection, sources, start, end, self._shared_uids())

    def _shared_uids(self) -> frozenset[str]:
        if self._shared is None:
            self._shared = expansions.shared_uids(self.connection)
        return self._shared

    def due_parts(
        self, source: str, window: tuple[date, date], inside: tuple[date, date] | None
    ) -> DueParts:
        """What has to be expanded for this window; see `due.find`."""
        with self._reading() as connection:
            return due.find(connection, source, window, inside)

    def entries(self, source: str) -> int:
        """The entries of all its texts by their groups, at least one each."""
        with self._reading() as connection:
            return due.entries(connection, source)

    def objects_with(
        self, source: str, names: Collection[PartName], *, some: bool = False
    ) -> list[StoredObject]:
        """The objects that hold these parts, in order; with `some`, of large texts only pieces."""
        with self._reading() as connection:
            return due.objects_with(connection, source, names, some=some)

    def page_digests(self) -> dict[str, str]:
        """Page → digest of what it was made from, as saved last."""
        with self._reading() as connection:
            return dict(connection.execute("SELECT page, digest FROM page_digest ORDER BY page"))

    def save_page_digests(self, digests: Mapping[str, str]) -> None:
        """Replace the digests of all pages."""
        with self._writing() as connection:
            connection.execute("DELETE FROM page_digest")
            connection.executemany("INSERT INTO page_digest VALUES (?, ?)", digests.items())

    def units(self) -> dict[str, page_units.Row]:
        """What pages were made from: name of the unit → (key, made of, its pages, its gist)."""
        with self._reading() as connection:
            return page_units.load(connection)

    def save_units(self, changed: Mapping[str, page_units.Row], gone: Collection[str]) -> None:
        """Put units in the place of those of the same name, and drop those that are gone."""
        with self._writing() as connection:
            page_units.save(connection, changed, gone)

    def get(self, key: str) -> str | None:
        """A small text kept under `key`, or None."""
        with self._reading() as connection:
            found = connection.execute("SELECT value FROM setting WHERE key = ?", (key,)).fetchone()
            return None if found is None else str(found[0])

    def set(self, key: str, value: str) -> None:
        """Keep a small text under `key`; an earlier one is replaced."""
        with self._writing() as connection:
            connection.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (key, value))
