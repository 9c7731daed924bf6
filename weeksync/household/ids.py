"""Permanent ids written into the household's files where they are missing."""

from __future__ import annotations

import secrets
from pathlib import Path

from weeksync.errors import HouseholdError
from weeksync.household.disk import Disk
from weeksync.household.files import read_file, replace_file
from weeksync.household.reading import toml_files
from weeksync.read import ids_in, with_ids

_SIGNS = "abcdefghijkmnpqrstuvwxyz23456789"
"""Without l, o, 0 and 1, which look alike on paper."""


def write_missing_ids(folder: Path) -> tuple[str, ...]:
    """Gives an id to every entry that lacks one; returns the names of the files changed.

    Nothing else in a file changes. A file that changed meanwhile, that is no TOML or that
    cannot be written is left as it is: `read_household` then makes ids for the run, and says so.
    """
    disk = Disk(folder)
    found = {name: content for name in toml_files(disk) if (content := disk.read(name)) is not None}
    if not any(with_ids(content, set(), suffix) != content for content in found.values()):
        return ()
    taken = {one for content in found.values() for one in ids_in(content)}
    return tuple(name for name, content in found.items() if _write(folder, name, content, taken))


def _write(folder: Path, name: str, content: bytes, taken: set[str]) -> bool:
    new = with_ids(content, taken, suffix)
    if new == content or read_file(folder, name) != content:
        return False
    try:
        replace_file(folder / name, new)
    except HouseholdError:
        return False
    return True


def ids_of(folder: Path) -> set[str]:
    """The ids in use anywhere in the household, as far as its files can be read."""
    disk = Disk(folder)
    return {one for name in toml_files(disk) for one in ids_in(disk.read(name) or b"")}


def suffix() -> str:
    """Four characters that make an id unlike others."""
    return "".join(secrets.choice(_SIGNS) for _ in range(4))
