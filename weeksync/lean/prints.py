"""Fingerprints of files: by their bytes where they are edited, by their dates where they are made.

A fingerprint is the SHA-256 (FIPS 180-4) of names and contents, as hex. OSError where a place
cannot be read: then nothing can be told of it.
"""

from __future__ import annotations

import errno
import hashlib
import os
import stat
import sys
import time
from collections.abc import Collection, Iterable, Iterator

BLOCK = 256 * 1024
"""Bytes that are read at once: enough, and they stay in the processor's own memory."""
SETTLED = 3.0
"""Seconds: what was written less long ago may be written again without a new time."""

_ABOUT = (".dist-info", ".egg-info")
"""How the name ends of what tells about a distribution: the second in many Linux packages."""

_read: dict[str, tuple[tuple[int, ...], bytes]] = {}
"""Path → what the disk said of a file as this process read it, and its digest. A night looks twice:
before it begins, and when it notes what it was made from."""
_code: dict[tuple[str, ...], str] = {}
"""The fingerprint of the code as this process found it when it began, which is what it runs."""


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
                told.update(_digest(path, about, room))
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

    By the time of change of the file itself (`st_ctime`), which no program sets back. Of a folder
    that is when something came into it or was taken out; one in which a skipped place lies says
    nothing of that, since nights write there themselves. A link counts with what it leads to.
    """
    times = (one for place in places for one in _changes(place, skip))
    return max(times, default=0.0)


def _changes(place: str, skip: Collection[str]) -> Iterator[float]:
    """When each thing at or below a place was changed; nothing where the place is absent."""
    try:
        entries = _entries(place, skip)
    except NotADirectoryError:
        yield os.lstat(place).st_ctime
        yield os.stat(place).st_ctime
        return
    if os.path.isdir(place) and not any(os.path.dirname(one) == place for one in skip):
        yield os.stat(place).st_ctime
    for entry in entries:
        yield entry.stat(follow_symlinks=False).st_ctime
        if entry.is_dir():
            yield from _changes(entry.path, skip)
        else:
            yield entry.stat().st_ctime


def code_print(folders: Iterable[str], installed: Iterable[str]) -> str:
    """Of what makes the pages: Python, our own files, and the versions of all that is installed.

    `installed` are folders of distributions; what says of each what it is has its version in its
    name (PyPA, "Recording installed projects").
    """
    folders, installed = sorted(folders), sorted(installed)
    asked = (sys.version, *folders, "", *installed)
    if asked not in _code:
        _code[asked] = _code_print(folders, installed)
    return _code[asked]


def installed_in(names: Collection[str]) -> list[str]:
    """The folders of these distributions, names in lower case, as Python finds them, sorted.

    With them every other folder on Python's path that has any: what these need may lie there.
    """
    left, found = set(names), set()
    for place in sys.path:
        try:
            there = os.listdir(place or os.curdir)
        except OSError:  # a zip file, or nothing at all
            continue
        heads = {one.partition("-")[0].lower() for one in there if one.endswith(_ABOUT)}
        if heads:
            found.add(place or os.curdir)
            left -= heads
    if left:
        from importlib import metadata  # knows other ways, and takes ten times as long

        found |= {str(metadata.distribution(one).locate_file("")) for one in left}
    return sorted(found)


def _code_print(folders: Iterable[str], installed: Iterable[str]) -> str:
    told = hashlib.sha256(sys.version.encode())
    for place in installed:
        names = sorted(one for one in os.listdir(place) if one.endswith(_ABOUT))
        told.update("\0".join([place, *names]).encode("utf-8", "surrogateescape"))
    for folder in folders:
        for path, about in _below(folder, ()):
            if not path.endswith((".pyc", ".pyo")):
                told.update(path.encode("utf-8", "surrogateescape") + _dates(about))
    return told.hexdigest()


def _below(
    place: str, skip: Collection[str], *, hidden: bool = False
) -> Iterator[tuple[str, os.stat_result]]:
    """Every file at or below a place, in order of names; nothing where the place is absent."""
    try:
        entries = _entries(place, skip, hidden=hidden)
    except NotADirectoryError:
        yield place, os.stat(place)
        return
    for entry in entries:
        if entry.is_dir():
            yield from _below(entry.path, skip, hidden=hidden)
        else:
            yield entry.path, entry.stat()


def _entries(place: str, skip: Collection[str], *, hidden: bool = False) -> list[os.DirEntry[str]]:
    """What a folder holds that is looked at, in order of names; nothing where it is absent.

    NotADirectoryError where the place is a file.
    """
    try:
        entries = sorted(os.scandir(place), key=lambda one: one.name)
    except FileNotFoundError:
        return []
    return [
        one
        for one in entries
        if (hidden or not one.name.startswith("."))
        and one.path not in skip
        and not (one.name == "__pycache__" and one.is_dir())
    ]


def _digest(path: str, about: os.stat_result, room: memoryview) -> bytes:
    """The digest of a file; one that has been read is not read again while it is the same."""
    same = about.st_dev, about.st_ino, about.st_size, about.st_mtime_ns, about.st_ctime_ns
    known = _read.get(path)
    if known is not None and known[0] == same:
        return known[1]
    if not stat.S_ISREG(about.st_mode):  # a pipe would wait for ever
        raise OSError(errno.EINVAL, "no file", path)
    settled = time.time() - about.st_ctime > SETTLED
    told = hashlib.sha256()
    with open(path, "rb", buffering=0) as file:
        while count := file.readinto(room):
            told.update(room[:count])
    digest = told.digest()
    if settled:
        _read[path] = same, digest
    return digest


def _dates(about: os.stat_result) -> bytes:
    found = (about.st_size, about.st_mtime_ns, about.st_ctime_ns, about.st_ino)
    return ("/".join(map(str, found)) + "\n").encode()
