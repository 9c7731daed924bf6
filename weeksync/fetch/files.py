"""Calendars on disk: one `.ics` file, or a folder of them as one collection."""

from __future__ import annotations

import hashlib
import os
import stat
import time
from collections.abc import Iterator, Mapping
from dataclasses import field
from pathlib import Path

from weeksync.errors import SourceError, SourceMissing, SourceRefused, SourceUnusable
from weeksync.fetch.text import flaw, sentence
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.limits import PullLimits
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import KnownCollection, Pulled, PulledCollection, RawObject

COLLECTION = "files"

_SETTLED_NS = 3_000_000_000
"""A file written less than this long ago may be written again without a new time stamp."""


class FileSource:
    """An `.ics` file, or a folder with all `.ics` files in it and below it.

    Names of objects are paths from the folder on, with `/`; hidden files and folders are left
    out; links are followed. A single file is named by its file name.
    """

    def __init__(self, source: str, path: Path) -> None:
        self.id = source
        self._path = path

    def __repr__(self) -> str:
        return f"FileSource({self.id!r}, {str(self._path)!r})"

    def pull(self, known: Mapping[str, KnownCollection], limits: PullLimits) -> Pulled:
        """What changed on disk; see `Source.pull`.

        A file's tag is what the disk says of it and the SHA-256 of its bytes; it is read again
        only where the disk says something else than is known. In a folder a file that cannot
        be used is a problem, and its last good copy stays; a single file raises.
        """
        tags = known.get(COLLECTION, KnownCollection()).tags
        try:
            is_folder = stat.S_ISDIR(self._path.stat().st_mode)
            if is_folder:
                return self._folder(tags, limits)
            name = _text(self._path.name)
            found = read_changed(self._path, name, tags.get(name, ""), limits.max_bytes)
        except OSError as error:
            raise self._error(error) from error
        if isinstance(found, Message):
            raise SourceUnusable(self.id, found)
        new = {name: found} if isinstance(found, str) else {}
        changed = (found,) if isinstance(found, RawObject) else ()
        return self._pulled(changed, frozenset(tags) - {name}, tags=new)

    def _folder(self, tags: Mapping[str, str], limits: PullLimits) -> Pulled:
        listing = list_folder(self._path)
        if not listing.files and not listing.unread:
            raise SourceUnusable(
                self.id,
                message(
                    "{path} holds no .ics file; look at path in config.toml, and whether the"
                    " folder is mounted",
                    path=_text(str(self._path)),
                ),
            )
        changed: list[RawObject] = []
        new: dict[str, str] = {}
        problems = [self._problem(_unreadable(name)) for name in listing.unread]
        left = limits.source_bytes
        for name, path in listing.files.items():
            if left < 0:
                problems.append(self._problem(_too_much(name, limits.source_bytes)))
                break
            try:
                outcome = read_changed(path, name, tags.get(name, ""), limits.max_bytes)
            except OSError:
                outcome = _unreadable(name)
            if isinstance(outcome, Message):
                problems.append(self._problem(outcome))
            elif isinstance(outcome, str):
                new[name] = outcome
            elif outcome is not None:
                left -= len(outcome.content)
                changed.append(outcome)
        gone = (name for name in tags if name not in listing.files and not listing.hides(name))
        return self._pulled(tuple(changed), frozenset(gone), tuple(problems), tags=new)

    def _pulled(
        self,
        changed: tuple[RawObject, ...],
        gone: frozenset[str] = frozenset(),
        problems: tuple[Problem, ...] = (),
        *,
        tags: Mapping[str, str],
    ) -> Pulled:
        collection = PulledCollection(COLLECTION, changed=changed, gone=gone, tags=tags)
        return Pulled(self.id, (collection,), problems)

    def _problem(self, what: Message) -> Problem:
        return Problem(ProblemKind.OBJECT, what, Place(source=self.id))

    def _error(self, error: OSError) -> SourceError:
        path = _text(str(self._path))
        if isinstance(error, (FileNotFoundError, NotADirectoryError)):
            return SourceMissing(
                self.id,
                message("{path} does not exist; look at path in config.toml", path=path),
            )
        if isinstance(error, PermissionError):
            return SourceRefused(
                self.id,
                message("{path} may not be read; look at who owns it and its mode", path=path),
            )
        return SourceUnusable(
            self.id,
            message(
                "{path} cannot be read ({reason}); look at the disk or the network it is on",
                path=path,
                reason=error.strerror or type(error).__name__,
            ),
        )


