"""Which files make up a household: what is taken along when it moves, and what stays."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from weeksync.household.listing import CONFIG
from weeksync.household.reading import MODELS
from weeksync.lazy import dataclass
from weeksync.model.config import CalendarSource, Config

_YEAR_FILE = re.compile(r"tasks-[0-9]{4}\.toml", re.ASCII)
_KINDS = {
    "weeks": ".toml",
    "marks": ".csv",
    "check-ins": ".md",
    "reviews": ".md",
    "archive": ".json",
    "snapshots": ".json",
    "sent": ".jsonl",
}
"""The folders of a household, and how the names of their files end."""
_STATE = "state"
"""Passwords of devices, keys, and copies of calendars that can be pulled again."""


@dataclass(frozen=True, slots=True)
class Portable:
    """What belongs to a household, by its `config.toml`.

    `calendars` and `templates` are POSIX paths from the household folder on ("" is the folder
    itself), `never` what is left behind whatever it is called: passwords, keys, pages.
    """

    calendars: frozenset[str]
    templates: str | None
    never: frozenset[str]

    @classmethod
    def of(cls, config: Config) -> Portable:
        """By the calendars, the templates and the secrets that the configuration names."""
        calendars = (inside(one.path) for one in config.calendars if one.path)
        secret = [one.password_file for one in config.calendars]
        secret += [config.serve.certificate, config.serve.certificate_key, config.site.output]
        never = {_STATE, *(place for one in secret if one and (place := inside(one)))}
        return cls(
            frozenset(one for one in calendars if one is not None),
            inside(config.site.templates) or None,
            frozenset(never),
        )

    def has(self, name: str) -> bool:
        """Whether the file of that name (`weeks/2027-W12.toml`) is one of the household's."""
        parts = PurePosixPath(name).parts
        if any(part.startswith(".") for part in parts) or self._is_left(name):
            return False
        if name == CONFIG or name in MODELS or _YEAR_FILE.fullmatch(name):
            return True
        if len(parts) == 2 and parts[0] in _KINDS and name.endswith(_KINDS[parts[0]]):
            return True
        if self.templates is not None and name.startswith(f"{self.templates}/"):
            return True
        return name in self.calendars or (
            name.lower().endswith(".ics") and any(_lies_in(name, one) for one in self.calendars)
        )

    def _is_left(self, name: str) -> bool:
        return any(name == one or name.startswith(f"{one}/") for one in self.never)

    def files(self, folder: Path) -> list[str]:
        """The files of the household in `folder`, by their names; links to files are followed.

        OSError where a folder cannot be listed.
        """
        return sorted(name for name in _walk(folder, "", self, frozenset()) if self.has(name))

    def may_hold(self, name: str) -> bool:
        """Whether files of the household may lie in the folder of that name or below."""
        if PurePosixPath(name).name.startswith(".") or self._is_left(name):
            return False
        places = [*self.calendars, *([self.templates] if self.templates is not None else [])]
        below = any(_lies_in(name, one) or name == one for one in places)
        return below or name in _KINDS or any(_lies_in(one, name) for one in places)


def inside(path: str) -> str | None:
    """A path as a name inside the household folder ("" is the folder); None where it leads out."""
    if path.startswith(("/", "~")):
        return None
    name = os.path.normpath(path) if path else ""
    if name == ".." or name.startswith("../"):
        return None
    return "" if name == "." else name


def outside(config: Config) -> tuple[CalendarSource, ...]:
    """The calendars on disk that lie outside the household folder."""
    return tuple(one for one in config.calendars if one.path and inside(one.path) is None)


def _lies_in(name: str, folder: str) -> bool:
    return name.startswith(f"{folder}/") if folder else True


def _walk(
    folder: Path, prefix: str, portable: Portable, above: frozenset[tuple[int, int]]
) -> Iterator[str]:
    about = folder.stat()
    identity = (about.st_dev, about.st_ino)
    if identity in above:
        return  # a link back to a folder that it lies in
    for entry in os.scandir(folder):
        name = f"{prefix}{entry.name}"
        if not entry.is_dir():
            yield name
        elif portable.may_hold(name):
            yield from _walk(folder / entry.name, f"{name}/", portable, above | {identity})
