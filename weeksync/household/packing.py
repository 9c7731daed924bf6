"""A household as one zip of plain files; the same files give the same bytes."""

from __future__ import annotations

import io
import os
import secrets
import stat
import zipfile
import zlib
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import field
from datetime import UTC, datetime
from pathlib import Path

from weeksync.errors import HouseholdError, UsageError
from weeksync.household.editing import held
from weeksync.household.files import sync_folder
from weeksync.household.portable import Portable
from weeksync.household.zip_names import clash, not_plain
from weeksync.lazy import dataclass
from weeksync.message import Message, counted, message
from weeksync.model.config import Config
from weeksync.model.problem import Place, Problem, ProblemKind

MOST_FILES = 40_000
"""Ten years of ten people's check-ins; a zip of more is neither written nor read."""
MOST_BYTES = 512 * 1024 * 1024
"""The most that all files together may hold."""
MOST_RATIO = 200
"""How many times its size in the zip a file may have; what shrinks more is put in as it is."""
SMALL = 64 * 1024
"""A file of that many bytes is no bomb, however far it shrinks."""
OURS = b"made by weeksync pack"
"""The comment on the files that are no household files: what we wrote for people to read."""
_FIRST = datetime(1980, 1, 1, tzinfo=UTC)
"""No earlier time can be written in a zip."""
_LAST = datetime(2107, 12, 31, 23, 59, 58, tzinfo=UTC)
_MODE = stat.S_IFREG | 0o600


@dataclass(frozen=True, slots=True)
class PackedFile:
    """One file: its name in the household, its bytes and when it was last changed (UTC)."""

    name: str
    content: bytes
    changed: datetime


@dataclass(frozen=True, slots=True)
class Household:
    """The files of a household, by name, in order; `stays` is what else lies in its folder."""

    files: tuple[PackedFile, ...]
    stays: tuple[str, ...] = field(default=())

    def changed(self, name: str = "") -> datetime:
        """When the file of that name was changed last, or without a name (or file) any of them."""
        times = [one.changed for one in self.files if one.name == name]
        return max(times or [one.changed for one in self.files], default=_FIRST)


def household_of(folder: Path, config: Config) -> Household:
    """Every file of the household as it is; nobody of ours writes to it meanwhile.

    HouseholdError where one cannot be read or all are too much: half a household is none.
    """
    portable = Portable.of(config)
    with held(folder):
        try:
            secret = _secrets(folder, config)
            names = [n for n in portable.files(folder) if (folder / n).resolve() not in secret]
            files = tuple(_read_all(folder, names))
            top = {one.name.split("/")[0] for one in files}
            found = sorted(name for name in os.listdir(folder) if not name.startswith("."))
        except OSError as error:
            raise HouseholdError(
                message(
                    "{file} cannot be read ({reason}); nothing was packed",
                    file=str(error.filename or folder),
                    reason=os.strerror(error.errno or 0),
                )
            ) from error
    return Household(files, tuple(name for name in found if name not in top))


def _secrets(folder: Path, config: Config) -> frozenset[Path]:
    """Where passwords and keys lie: also a link to one of them, or an absolute path, is known."""
    named = [one.password_file for one in config.calendars]
    named += [config.serve.certificate, config.serve.certificate_key]
    found = []
    for one in filter(None, named):
        with suppress(OSError, RuntimeError):  # no such user, a link in a circle: then no file
            found.append((folder / Path(one).expanduser()).resolve())
    return frozenset(found)


def _read_all(folder: Path, names: Sequence[str]) -> list[PackedFile]:
    if len(names) > MOST_FILES - 2:  # ours come beside them
        raise too_many()
    _look_at(names)
    files, left = [], MOST_BYTES
    for name in names:
        number = os.open(folder / name, os.O_RDONLY | os.O_NONBLOCK)  # a pipe would wait for ever
        with os.fdopen(number, "rb") as file:
            about = os.fstat(file.fileno())
            if not stat.S_ISREG(about.st_mode):
                raise HouseholdError(message("{file} is no file; take it away", file=name))
            content = file.read(left + 1)
        left -= len(content)
        if left < 0:
            raise too_large()
        files.append(PackedFile(name, content, _even(about.st_mtime)))
    return files


