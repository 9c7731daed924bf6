"""Which names files in a zip may have, so that they mean the same file everywhere."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator

from weeksync.message import Message, message

_DRIVE = re.compile(r"[A-Za-z]:")
_MOST_BYTES = 255
"""The longest part of a name that common file systems have."""


def not_plain(name: str) -> Message | None:
    """Why a name is no plain path below a folder; None where it is one. A folder's ends in `/`."""
    if not name.isprintable():
        return message("its name is no text")
    if not name or name.startswith(("/", "~")) or "\\" in name or _DRIVE.match(name):
        return message("its name is no plain path")
    parts = name.removesuffix("/").split("/")
    if any(part in {"", ".", ".."} or len(part.encode()) > _MOST_BYTES for part in parts):
        return message("its name leads out of the folder, or is no plain path")
    return None


def clash(names: Iterable[str]) -> tuple[str, str] | None:
    """Two names that some file systems take for one, or of which one is file and folder."""
    files: dict[str, str] = {}
    folders: dict[str, str] = {}
    for name in names:
        plain = name.removesuffix("/")
        if _folded(plain) in files:
            return files[_folded(plain)], name
        if plain != name and folders.setdefault(_folded(plain), plain) != plain:
            return folders[_folded(plain)], plain
        if plain == name:
            files[_folded(plain)] = name
        for place in _above(plain):
            if folders.setdefault(_folded(place), place) != place:
                return folders[_folded(place)], place
    both = next((name for name in files if name in folders), None)
    return (files[both], f"{folders[both]}/") if both is not None else None


def _above(name: str) -> Iterator[str]:
    """The folders a name lies in."""
    parts = name.split("/")[:-1]
    yield from ("/".join(parts[: number + 1]) for number in range(len(parts)))


def _folded(name: str) -> str:
    """What a file system may take for the same name."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())
