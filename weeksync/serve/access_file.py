"""`state/access.json`: who may come in, as records, read and written whole.

The file is for its owner alone (0600), is replaced through a temporary file and a rename, and
only under a lock, so that `weeksync serve`, `devices` and `pin` may all write it.
"""

from __future__ import annotations

import json
import os
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, ValidationError

from weeksync.errors import HouseholdError
from weeksync.locks import Lock
from weeksync.message import message

Scope = Literal["pages", "marks", "feed"]
"""What a token allows: to read the site and mark on it, to hand over marks and nothing else, or to
read the plan of one person."""

LOCK_SECONDS = 10
"""How long one waits for another weeksync to finish writing."""


class _Kept(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Token(_Kept):
    """A token that was given out."""

    digest: str
    scope: Scope
    given_at: datetime


class KeptDevice(_Kept):
    """A device that may come in, by its tokens."""

    name: str
    person: str = ""
    """Whose it is, "" where it is everybody's."""
    added_at: datetime
    tokens: tuple[Token, ...] = ()


class Code(_Kept):
    """A one-time code that is not used yet."""

    digest: str
    device: str
    person: str = ""
    until: datetime


class Pin(_Kept):
    """A person's PIN, and how often it was got wrong since it was last right."""

    salt: str
    derived: str
    n: int
    r: int
    p: int
    failed: int = 0
    next_at: datetime | None = None
    """Before this instant no PIN is looked at."""


class Contents(_Kept):
    """The whole file."""

    format: Literal[1] = 1
    guarded: bool = False
    """Whether any device has ever come in to see pages."""
    devices: tuple[KeptDevice, ...] = ()
    codes: tuple[Code, ...] = ()
    pins: dict[str, Pin] = {}


class AccessFile:
    """The file, read anew when it has changed on disk."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._cached: tuple[tuple[int, int, int] | None, Contents] = None, Contents()

    def read(self) -> Contents:
        """What stands in it; nobody may come in where there is none.

        HouseholdError where it cannot be read: then nobody comes in either.
        """
        try:
            about = self.path.stat()
        except FileNotFoundError:
            return Contents()
        except OSError as error:
            raise _unreadable(self.path, os.strerror(error.errno or 0)) from error
        stamp = (about.st_ino, about.st_mtime_ns, about.st_size)
        cached, contents = self._cached
        if stamp != cached:
            contents = self._parsed()
            self._cached = stamp, contents  # in one step: other threads read as well
        return contents

    def _parsed(self) -> Contents:
        try:
            return Contents.model_validate_json(self.path.read_bytes())
        except OSError as error:
            raise _unreadable(self.path, os.strerror(error.errno or 0)) from error
        except ValidationError as error:  # its text would quote what is kept
            raise _unreadable(self.path, str(message("it is no access file"))) from error

    @contextmanager
    def held(self) -> Iterator[None]:
        """Keeps others from writing; HouseholdError where another holds it for too long."""
        try:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            lock = Lock(self.path.with_suffix(".lock"), LOCK_SECONDS)
            try:
                yield
            finally:
                lock.release()
        except TimeoutError as error:
            raise HouseholdError(
                message(
                    "another weeksync has been writing {file} for {seconds} seconds; try again",
                    file=str(self.path),
                    seconds=LOCK_SECONDS,
                )
            ) from error
        except OSError as error:
            raise _unwritable(self.path, error) from error

    def write(self, contents: Contents) -> None:
        """Put it in place whole; only while it is held."""
        text = json.dumps(contents.model_dump(mode="json"), indent=1) + "\n"
        temporary = self.path.with_name(f".{self.path.name}.{secrets.token_hex(4)}.tmp")
        try:
            number = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
            with os.fdopen(number, "w", encoding="utf-8") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            temporary.replace(self.path)
        except OSError as error:
            with suppress(OSError):
                temporary.unlink()
            raise _unwritable(self.path, error) from error


def _unreadable(path: Path, reason: str) -> HouseholdError:
    return HouseholdError(
        message(
            "{file} cannot be read ({reason}); nobody is let in until it can: mend it, or take it "
            "away and add the devices and PINs anew",
            file=str(path),
            reason=reason,
        )
    )


def _unwritable(path: Path, error: OSError) -> HouseholdError:
    return HouseholdError(
        message(
            "{file} could not be written ({reason}); it is as it was",
            file=str(path),
            reason=os.strerror(error.errno or 0),
        )
    )