def _look_at(names: Sequence[str]) -> None:
    """HouseholdError where a zip with these names could not be unpacked everywhere."""
    for name in names:
        why = not_plain(name)
        if why is not None:
            shown = "".join(sign if sign.isprintable() else "?" for sign in name)
            remedy = message("give it another name")
            raise HouseholdError(
                message("a file has a name that no zip can carry; nothing was packed"),
                (Problem(ProblemKind.MISTAKE, why, Place(shown), remedy),),
            )
    both = clash(names)
    if both is not None:
        raise HouseholdError(
            message(
                "{first} and {second} would be one file elsewhere; give one another name",
                first=both[0],
                second=both[1],
            )
        )


def _even(seconds: float) -> datetime:
    """A moment as a zip can hold it: even seconds, of the years 1980 to 2107."""
    try:
        moment = datetime.fromtimestamp(int(seconds) // 2 * 2, UTC)
    except (ValueError, OverflowError, OSError):
        return _FIRST
    return min(max(moment, _FIRST), _LAST)


def packed(household: Household, texts: Mapping[str, bytes]) -> bytes:
    """The zip: the files, and `texts` (name → content) of ours beside them.

    A text whose name the household has already gets a number: `appointments-2.ics`.
    """
    taken = {one.name.casefold() for one in household.files}
    newest = household.changed()
    entries = [(one, b"") for one in household.files]
    for name, content in texts.items():
        entries.append((PackedFile(_free(name, taken), content, newest), OURS))
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for one, comment in sorted(entries, key=lambda entry: entry[0].name):
            info = zipfile.ZipInfo(one.name, one.changed.timetuple()[:6])
            info.create_system = 3  # Unix, also where it is written elsewhere: same bytes
            info.external_attr = _MODE << 16
            info.comment = comment
            info.compress_type = _way(one.content)
            archive.writestr(info, one.content, compresslevel=9)
    return buffer.getvalue()


def _way(content: bytes) -> int:
    """Deflated, unless that shrinks it so far that a reader would take it for a bomb."""
    if len(content) <= SMALL:
        return zipfile.ZIP_DEFLATED
    small = len(zlib.compress(content, 9))
    return zipfile.ZIP_STORED if len(content) > small * MOST_RATIO // 2 else zipfile.ZIP_DEFLATED


def _free(name: str, taken: set[str]) -> str:
    stem, dot, ending = name.rpartition(".")
    names = (name, *(f"{stem}-{number}{dot}{ending}" for number in range(2, len(taken) + 3)))
    return next(one for one in names if one.casefold() not in taken)


def write_new(path: Path, content: bytes, *, force: bool) -> None:
    """Write a file that only its owner can read, whole or not at all.

    UsageError where there is one already and not `force`; HouseholdError where it cannot be
    written.
    """
    if not force and os.path.lexists(path):
        raise _there(path)
    temporary = path.with_name(f".{path.name[:200]}.{secrets.token_hex(4)}.tmp")
    put: Callable[[Path, Path], None] = os.replace if force else os.link
    try:
        number = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(number, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        try:
            put(temporary, path)  # a link never takes the place of a file made meanwhile
        except OSError:
            if force or os.path.lexists(path):
                raise
            # A file system without links.
            os.replace(temporary, path)
        sync_folder(path.parent)
    except FileExistsError as error:
        raise _there(path) from error
    except OSError as error:
        raise HouseholdError(
            message(
                "{file} could not be written ({reason}); nothing was packed",
                file=str(path),
                reason=os.strerror(error.errno or 0),
            )
        ) from error
    finally:
        with suppress(OSError):
            temporary.unlink()


def _there(path: Path) -> UsageError:
    return UsageError(
        message("{file} is there already; name another file, or add --force", file=str(path))
    )


def too_many() -> HouseholdError:
    """More files than a zip of ours may have."""
    return HouseholdError(_most(MOST_FILES))


def _most(count: int) -> Message:
    return counted(
        "there is more than {count} file; that is no household",
        "there are more than {count} files; that is no household",
        count,
    )


def too_large() -> HouseholdError:
    """More bytes than a zip of ours may hold."""
    return HouseholdError(
        message(
            "the files hold more than {most} MB; that is no household",
            most=MOST_BYTES // 1024 // 1024,
        )
    )