@dataclass(frozen=True, slots=True)
class Listing:
    """The `.ics` files of a folder, and the folders below it that could not be listed."""

    files: dict[str, Path] = field(default_factory=dict)
    unread: list[str] = field(default_factory=list)

    def hides(self, name: str) -> bool:
        """Whether `name` lies in a folder that could not be listed: it may well be there."""
        return any(name.startswith(f"{folder}/") for folder in self.unread)


def list_folder(root: Path) -> Listing:
    """All `.ics` files in `root` and below, in the order of their names; raises OSError for it."""
    listing = Listing()
    for path in _walk(root, "", listing, frozenset()):
        listing.files[_text(path.relative_to(root).as_posix())] = path
    return listing


def _walk(
    folder: Path, name: str, listing: Listing, above: frozenset[tuple[int, int]]
) -> Iterator[Path]:
    try:
        here = folder.stat()
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError:
        if not name:
            raise
        listing.unread.append(name)
        return
    identity = (here.st_dev, here.st_ino)
    if identity in above:
        return  # a link back to a folder that it lies in
    for entry in entries:
        if entry.name.startswith("."):
            continue
        if _is_folder(entry):
            below = _text(f"{name}/{entry.name}" if name else entry.name)
            yield from _walk(folder / entry.name, below, listing, above | {identity})
        elif entry.name.lower().endswith(".ics"):
            yield folder / entry.name
        elif entry.is_symlink() and not os.path.exists(entry.path):  # of a stick that is not there
            listing.unread.append(_text(f"{name}/{entry.name}" if name else entry.name))


def _is_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # a link that leads in a circle, or where we may not look
        return False


def read_changed(
    path: Path, name: str, tag: str, max_bytes: int
) -> RawObject | Message | str | None:
    """The file if its bytes are not those of `tag`, or what is wrong with it.

    None where it is as it was, or its new tag where only that is another. Raises OSError where it
    cannot be read.
    """
    handle = os.open(path, os.O_RDONLY | os.O_NONBLOCK | os.O_CLOEXEC)  # a pipe would wait for ever
    with open(handle, "rb") as file:
        status = os.fstat(handle)
        if not stat.S_ISREG(status.st_mode):
            return message("{path} is no file; look at path in config.toml", path=name)
        # The inode and its own time besides: the time of the content can be set to any.
        times = f"{status.st_mtime_ns}-{status.st_ctime_ns}"
        stamp = f"{status.st_size}-{times}-{status.st_ino}"
        if tag.startswith(f"{stamp}-"):
            return None
        content = file.read(max_bytes + 1)
    if len(content) > max_bytes:
        return message(
            "{path} is larger than {megabytes} MB; if the calendar is that large, raise"
            " max_megabytes under [pull] in config.toml",
            path=name,
            megabytes=round(max_bytes / 1024 / 1024, 3),
        )
    found = flaw(content)
    if found is not None:
        return sentence(found, name)
    digest = hashlib.sha256(content).hexdigest()
    settled = time.time_ns() - max(status.st_mtime_ns, status.st_ctime_ns) > _SETTLED_NS
    new = f"{stamp if settled else '?'}-{digest}"
    if tag.endswith(f"-{digest}"):
        return new if new != tag else None
    return RawObject(name, new, content)


def _unreadable(name: str) -> Message:
    return message(
        "{path} cannot be read; look at who owns it and its mode, its last good copy is shown",
        path=name,
    )


def _too_much(name: str, most: int) -> Message:
    return message(
        "more than {megabytes} MB are new or changed; {path} and what comes after it are"
        " read in the next pull; to read all at once, raise max_megabytes_per_source under [pull]"
        " in config.toml",
        path=name,
        megabytes=round(most / 1024 / 1024, 3),
    )


def _text(name: str) -> str:
    """A file name as text that can be stored and shown; bytes that are no UTF-8 as `\\xNN`."""
    return os.fsencode(name).decode("utf-8", "backslashreplace")
