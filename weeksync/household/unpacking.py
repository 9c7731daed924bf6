"""A household out of a zip that may come from anywhere: bounded, and never outside its folder."""

from __future__ import annotations

import os
import stat
import struct
import zipfile
import zlib
from calendar import timegm
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

from weeksync import zones
from weeksync.errors import HouseholdError, UsageError
from weeksync.household.files import MOST_BYTES as MOST_FILE
from weeksync.household.listing import CONFIG
from weeksync.household.packing import (
    MOST_BYTES,
    MOST_FILES,
    MOST_RATIO,
    OURS,
    SMALL,
    too_large,
    too_many,
)
from weeksync.household.portable import Portable
from weeksync.household.zip_names import clash, not_plain
from weeksync.language import Language
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.read import parse_toml

_END = b"PK\x05\x06"
_MOST_LIST = 8 * 1024 * 1024
"""The most bytes the list of files at the end of a zip may take: it is read as one."""


@dataclass(frozen=True, slots=True)
class Unpacked:
    """The names that were taken, and those left out: files of ours for people, and foreign ones."""

    taken: tuple[str, ...]
    ours: tuple[str, ...]
    foreign: tuple[str, ...]


def unpack(path: Path, folder: Path) -> Unpacked:
    """Write the household in the zip at `path` into `folder`, which is new or empty.

    Files are for their owner alone (0600, folders 0700) and keep their times. HouseholdError, and
    the folder is as it was, where the zip cannot be used or trusted, or its `config.toml` has
    mistakes that hide what belongs to the household; UsageError where the folder holds something.
    """
    if os.path.lexists(folder) and not (folder.is_dir() and not any(folder.iterdir())):
        raise UsageError(
            message("{folder} is not empty; name a new or an empty folder", folder=str(folder))
        )
    try:
        with path.open("rb") as file:
            _look_at_list(file, path)
            with zipfile.ZipFile(file) as archive:
                infos = _safe(archive)
                return _sorted_out(archive, infos, folder)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError) as error:
        raise _unusable(path) from error
    except (struct.error, ValueError) as error:
        raise _unusable(path) from error
    except OSError as error:
        raise HouseholdError(
            message(
                "{file} could not be unpacked ({reason})",
                file=str(error.filename or path),
                reason=os.strerror(error.errno or 0),
            )
        ) from error


def _look_at_list(file: BinaryIO, path: Path) -> None:
    """The list of files is read into memory as a whole: its size is looked at before."""
    size = file.seek(0, os.SEEK_END)
    if size > MOST_BYTES:
        raise too_large()
    file.seek(max(0, size - 66_000))  # the record at the end, with the longest comment
    tail = file.read()
    at = tail.rfind(_END)
    if at < 0 or len(tail) < at + 22:
        raise _unusable(path)
    count, length = struct.unpack_from("<HL", tail, at + 10)
    # A second record, for larger lists, would stand right before; we never write one.
    if count > MOST_FILES or length > _MOST_LIST or tail[at - 20 : at].startswith(b"PK\x06\x07"):
        raise too_many()


def _safe(archive: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
    """The files of the zip; HouseholdError where one of them has no business in any zip."""
    infos = archive.infolist()
    if len(infos) > MOST_FILES:
        raise too_many()
    for info in infos:
        _look_at(info)
    both = clash(info.orig_filename for info in infos)
    if both is not None:
        raise HouseholdError(
            message(
                "two files of the zip have one name: {first} and {second}; nothing was unpacked",
                first=both[0],
                second=both[1],
            )
        )
    files = [info for info in infos if not info.is_dir()]
    if sum(info.file_size for info in files) > MOST_BYTES:
        raise too_large()
    return files


def _look_at(info: zipfile.ZipInfo) -> None:
    name = info.orig_filename
    kind = stat.S_IFMT(info.external_attr >> 16)
    why = not_plain(name)
    if why is not None:
        raise _bad(name, why)
    if kind not in {0, stat.S_IFREG, stat.S_IFDIR} or (kind == stat.S_IFDIR) > info.is_dir():
        raise _bad(name, message("it is a link or no plain file"))
    if info.flag_bits & 0x1 or info.compress_type not in {
        zipfile.ZIP_STORED,
        zipfile.ZIP_DEFLATED,
    }:
        raise _bad(name, message("it is encrypted or packed in a way that is not read here"))
    if info.file_size > max(SMALL, info.compress_size * MOST_RATIO):
        raise _bad(name, message("unpacked it would be more than {times} times", times=MOST_RATIO))


def _sorted_out(archive: zipfile.ZipFile, infos: list[zipfile.ZipInfo], folder: Path) -> Unpacked:
    by_name = {info.orig_filename: info for info in infos}
    if CONFIG not in by_name:
        raise HouseholdError(
            message("there is no config.toml in the zip; nothing was unpacked"),
        )
    if by_name[CONFIG].file_size > MOST_FILE:
        raise too_large()
    config, problems = parse_toml(CONFIG, archive.read(by_name[CONFIG]), Config)
    if config is None:
        raise HouseholdError(
            message("config.toml of the zip cannot be used; nothing was unpacked"), problems
        )
    zones.zone(config.household.time_zone)  # HouseholdError, before anything is written
    Language(config.household.locale)
    portable = Portable.of(config)
    ours = {name for name, info in by_name.items() if info.comment == OURS}
    taken = sorted(name for name in by_name if portable.has(name) and name not in ours)
    taken.sort(key=lambda name: name == CONFIG)  # last: where it is, the folder is whole
    _write_all(archive, [by_name[name] for name in taken], folder)
    foreign = sorted(by_name.keys() - ours - set(taken))
    return Unpacked(tuple(sorted(taken)), tuple(sorted(ours)), tuple(foreign))


def _write_all(archive: zipfile.ZipFile, infos: list[zipfile.ZipInfo], folder: Path) -> None:
    """Whole or not at all: what was made is taken away again where something fails."""
    made: list[Path] = []
    try:
        for info in infos:
            target = folder / info.orig_filename
            _make(target.parent, made)
            _write(archive, info, target, made)
    except BaseException:
        for place in reversed(made):
            with suppress(OSError):
                place.rmdir() if place.is_dir() else place.unlink()
        raise


def _make(folder: Path, made: list[Path]) -> None:
    if not folder.is_dir():
        _make(folder.parent, made)
        folder.mkdir(mode=0o700)
        made.append(folder)


def _write(archive: zipfile.ZipFile, info: zipfile.ZipInfo, target: Path, made: list[Path]) -> None:
    number = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW, 0o600)
    made.append(target)
    with os.fdopen(number, "wb") as file, archive.open(info) as packed:
        while piece := packed.read(1024 * 1024):  # never more than `file_size`, which was looked at
            file.write(piece)
        file.flush()
        os.fsync(file.fileno())
    with suppress(ValueError, OverflowError):  # a day that no month has
        seconds = timegm((*info.date_time, 0, 0, 0))
        os.utime(target, (seconds, seconds))


def _bad(name: str, why: Message) -> HouseholdError:
    shown = "".join(sign if sign.isprintable() else "?" for sign in name)[:200]
    place = Place(shown)
    return HouseholdError(
        message("the zip holds a file that cannot be trusted; nothing was unpacked"),
        (
            Problem(
                ProblemKind.MISTAKE, why, place, message("get the zip from where it was packed")
            ),
        ),
    )


def _unusable(path: Path) -> HouseholdError:
    return HouseholdError(
        message(
            "{file} is no zip that can be read, or it is damaged; nothing was unpacked",
            file=str(path),
        )
    )
