"""Marks put at the end of `marks/2027-W12.csv`, and nothing before them touched.

A mark is filed by the ISO week of its own day. What stands in a file is never rewritten: a line
that an earlier crash cut off is ended, so that the next one begins on a line of its own, and
stays for its owner to see. New files have lines that end as RFC 4180 says, CR LF; others go on
as they began.
"""

from __future__ import annotations

import codecs
import csv
import io
import os
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

from weeksync.errors import EditRefused, HouseholdError
from weeksync.household.editing import changed, content_of, held
from weeksync.household.files import MOST_BYTES, sync_folder
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.household import Mark
from weeksync.model.week import IsoWeek
from weeksync.read import HEADER, read_marks

_Key = tuple[str, date, str, str, datetime, str]

MOST_DEVICE = 64
"""Signs of a device's name that are kept."""

_RUN = "=+-@ "

_HEADER = ",".join(HEADER).encode()


@dataclass(frozen=True, slots=True)
class Appended:
    """The marks that were written, and those that were in the files already."""

    new: tuple[Mark, ...] = ()
    known: tuple[Mark, ...] = ()


def file_of_marks(day: date) -> str:
    """The file that a mark of this day stands in, from the household folder on."""
    return f"marks/{IsoWeek.of(day)}.csv"


def append_marks(folder: Path, marks: Iterable[Mark]) -> Appended:
    """Write marks to the ends of their files, each once, and onto the disk.

    A mark that is there already (same thing, day, person, value, device and moment of recording)
    is not written again: who is not sure that marks arrived may send them once more. Raises
    EditRefused where a file has another form or changes meanwhile, HouseholdError where it cannot
    be written; then that file is as it was, and files of other weeks may have been written.
    """
    by_file: dict[str, list[Mark]] = {}
    for mark in map(_on_one_line, marks):
        by_file.setdefault(file_of_marks(mark.day), []).append(mark)
    new: list[Mark] = []
    known: list[Mark] = []
    if by_file:
        with held(folder):
            for name, several in sorted(by_file.items()):
                fresh = _append(folder, name, several)
                new += fresh
                written = {id(mark) for mark in fresh}
                known += [mark for mark in several if id(mark) not in written]
    return Appended(tuple(new), tuple(known))


def _append(folder: Path, name: str, marks: Iterable[Mark]) -> list[Mark]:
    """The marks that the file did not have yet, now at its end."""
    before = content_of(folder, name) or b""
    mended = _mended(name, before)
    seen = {_key(mark) for mark in read_marks(name, before + mended).marks}
    fresh: list[Mark] = []
    for mark in marks:
        if _key(mark) not in seen:
            seen.add(_key(mark))
            fresh.append(mark)
    if not fresh:
        return []
    end = _line_end(before)
    content = mended + b"".join(_line(mark) + end for mark in fresh)
    if len(before) + len(content) > MOST_BYTES:
        raise EditRefused(
            message("{file} is full; nothing was written to it. Move it out of marks/", file=name)
        )
    with suppress(OSError):
        (folder / name).parent.mkdir(exist_ok=True)
    put_behind(folder / name, name, content, len(before))
    return fresh


def _on_one_line(mark: Mark) -> Mark:
    """The mark with a device that a line of text can hold, and no table program runs.

    A cell that begins with one of `_RUN` is a formula to many (OWASP, CSV Injection); of all
    columns this is the only one that its sender words freely.
    """
    device = "".join(sign if sign.isprintable() else " " for sign in mark.device)
    return replace(mark, device=device.lstrip(_RUN).strip()[:MOST_DEVICE].strip())


def _key(mark: Mark) -> _Key:
    return (mark.id, mark.day, mark.person, mark.value, mark.recorded_at, mark.device)


def _line_end(before: bytes) -> bytes:
    first, newline, _ = before.partition(b"\n")
    return b"\n" if newline and not first.endswith(b"\r") else b"\r\n"


def _mended(name: str, before: bytes) -> bytes:
    """What has to stand between the file as it is and its next line.

    The first line, or the rest of it; or the end of a line that was cut off.
    """
    text = before.removeprefix(codecs.BOM_UTF8)
    if (_HEADER + b"\r\n").startswith(text):
        return (_HEADER + b"\r\n")[len(text) :]
    wrong = [one for one in read_marks(name, before).problems if one.place.line == 1]
    if wrong:
        raise EditRefused(message("{file} was left as it is", file=name), wrong)
    if before.endswith(b"\n"):
        return b""
    return b"\n" if before.endswith(b"\r") else _line_end(before)


def _line(mark: Mark) -> bytes:
    text = io.StringIO()
    csv.writer(text, lineterminator="").writerow(
        [
            mark.id,
            mark.day.isoformat(),
            mark.person,
            mark.value,
            mark.recorded_at.isoformat(),
            mark.received_at.isoformat(),
            mark.device,
        ]
    )
    return text.getvalue().encode()


def put_behind(path: Path, name: str, content: bytes, size: int) -> None:
    """Put `content` behind the `size` bytes of the file; where that fails, it has `size` again."""
    try:
        number = os.open(path, os.O_WRONLY | os.O_APPEND | os.O_CREAT | os.O_CLOEXEC, 0o666)
        try:
            if os.fstat(number).st_size != size:
                raise EditRefused(changed(name))
            _write_all(number, content, size)
        finally:
            os.close(number)
        if not size:
            sync_folder(path.parent)
            sync_folder(path.parent.parent)
    except OSError as error:
        raise HouseholdError(
            message(
                "{file} could not be written ({reason}); the file is as it was",
                file=name,
                reason=os.strerror(error.errno or 0),
            )
        ) from error


def _write_all(number: int, content: bytes, size: int) -> None:
    rest = memoryview(content)
    try:
        while rest:
            rest = rest[os.write(number, rest) :]
        os.fsync(number)
    except OSError:
        with suppress(OSError):  # only what was just put there; else the next run ends that line
            os.ftruncate(number, size)
        raise
