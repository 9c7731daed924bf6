"""Opening the state database: one writer behind a lock, readers that never wait or write."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Sequence
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path

from weeksync.errors import StoreBusy
from weeksync.locks import Lock
from weeksync.message import message
from weeksync.store.schema import Migration, migrate, require_known, version_of

FILE = "store.sqlite3"
LOCK = "lock"
_PATIENCE = 10.0
"""Seconds SQLite waits for the short moments in which it locks even readers out."""


def take_lock(folder: Path, wait: float) -> Lock:
    """The lock of the one writer; StoreBusy where another run still has it after `wait` seconds."""
    try:
        return Lock(folder / LOCK, wait)
    except TimeoutError as error:
        raise StoreBusy(
            message(
                "another run of weeksync is writing to {folder} (waited {seconds} s for it);"
                " run again when it has finished",
                folder=str(folder),
                seconds=round(wait, 1),
            )
        ) from error


def private_folder(folder: Path) -> None:
    """Make the state folder, for its owner only: calendars are nobody else's business."""
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    if folder.stat().st_mode & 0o077:
        with suppress(PermissionError):  # another owner's folder, or a file system without modes
            folder.chmod(0o700)


def open_for_writing(file: Path, steps: Sequence[Migration]) -> sqlite3.Connection:
    """A connection that may write, to a database brought up to date; the caller has the lock."""
    # Made before SQLite would make it, which asks the umask; its side files take this mode over.
    os.close(os.open(file, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600))
    connection = _connect(str(file))
    try:
        require_known(version_of(connection), steps, file)
        connection.execute("PRAGMA journal_mode = WAL")
        # A power cut may lose the last pull, data and token together; it is pulled again then.
        connection.execute("PRAGMA synchronous = NORMAL")
        migrate(connection, steps)
        connection.execute("PRAGMA foreign_keys = ON")
    except BaseException:
        connection.close()
        raise
    return connection


def open_for_reading(file: Path, steps: Sequence[Migration]) -> sqlite3.Connection:
    """A connection that sees the database as it is now, whatever a writer does meanwhile.

    Where there is no file, or no more than its beginning, it is an empty database in memory; an
    older database is copied to memory and brought up to date there, since a reader changes nothing.
    """
    if not file.exists():
        return _in_memory(steps)
    try:
        connection = _snapshot(file)
    except sqlite3.OperationalError as error:
        if _is_cut_short(error):
            return _in_memory(steps)
        raise
    try:
        version = version_of(connection)
        require_known(version, steps, file)
        if version == len(steps):
            return connection
        copy = _connect(":memory:")
        connection.backup(copy)
        connection.close()
        migrate(copy, steps)
    except BaseException:
        connection.close()
        raise
    return copy


def set_aside(file: Path, at: datetime) -> Path | None:
    """Rename the database and its side files after the instant `at`; None where there is none.

    Nothing is deleted and nothing overwritten.
    """
    if not file.exists():
        return None
    stamp = at.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")
    aside, count = file.with_name(f"{file.name}.{stamp}"), 1
    while aside.exists():
        count += 1
        aside = file.with_name(f"{file.name}.{stamp}-{count}")
    for end in ("-wal", "-shm", ""):  # the database last: until then it is found and set aside
        with suppress(FileNotFoundError):
            os.rename(f"{file}{end}", f"{aside}{end}")
    return aside


def _in_memory(steps: Sequence[Migration]) -> sqlite3.Connection:
    connection = _connect(":memory:")
    migrate(connection, steps)
    return connection


def _snapshot(file: Path) -> sqlite3.Connection:
    uri = f"{file.absolute().as_uri()}?mode=ro"
    try:
        return _read_only(uri)
    except sqlite3.OperationalError as error:
        if _is_cut_short(error):
            raise
        # In a folder that cannot be written SQLite has nowhere to note that it reads. Nobody
        # else can write there either, so without a log to replay the file stands still.
        wal = file.with_name(f"{file.name}-wal")
        if os.access(file.parent, os.W_OK) or (wal.exists() and wal.stat().st_size):
            raise
        return _read_only(f"{uri}&immutable=1")


def _is_cut_short(error: sqlite3.Error) -> bool:
    """Whether the making of the database was: only its first step has a journal to roll back."""
    return getattr(error, "sqlite_errorcode", None) == sqlite3.SQLITE_READONLY_ROLLBACK


def _read_only(uri: str) -> sqlite3.Connection:
    connection = _connect(uri)
    try:
        connection.execute("BEGIN")
        connection.execute("SELECT 1 FROM sqlite_schema LIMIT 1").fetchall()  # fixes the moment
    except BaseException:
        connection.close()
        raise
    return connection


def _connect(target: str) -> sqlite3.Connection:
    # isolation_level None: transactions are begun and ended by us, never behind our back.
    return sqlite3.connect(
        target, isolation_level=None, timeout=_PATIENCE, uri=target.startswith("file:")
    )
