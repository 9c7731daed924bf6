"""Passwords of calendars: by environment, file or command, and never in a message.

Those of the environment are taken out of it before any program is started, or the user's own
commands, a browser that prints and whatever these start would all be handed them.

No error of a library is chained here: what it carries (a command's output, the bytes that could
not be decoded) may be the password itself.
"""

from __future__ import annotations

import errno
import os
import stat
import time
from collections.abc import Iterable
from pathlib import Path

from weeksync.errors import SourceRefused
from weeksync.message import Message, message
from weeksync.model.config import CalendarSource
from weeksync.model.problem import Place, Problem, ProblemKind

COMMAND_SECONDS = 30.0
"""How long a password command may take."""
MOST_BYTES = 64 * 1024
"""More than that is no password."""

_WITHHELD: dict[str, str] = {}
"""Variable → password, of those that are no longer in our environment."""


def withhold_passwords(calendars: Iterable[CalendarSource]) -> None:
    """Take the variables that `password_env` names out of the environment of this process, and so
    of every program that it starts; `password` knows them still."""
    for one in calendars:
        found = os.environ.pop(one.password_env, None) if one.password_env else None
        if found is not None:
            _WITHHELD[one.password_env] = found


def password(
    source: CalendarSource, folder: Path, *, command_seconds: float = COMMAND_SECONDS
) -> str | None:
    """The password of a calendar, None where it has none.

    `password_file` is taken from `folder` (the household's) on, its first line; the command is
    run there without a shell, and the first line of what it prints counts. SourceRefused where
    there is no password to be had, with what to do.
    """
    if source.password_env:
        return _from_environment(source)
    if source.password_file:
        return _from_file(source, folder)
    if source.password_command:
        return _from_command(source, folder, command_seconds)
    return None


def password_problems(source: CalendarSource, folder: Path) -> tuple[Problem, ...]:
    """A notice where others than the owner may read the password file."""
    if not source.password_file:
        return ()
    try:
        mode = _path(source, folder).stat().st_mode
    except (OSError, RuntimeError):
        return ()
    if not stat.S_IMODE(mode) & 0o077:
        return ()
    return (
        Problem(
            ProblemKind.NOTICE,
            message("others can read the password file {file}", file=source.password_file),
            Place(source=source.id),
            message("chmod 600 {file} takes that away", file=source.password_file),
        ),
    )


def _refused(source: CalendarSource, what: Message) -> SourceRefused:
    return SourceRefused(source.id, what)


def _path(source: CalendarSource, folder: Path) -> Path:
    return folder / Path(source.password_file).expanduser()


def _from_environment(source: CalendarSource) -> str:
    found = os.environ.get(source.password_env) or _WITHHELD.get(source.password_env, "")
    if not found:
        raise _refused(
            source,
            message(
                "the environment variable that password_env names is not set; set it, in cron too",
            ),
        )
    return found


def _from_file(source: CalendarSource, folder: Path) -> str:
    try:
        with _path(source, folder).open("rb") as file:
            content = file.read(MOST_BYTES)
    except (OSError, RuntimeError, ValueError) as error:
        number = error.errno if isinstance(error, OSError) else None
        raise _refused(
            source,
            message(
                "the password file {file} cannot be read ({reason}); "
                "write the password into its first line",
                file=source.password_file,
                reason=os.strerror(number or errno.EINVAL),
            ),
        ) from None
    found = _first_line(content)
    if found is None:
        raise _refused(
            source,
            message(
                "the first line of the password file {file} is no text; "
                "write the password there in UTF-8",
                file=source.password_file,
            ),
        )
    return found


def _first_line(content: bytes) -> str | None:
    """The first line without its end; spaces may be part of a password. None where empty."""
    line = content.split(b"\n", 1)[0].removesuffix(b"\r")
    try:
        return line.decode("utf-8") or None
    except UnicodeDecodeError:
        return None


def _from_command(source: CalendarSource, folder: Path, seconds: float) -> str:
    # Only the program is named in messages: its arguments may be secret.
    program = Path(source.password_command[0]).name
    try:
        status, output = _run(source.password_command, folder, seconds)
    except (OSError, ValueError):
        raise _refused(
            source,
            message(
                "the password command {program} cannot be run; write its whole path",
                program=program,
            ),
        ) from None
    if status is None:
        raise _refused(
            source,
            message(
                "the password command {program} took more than {seconds} s; "
                "it must not ask anything",
                program=program,
                seconds=round(seconds),
            ),
        )
    found = _first_line(output) if status == 0 else None
    if found is None:
        raise _refused(
            source,
            message(
                "the password command {program} gave no password (status {status}); "
                "try it in the household folder",
                program=program,
                status=status,
            ),
        )
    return found


def _run(command: tuple[str, ...], folder: Path, seconds: float) -> tuple[int | None, bytes]:
    """(exit status, None where it took too long; the first MOST_BYTES of what it printed)."""
    import signal
    import subprocess

    deadline = time.monotonic() + seconds
    process = subprocess.Popen(  # noqa: S603 - the user's own command, as a list, without a shell
        command,
        cwd=folder,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    assert process.stdout is not None  # noqa: S101 - for the type checker
    try:
        with process.stdout as pipe:  # closed before waiting: one that prints on is stopped by it
            output = _read(pipe.fileno(), deadline)
        status = process.wait(max(0.0, deadline - time.monotonic()))
    except (TimeoutError, subprocess.TimeoutExpired):
        os.killpg(process.pid, signal.SIGKILL)  # with its children, which may hold the pipe
        process.wait()
        return None, b""
    return status, output


def _read(number: int, deadline: float) -> bytes:
    import select

    output = b""
    while len(output) < MOST_BYTES:
        ready, _, _ = select.select([number], [], [], max(0.0, deadline - time.monotonic()))
        if not ready:
            raise TimeoutError
        piece = os.read(number, MOST_BYTES)
        if not piece:
            break
        output += piece
    return output
