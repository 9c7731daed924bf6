"""The household as it was read last, for a night that finds its files as they were.

Most nights a calendar has changed and no file of the household. To read those again takes longer
than all that a changed event needs; to see that they are the same bytes takes a twentieth of it.
"""

from __future__ import annotations

import hashlib
import io
import pickle
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, BinaryIO

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
        config = _Reading(stream, _Texts(read[CONFIG] or b"").at).load()
        found = _Reading(stream, lambda _: config).load()
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
        if files.problems:
            place.unlink(missing_ok=True)
            return
        disk, config = Disk(folder), files.config
        content = disk.read(CONFIG)
        if content is None or disk.digests[CONFIG] != files.digests[CONFIG]:
            return  # written since
        stream, texts = io.BytesIO(), _Texts(content).places()
        _Writing(stream, lambda one: texts.get(one) if type(one) is str else None).dump(config)
        _Writing(stream, lambda one: (0, 0) if one is config else None).dump(files)
        body = stream.getvalue()
        replace_file(place, _head(files.digests, code) + _HASH(body).digest() + body, mode=0o600)
    except Exception:  # whatever it is, the night has been, and the next one reads the files
        return


def _head(digests: Any, code: str) -> bytes:
    told = _HASH(code.encode())
    for name, digest in sorted(digests.items()):
        told.update(f"{name}\0{digest}\0".encode())
    return _FORMAT + told.digest()


Place = tuple[int, int]
"""Where a text stands in the bytes of a file, or (its number among all texts, -1)."""


class _Texts:
    """The texts of `config.toml`, by where they stand in it."""

    def __init__(self, content: bytes) -> None:
        self._content = content
        self._all: list[str] | None = None

    def places(self) -> dict[str, Place]:
        """Each text with its place; its number where it is written with escapes."""
        found: dict[str, Place] = {}
        for number, text in enumerate(self._read()):
            written = text.encode()
            at = self._content.find(written)
            found.setdefault(text, (number, -1) if at < 0 else (at, at + len(written)))
        return found

    def at(self, place: Place) -> str:
        """The text at that place."""
        start, end = place
        return self._read()[start] if end < 0 else self._content[start:end].decode()

    def _read(self) -> list[str]:
        if self._all is None:
            import tomllib  # not for what can be cut out

            texts = [*_texts_in(tomllib.loads(self._content.decode("utf-8-sig")))]
            self._all = [*texts, *(one.strip() for one in texts)]  # as records have them
        return self._all


def _texts_in(value: object) -> Iterator[str]:
    if isinstance(value, str) and value:
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from _texts_in(one)
    elif isinstance(value, list):
        for one in value:
            yield from _texts_in(one)


class _Writing(pickle.Pickler):
    """Writes the place of what the reader will find there, and everything else in full."""

    def __init__(self, stream: BinaryIO, place: Callable[[object], Place | None]) -> None:
        super().__init__(stream, pickle.HIGHEST_PROTOCOL)
        self._place = place

    def persistent_id(self, one: object) -> Place | None:
        return self._place(one)


class _Reading(pickle.Unpickler):
    """Makes records and days, and nothing else: what lies there is data, as `config.toml` is."""

    def __init__(self, stream: BinaryIO, at: Callable[[Place], object]) -> None:
        super().__init__(stream)
        self._at = at

    def persistent_load(self, place: Place) -> object:
        return self._at(place)

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _VALUES:
            return super().find_class(module, name)
        if module.startswith(_OURS) or (module, name) == ("weeksync.message", "Message"):
            found = super().find_class(module, name)
            if isinstance(found, type) and found.__module__ == module:
                return found
        raise pickle.UnpicklingError(f"{module}.{name} is no record")
