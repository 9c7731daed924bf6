"""A password that was typed, put into a file of its own which nobody else may read."""

from __future__ import annotations

import os
from pathlib import Path

from weeksync.errors import HouseholdError
from weeksync.household.files import replace_file
from weeksync.message import message

FOLDER = "passwords"
"""The folder of the household that holds them; it is never packed, and on no page."""


def password_name(folder: Path, source: str) -> str:
    """The name of a file for the password of that calendar; none that is there already."""
    names = (f"{FOLDER}/{source}", *(f"{FOLDER}/{source}-{number}" for number in range(2, 100)))
    return next(one for one in names if not os.path.lexists(folder / one))


def write_password(folder: Path, name: str, password: str) -> None:
    """Write it, with mode 0600 in a folder of mode 0700; HouseholdError where that cannot be."""
    if "\n" in password or "\r" in password:
        raise HouseholdError(
            message("a password is one line; what was typed has a line break in it")
        )
    try:
        (folder / FOLDER).mkdir(mode=0o700, exist_ok=True)
    except OSError as error:
        raise HouseholdError(
            message(
                "{file} could not be written ({reason}); the file is as it was",
                file=str(folder / FOLDER),
                reason=os.strerror(error.errno or 0),
            )
        ) from error
    replace_file(folder / name, f"{password}\n".encode(), mode=0o600)
