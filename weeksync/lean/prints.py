"""Fingerprints of files: by their bytes where they are edited, by their dates where they are made.

A fingerprint is the SHA-256 (FIPS 180-4) of names and contents, as hex. OSError where a place
cannot be read: then nothing can be told of it.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Collection, Iterable, Iterator

BLOCK = 256 * 1024
"""Bytes that are read at once: enough, and they stay in the processor's own memory."""


def content_print(
    places: Iterable[str], *, skip: Collection[str] = (), by_date: Collection[str] = ()
) -> str:
    """Of all bytes below the places, files or folders; absent places count as such.

    `skip` are folders left out. Those in `by_date` are told by size and times alone: they are
    written once and grow for years. Hidden files are left out, as everywhere: editors and file
    sync keep their own in them.
    """
    told = hashlib.sha256()
    room = memoryview(bytearray(BLOCK))
    once = set()  # a calendar in the household folder is met twice
    for place in sorted(places):
        told.update(f"\0{place}\0".encode("utf-8", "surrogateescape"))
        for path, about in _below(place, skip):
            if path in once:
                continue
            told.update(path.encode("utf-8", "surrogateescape"))
            if any(path.startswith(one + os.sep) for one in by_date):
                told.update(_dates(about))
            else:
                told.update(_digest(path, room))
                once.add(path)
    return told.hexdigest()


def stat_print(places: Iterable[str]) -> str:
    """Of names, sizes and times of everything below the places, hidden things too."""
    told = hashlib.sha256()
    for place in sorted(places):
        told.update(f"\0{place}\0".encode("utf-8", "surrogateescape"))
        if os.path.islink(place):
            told.update(os.readlink(place).encode("utf-8", "surrogateescape"))
        for path, about in _below(place, (), hidden=True):
            told.update(path.encode("utf-8", "surrogateescape") + _dates(about))
    return told.hexdigest()


def newest(places: Iterable[str], *, skip: Collection[str] = ()) -> float:
    """When anything at or below the places was changed last, in seconds since 1970; 0 for none.

    By the time of change of the file itself (`st_ctime`), which no program sets back.
    """
    times = (about.st_ctime for place in places for _, about in _below(place, skip))
    return max(times, default=0.0)


def code_print(folders: Iterable[str], installed: Iterable[str]) -> str:
    """Of what makes the pages: Python, our own files, and the versions of all that is installed.

    `installed` are folders of distributions; the names of their `.dist-info` folders hold the
    versions (PyPA, "Recording installed projects").
    """
    told = hashlib.sha256(sys.version.encode())
    for place in sorted(installed):
        names = sorted(one for one in os.listdir(place) if one.endswith(".dist-info"))
        told.update("\0".join([place, *names]).encode("utf-8", "surrogateescape"))
    for folder in sorted(folders):
        for path, about in _below(folder, ()):
            if not path.endswith((".pyc", ".pyo")):
                told.update(path.encode("utf-8", "surrogateescape") + _dates(about))
    return told.hexdigest()


def _below(
    place: str, skip: Collection[str], *, hidden: bool = False
) -> Iterator[tuple[str, os.stat_result]]:
    """Every file at or below a place, in order of names; nothing where the place is absent."""
    try:
        entries = sorted(os.scandir(place), key=lambda one: one.name)
    except FileNotFoundError:
        return
    except NotADirectoryError:
        yield place, os.stat(place)
        return
    for entry in entries:
        if (entry.name.startswith(".") and not hidden) or entry.path in skip:
            continue
        if entry.is_dir():
            if entry.name != "__pycache__":
                yield from _below(entry.path, skip, hidden=hidden)
        else:
            yield entry.path, entry.stat()


def _digest(path: str, room: memoryview) -> bytes:
    told = hashlib.sha256()
    with open(path, "rb", buffering=0) as file:
        while count := file.readinto(room):
            told.update(room[:count])
    return told.digest()


def _dates(about: os.stat_result) -> bytes:
    found = (about.st_size, about.st_mtime_ns, about.st_ctime_ns, about.st_ino)
    return ("/".join(map(str, found)) + "\n").encode()
