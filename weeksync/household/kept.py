"""The household as it was read last, for a night that finds its files as they were.

Most nights a calendar has changed and no file of the household. To read those again takes longer
than all that a changed event needs; to see that they are the same bytes takes a twentieth of it.
"""

from __future__ import annotations

import hashlib
import io
import pickle
import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, BinaryIO

from weeksync.errors import HouseholdError
from weeksync.household.disk import Disk
from weeksync.household.files import replace_file
from weeksync.household.listing import CONFIG, all_names, strangers
from weeksync.model.household import HouseholdFiles

PLACE = "household-as-read"
"""The name of the file in the folder of the store."""

_FORMAT = b"weeksync household 2\n"
_HASH = hashlib.sha256
_OURS = "weeksync.model."
_VALUES = {("datetime", name) for name in ("date", "datetime", "time", "timedelta", "timezone")}


def kept_household(folder: Path, state: Path, code: str) -> HouseholdFiles | None:
    """What `read_household` would give, where it is kept; None where the files have to be read.

    `code` stands for the program that reads them. Whatever is the matter with a file of the
    household or with what is kept: the files are read.
    """
    try:
        held = (state / PLACE).read_bytes()
    except OSError:
        return None
    disk = Disk(folder)
    read = {name: disk.read(name) for name in all_names(disk)}
    head = _head(disk.digests, code)
    body = held[len(head) + _HASH().digest_size :]
    if disk.problems or strangers(disk) or not held.startswith(head + _HASH(body).digest()):
        return None
    stream = io.BytesIO(body)
    try:
        config = _Reading(stream, _texts(read[CONFIG] or b"")).load()
        found = _Reading(stream, [config]).load()
    except Exception:  # whatever a file that somebody else has written makes of it
        return None
    return found if isinstance(found, HouseholdFiles) else None


def keep_household(files: HouseholdFiles, folder: Path, state: Path, code: str) -> None:
    """Keep what was read, unless something is wrong in it: that is looked at every night.

    Only for its owner, as the store; where it cannot be written the files are read next time. No
    text of `config.toml` is written a second time, for it has secret addresses in it: in its place
    stands which of the file's texts it is.
    """
    place = state / PLACE
    try:
        disk = Disk(folder)
        texts = {text: at for at, text in enumerate(_texts(disk.read(CONFIG) or b""))}
        if files.problems or disk.digests.get(CONFIG) != files.digests[CONFIG]:
            place.unlink(missing_ok=True)
            return
        stream, config = io.BytesIO(), files.config
        _Writing(stream, lambda one: texts.get(one) if type(one) is str else None).dump(config)
        _Writing(stream, lambda one: 0 if one is config else None).dump(files)
        body = stream.getvalue()
        replace_file(place, _head(files.digests, code) + _HASH(body).digest() + body, mode=0o600)
    except (OSError, HouseholdError):
        return


def _head(digests: Any, code: str) -> bytes:
    told = _HASH(code.encode())
    for name, digest in sorted(digests.items()):
        told.update(f"{name}\0{digest}\0".encode())
    return _FORMAT + told.digest()


def _texts(config: bytes) -> list[str]:
    """The texts of `config.toml`, in the order in which they stand there."""
    found: list[str] = []

    def look(value: object) -> None:
        if isinstance(value, str) and value:
            found.append(value)
        elif isinstance(value, dict):
            for one in value.values():
                look(one)
        elif isinstance(value, list):
            for one in value:
                look(one)

    look(tomllib.loads(config.decode()))
    return found


class _Writing(pickle.Pickler):
    """Writes a number in the place of what the reader will have by that number."""

    def __init__(self, stream: BinaryIO, number: Callable[[object], int | None]) -> None:
        super().__init__(stream, pickle.HIGHEST_PROTOCOL)
        self._number = number

    def persistent_id(self, one: object) -> int | None:
        return self._number(one)


class _Reading(pickle.Unpickler):
    """Makes records and days, and nothing else: the file lies in a folder that may be shared."""

    def __init__(self, stream: BinaryIO, known: Sequence[object]) -> None:
        super().__init__(stream)
        self._known = known

    def persistent_load(self, at: int) -> object:
        return self._known[at]

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _VALUES:
            return super().find_class(module, name)
        if module.startswith(_OURS) or (module, name) == ("weeksync.message", "Message"):
            found = super().find_class(module, name)
            if isinstance(found, type) and found.__module__ == module:
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no record")
