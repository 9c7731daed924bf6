"""Files on disk: read with bounds, replaced whole through a temporary file and a rename."""

from __future__ import annotations

import os
import re
import stat
import time
from contextlib import suppress
from pathlib import Path

from weeksync.errors import HouseholdError
from weeksync.message import Message, message
from weeksync.model.problem import Place, Problem, ProblemKind

MOST_BYTES = 16 * 1024 * 1024
"""The largest household file that is read."""


LEFT_OVER_AFTER = 3600.0
"""Seconds after which a temporary file is of a run that was killed: none writes for so long."""
_TEMPORARY = re.compile(r"\..+\.[0-9a-f]{8}\.tmp")
"""As `replace_file` names them."""


def read_file(folder: Path, name: str) -> bytes | Problem | None:
    """The bytes of a file of the household; None where there is none, else why it cannot be read.

    Anything but a file (a folder, a pipe) in its place is a problem, and is not opened: a pipe
    would wait for ever.
    """
    path = folder / name
    try:
        about = path.stat()
        if not stat.S_ISREG(about.st_mode):
            return _unreadable(name, message("the file cannot be read (it is no file)"))
        if about.st_size > MOST_BYTES:
            return _too_large(name)
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        if path.is_symlink():
            what = message("the file cannot be read (it is a link that leads nowhere)")
            return _unreadable(name, what)
        return None
    except OSError as error:
        reason = os.strerror(error.errno or 0)
        return _unreadable(name, message("the file cannot be read ({reason})", reason=reason))
    return content if len(content) <= MOST_BYTES else _too_large(name)


def _unreadable(name: str, what: Message) -> Problem:
    return Problem(
        ProblemKind.MISTAKE,
        what,
        Place(name),
        message("put a file there that you may read, or take it away"),
    )


def _too_large(name: str) -> Problem:
    return Problem(
        ProblemKind.MISTAKE,
        message("the file is larger than {most} MB", most=MOST_BYTES // 1024 // 1024),
        Place(name),
        message("put the right file there, or take it away"),
    )


def replace_file(path: Path, content: bytes, *, mode: int = 0o666) -> None:
    """Puts `content` in place of the file at `path`, or makes it, with `mode` less the umask.

    Whatever happens, the file is either the old or the new one, whole. The mode is kept, and the
    owner where that is allowed; a link stays a link, and the file it leads to is replaced.
    HouseholdError where it cannot be written, also where it is marked read-only.
    """
    target = path.resolve() if path.is_symlink() else path
    temporary = target.with_name(f".{target.name[:200]}.{os.urandom(4).hex()}.tmp")
    try:
        before = _status(target)
        if before is not None and not os.access(target, os.W_OK):
            raise PermissionError(13, os.strerror(13))
        _write(temporary, content, before, mode)
        os.replace(temporary, target)
        sync_folder(target.parent)
    except OSError as error:
        with suppress(OSError):
            temporary.unlink()
        raise HouseholdError(
            message(
                "{file} could not be written ({reason}); the file is as it was",
                file=str(path),
                reason=os.strerror(error.errno or 0),
            )
        ) from error


def _status(path: Path) -> os.stat_result | None:
    try:
        return path.stat()
    except FileNotFoundError:
        return None


def _write(path: Path, content: bytes, like: os.stat_result | None, mode: int) -> None:
    # 0o666 less the umask for a new file, as for any file a program makes, unless said otherwise.
    # In place of another its own account's alone until it has that one's mode: who opens it before
    # could go on reading.
    private = mode if like is None else mode & 0o600
    number = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, private)
    with os.fdopen(number, "wb") as file:
        if like is not None:
            made = os.fstat(file.fileno())
            if (made.st_uid, made.st_gid) != (like.st_uid, like.st_gid):  # else not even asked for:
                with suppress(PermissionError):  # a confined service is killed for the call
                    os.fchown(file.fileno(), like.st_uid, like.st_gid)
            os.fchmod(file.fileno(), stat.S_IMODE(like.st_mode))
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Makes the rename last through a power cut; where the file system cannot, it is no error."""
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


def clear_left_over(folder: Path) -> None:
    """Removes the temporary files that killed runs have left in a folder and in those in it.

    They hold what was about to be written, check-ins and marks too, and nobody would see them.
    Where one cannot be removed it stays.
    """
    with suppress(OSError):
        for place in (folder, *(one for one in folder.iterdir() if one.is_dir())):
            for path in place.glob(".*.tmp"):
                with suppress(OSError):
                    if _TEMPORARY.fullmatch(path.name) and _is_old(path):
                        path.unlink()


def _is_old(path: Path) -> bool:
    about = path.lstat()
    return stat.S_ISREG(about.st_mode) and time.time() - about.st_mtime > LEFT_OVER_AFTER
