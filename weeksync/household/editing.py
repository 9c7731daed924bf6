"""A file of the household edited in place: read, changed in one spot, written whole, looked at.

Between reading and writing nobody of ours can write (the folder is locked), and who else wrote
is seen: then nothing is written. What the new text says has been compared with what was meant
before it is written, so a file on disk never has to be taken back.
"""

from __future__ import annotations

import codecs
import fcntl
import os
import tomllib
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from weeksync.errors import EditRefused
from weeksync.household.files import read_file, replace_file
from weeksync.household.toml_edits import CannotEdit
from weeksync.message import Message, message
from weeksync.model.problem import Problem, ProblemKind
from weeksync.read import R, parse_toml


def edit_file(
    folder: Path, name: str, model: type[R], edit: Callable[[str, R], str], *, start: str = ""
) -> None:
    """Edit the file `name` of the household; `edit` gets its text and its record.

    Where there is no such file, its text is `start`. EditRefused, and the file stays as it is,
    where it cannot be read or has a mistake that hides what stands in it, where it changes
    meanwhile, or where the edit would change or break anything else.
    """
    with held(folder):
        before = content_of(folder, name)
        mark, text = _text(name, start.encode() if before is None else before)
        try:
            new = mark + edit(text, _record(name, text.encode(), model)).encode()
        except CannotEdit as error:
            raise EditRefused(_written_oddly(name)) from error
        if new == before:
            return
        if _mistakes(name, new, model) > _mistakes(name, mark + text.encode(), model):
            raise EditRefused(_written_oddly(name))
        if content_of(folder, name) != before:
            raise EditRefused(changed(name))
        with suppress(OSError):
            (folder / name).parent.mkdir(exist_ok=True)
        replace_file(folder / name, new)
        if content_of(folder, name) != new:
            raise EditRefused(changed(name))


@contextmanager
def held(folder: Path) -> Iterator[None]:
    """Keeps other runs of weeksync from editing; where the file system has no locks, it does not.

    The lock is on the folder itself: it leaves nothing behind, and ends with the process.
    """
    try:
        number = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    except OSError:
        yield  # what is wrong with the folder is told by whoever reads in it
        return
    try:
        with suppress(OSError):
            fcntl.flock(number, fcntl.LOCK_EX)
        yield
    finally:
        os.close(number)


def content_of(folder: Path, name: str) -> bytes | None:
    """The bytes of a file, None where there is none; EditRefused where it cannot be read."""
    found = read_file(folder, name)
    if isinstance(found, Problem):
        raise EditRefused(message("{file} was left as it is", file=name), (found,))
    return found


def _text(name: str, content: bytes) -> tuple[bytes, str]:
    """(byte order mark or nothing, the text)."""
    mark = codecs.BOM_UTF8 if content.startswith(codecs.BOM_UTF8) else b""
    try:
        return mark, content.removeprefix(mark).decode("utf-8")
    except UnicodeDecodeError as error:
        raise EditRefused(_unreadable(name)) from error


def _record(name: str, content: bytes, model: type[R]) -> R:
    record, problems = parse_toml(name, content, model)
    try:
        tomllib.loads(content.decode())
    except (ValueError, RecursionError) as error:
        raise EditRefused(_unreadable(name), problems) from error
    if record is None:
        raise EditRefused(_unreadable(name), problems)
    return record


def _mistakes(name: str, content: bytes, model: type[R]) -> int:
    _, problems = parse_toml(name, content, model)
    return sum(problem.kind is ProblemKind.MISTAKE for problem in problems)


def _unreadable(name: str) -> Message:
    return message(
        "{file} has a mistake and was left as it is; correct it (weeksync check names the line)",
        file=name,
    )


def _written_oddly(name: str) -> Message:
    return message(
        "{file} is written in a way in which just this cannot be changed; it was left as it is: "
        "change it in an editor",
        file=name,
    )


def changed(name: str) -> Message:
    """That a file is no longer what it was when it was read."""
    return message("{file} has changed meanwhile and was left as it is; try again", file=name)
