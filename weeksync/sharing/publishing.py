"""Where shared weeks lie: each in a folder of its own, whose name tells nothing of the week.

Folders are made whole beside their place and moved in; what stops on the way leaves nothing. The
times of the files are set to one and the same, since they would tell when somebody was at it.
"""

from __future__ import annotations

import os
import re
import secrets
import shutil
import subprocess
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from weeksync.errors import BuildError
from weeksync.message import message

_NAME = re.compile(r"[0-9a-f]{16}")
_LEFT_OVER = re.compile(r"\.[0-9a-f]{16}\.(?:new|old)")
"""What a run that was stopped in the middle leaves beside the folders."""

_SAME_TIME = 946_684_800
"""Midnight UTC of 1 January 2000, for all files."""

_LONGEST = 600.0
"""Seconds that the command for publishing may take."""


def new_name() -> str:
    """A name for the folder of a week, made by chance: 64 bits that nobody guesses."""
    return secrets.token_hex(8)


def put(folder: Path, name: str, files: Mapping[str, bytes]) -> Path:
    """Write the files into `folder/name`, in place of what was there; BuildError if that fails."""
    place, made = folder / name, folder / f".{name}.new"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _tidy(folder)
        made.mkdir()
        for file, content in files.items():
            (made / file).write_bytes(content)
            os.utime(made / file, (_SAME_TIME, _SAME_TIME))
        os.utime(made, (_SAME_TIME, _SAME_TIME))
        before = folder / f".{name}.old"
        if place.exists():
            place.rename(before)
        try:
            made.rename(place)
        except OSError:
            if before.exists():
                before.rename(place)
            raise
        _remove(before)
    except OSError as error:
        with suppress(OSError):
            _remove(made)
        raise BuildError(
            message(
                "the shared week could not be written to {place} ({reason}); what was there is "
                "still there",
                place=str(place),
                reason=error.strerror or type(error).__name__,
            )
        ) from error
    return place


def files_in(place: Path) -> dict[str, bytes]:
    """The files of a folder as `put` wrote them; {} where there is none."""
    if not place.is_dir():
        return {}
    return {one.name: one.read_bytes() for one in sorted(place.iterdir()) if one.is_file()}


def take_away(folder: Path, name: str) -> bool:
    """Remove a week's folder; whether there was one. BuildError where it cannot be removed."""
    place = folder / name
    if not _NAME.fullmatch(name) or not folder.is_dir():
        return False
    there = place.is_dir()
    try:
        _tidy(folder)
        _remove(place)
    except OSError as error:
        raise BuildError(
            message(
                "{place} could not be removed ({reason}); remove it by hand",
                place=str(place),
                reason=error.strerror or type(error).__name__,
            )
        ) from error
    return there


def names_in(folder: Path) -> tuple[str, ...]:
    """The names of the weeks that lie in a folder, known or not."""
    if not folder.is_dir():
        return ()
    found = (one.name for one in folder.iterdir() if one.is_dir() and _NAME.fullmatch(one.name))
    return tuple(sorted(found))


def _tidy(folder: Path) -> None:
    """Remove what a stopped run left: an older version must not stay published under a dot."""
    for one in list(folder.iterdir()):
        if _LEFT_OVER.fullmatch(one.name):
            _remove(one)


def _remove(place: Path) -> None:
    if place.is_symlink():
        place.unlink()
    elif place.exists():
        shutil.rmtree(place)


def run(command: Sequence[str], folder: Path) -> None:
    """Run the user's command for publishing, {folder} in its words replaced; without a shell.

    BuildError where there is no such program, it fails, or takes longer than ten minutes.
    """
    words = [word.replace("{folder}", str(folder)) for word in command]
    try:
        ended = subprocess.run(  # noqa: S603 - the user's own command, as a list, without a shell
            words, stdin=subprocess.DEVNULL, capture_output=True, timeout=_LONGEST, check=False
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        reason = getattr(error, "strerror", None) or type(error).__name__
        raise _failed(words[0], reason) from error
    if ended.returncode:
        said = ended.stderr.decode("utf-8", "replace").strip().splitlines()
        raise _failed(words[0], _without(words[1:], said[-1]) if said else str(ended.returncode))


def _without(words: Sequence[str], said: str) -> str:
    """What the command said, without its own words: one of them may be an address with a token."""
    for word in sorted(words, key=len, reverse=True):
        said = said.replace(word, "…") if len(word) > 3 else said
    return said[:200]


def _failed(program: str, reason: str) -> BuildError:
    return BuildError(
        message(
            "the command “{program}” of publish_command did not do its work ({reason}); the folder "
            "itself is up to date, so run it again",
            program=program,
            reason=reason,
        )
    )
