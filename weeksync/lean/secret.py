"""The password of a calendar, read where `config.toml` says it is, each time anew.

It follows `household.passwords`, which explains what is wrong; a test holds the two together.
Nothing of it is written down anywhere.
"""

from __future__ import annotations

import os
from collections.abc import Collection, Mapping
from typing import Any

from weeksync.lean.doubt import Doubt

COMMAND_SECONDS = 30.0
MOST_BYTES = 64 * 1024


def password(
    calendar: Mapping[str, Any], folder: str, withheld: Collection[str] = ()
) -> str | None:
    """The password of a `[[calendars]]` entry, None where it names none; Doubt for trouble.

    `folder` is the household's: a password file is named from there on, a command runs there. The
    variables in `withheld`, passwords of other calendars, are not handed to the command.
    """
    if name := calendar.get("password_env"):
        if found := os.environ.get(str(name)):
            return found
        raise Doubt
    if name := calendar.get("password_file"):
        return _first_line(_of_file(os.path.join(folder, os.path.expanduser(str(name)))))
    if words := calendar.get("password_command"):
        return _first_line(_of_command([str(one) for one in words], folder, withheld))
    return None


def _first_line(content: bytes) -> str:
    """Spaces may be part of a password; an empty one is none."""
    try:
        line = content.split(b"\n", 1)[0].removesuffix(b"\r").decode()
    except UnicodeDecodeError:
        raise Doubt from None
    if not line:
        raise Doubt
    return line


def _of_file(place: str) -> bytes:
    """Where others can read it too, the whole run has to say so."""
    try:
        if os.stat(place).st_mode & 0o077:
            raise Doubt
        with open(place, "rb") as file:
            return file.read(MOST_BYTES)
    except (OSError, ValueError):
        raise Doubt from None


def _of_command(words: list[str], folder: str, withheld: Collection[str]) -> bytes:
    import subprocess
    import time

    end = time.monotonic() + COMMAND_SECONDS
    try:
        process = subprocess.Popen(  # noqa: S603 - the user's own command, without a shell
            words,
            cwd=folder,
            env={name: value for name, value in os.environ.items() if name not in withheld},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
    except (OSError, ValueError):
        raise Doubt from None
    assert process.stdout is not None  # noqa: S101 - for the type checker
    try:
        with process.stdout as pipe:  # closed before waiting: one that prints on is stopped by it
            output = _read(pipe.fileno(), end)
        status = process.wait(max(0.0, end - time.monotonic()))
    except (TimeoutError, subprocess.TimeoutExpired):
        import signal

        os.killpg(process.pid, signal.SIGKILL)  # with its children, which may hold the pipe
        process.wait()
        raise Doubt from None
    if status:
        raise Doubt
    return output


def _read(number: int, end: float) -> bytes:
    import select
    import time

    output = b""
    while len(output) < MOST_BYTES:
        if not select.select([number], [], [], max(0.0, end - time.monotonic()))[0]:
            raise TimeoutError
        piece = os.read(number, MOST_BYTES)
        if not piece:
            break
        output += piece
    return output
