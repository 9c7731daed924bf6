"""Errors of SQLite and of unreadable rows, said in weeksync's words."""

from __future__ import annotations

import sqlite3
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from weeksync.errors import StoreBusy, StoreDamaged, StoreError
from weeksync.message import message

_LOCKED = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_DAMAGED = {
    sqlite3.SQLITE_CORRUPT,
    sqlite3.SQLITE_NOTADB,
    sqlite3.SQLITE_FORMAT,
    # A statement that does not fit the schema: ours do, so it is the schema that is another one.
    sqlite3.SQLITE_ERROR,
}
_UNREADABLE = (ValueError, TypeError, LookupError, ArithmeticError, zlib.error)
"""What reading a row back raises when its text is not what was written."""


class Misuse(ValueError):
    """The caller is at fault, and not what is stored."""


@contextmanager
def writing_to(file: Path) -> Iterator[None]:
    """Turn errors of SQLite and the system into StoreErrors that name `file` and the remedy."""
    try:
        yield
    except sqlite3.Error as error:
        raise _translated(error, file) from error
    except OSError as error:
        raise _unusable(str(error.filename or file), error.strerror or str(error)) from error
    except UnicodeEncodeError as error:
        raise StoreError(
            message(
                "{file} cannot hold the name {name}: it is no Unicode text; rename it",
                file=str(file),
                name=ascii(error.object),
            )
        ) from error


@contextmanager
def reading_from(file: Path) -> Iterator[None]:
    """As `writing_to`; what was read and cannot be understood is damage, too. Misuse is not."""
    try:
        with writing_to(file):
            yield
    except Misuse:
        raise
    except _UNREADABLE as error:
        raise damaged(file, f"{type(error).__name__}: {error}") from error


def damaged(file: Path, reason: str) -> StoreDamaged:
    """The error for a database that cannot be read, with the way out."""
    return StoreDamaged(
        message(
            "{file} is damaged ({reason}); run weeksync pull --rebuild, which sets the file aside"
            " and pulls every calendar again",
            file=str(file),
            reason=reason,
        )
    )


def _unusable(place: str, reason: str) -> StoreError:
    return StoreError(
        message(
            "{file} cannot be used: {reason}; see to the folder's owner, permissions and room",
            file=place,
            reason=reason,
        )
    )


def _translated(error: sqlite3.Error, file: Path) -> StoreError:
    code = getattr(error, "sqlite_errorcode", None)
    primary = code & 0xFF if code is not None else None  # the low byte of an extended code
    if primary in _LOCKED:
        return StoreBusy(
            message("{file} is in use by another program; try again in a moment", file=str(file))
        )
    # sqlite3 itself finds text that is no UTF-8, and gives that no code.
    if primary in _DAMAGED or "Could not decode" in str(error):
        return damaged(file, str(error))
    if primary == sqlite3.SQLITE_FULL:
        return StoreError(
            message(
                "{file} cannot grow ({reason}); what was stored before is untouched; make room on"
                " the disk and run again",
                file=str(file),
                reason=str(error),
            )
        )
    return _unusable(str(file), str(error))
