"""Files of the household put back to what they were, where nobody has changed them since."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

from weeksync.errors import EditRefused, HouseholdError
from weeksync.household.disk import Disk
from weeksync.household.editing import content_of, held
from weeksync.household.files import replace_file, sync_folder
from weeksync.household.listing import CONFIG
from weeksync.household.reading import toml_files
from weeksync.lazy import dataclass
from weeksync.message import message


@dataclass(frozen=True, slots=True)
class Changed:
    """The bytes of one file before and after; None where there was none."""

    before: bytes | None
    after: bytes | None


def contents(folder: Path) -> dict[str, bytes]:
    """The bytes of the files a form can change: all in TOML, and the marks. Others are not read."""
    disk = Disk(folder)
    names = [CONFIG, *toml_files(disk), *disk.names("marks", ".csv"), *disk.names("reviews", ".md")]
    return {name: found for name in names if (found := disk.read(name)) is not None}


def differences(before: Mapping[str, bytes], after: Mapping[str, bytes]) -> dict[str, Changed]:
    """The files that differ between two results of `contents`."""
    names = dict.fromkeys((*before, *after))
    return {
        name: Changed(before.get(name), after.get(name))
        for name in names
        if before.get(name) != after.get(name)
    }


def restore(folder: Path, changes: Mapping[str, Changed]) -> None:
    """Put each file back to what it was before; all of them are looked at first.

    EditRefused, and nothing has changed, where one is no longer as the change left it. One that
    is already what it was before may be: by a first attempt that failed at a later file.
    """
    with held(folder):
        for name, one in changes.items():
            if content_of(folder, name) not in (one.after, one.before):
                raise EditRefused(message("{file} has changed since", file=name))
        for name, one in changes.items():
            if one.before is not None:
                replace_file(folder / name, one.before)
            else:
                _remove(folder / name)


def _remove(path: Path) -> None:
    """A file that the change had made."""
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise HouseholdError(
            message(
                "{file} could not be taken away ({reason})",
                file=str(path),
                reason=os.strerror(error.errno or 0),
            )
        ) from error
    sync_folder(path.parent)
