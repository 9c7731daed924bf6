"""The demo: an invented household that ships inside the package, and how to put it down.

Its files are data, not code: everything that reads a household folder reads this one too.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import UTC, datetime
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from weeksync.errors import BuildError
from weeksync.message import message

NOW = datetime(2027, 3, 24, 6, 40, tzinfo=UTC)
"""The instant the demo plays at: Wednesday morning of 2027-W12, 06:40 in its zone."""

_CONFIG = "config.toml"
_LOCALE = b'locale = "en_GB"'


def copy_to(folder: Path, locale: str = "") -> Path:
    """Write the demo household into `folder` and return it; a demo that is there starts afresh.

    With `locale` it has that one in place of its own; its titles stay English.

    A household counts as the demo's as long as its name in `config.toml` is: whoever gives it
    another name has made it their own. A folder that holds anything else is left alone, with
    BuildError; so is a place that cannot be written.
    """
    source = files(__name__) / "household"
    try:
        if not _is_free(folder, source):
            raise BuildError(
                message(
                    "{folder} holds something that is not the demo household; name an empty folder",
                    folder=str(folder),
                )
            )
        for inside, content in _contents(source):
            if locale and inside == _CONFIG:
                content = content.replace(_LOCALE, f'locale = "{locale}"'.encode(), 1)
            target = folder / inside
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
    except OSError as error:
        raise BuildError(
            message(
                "{folder} cannot be written ({reason}); name another folder",
                folder=str(folder),
                reason=error.strerror or type(error).__name__,
            )
        ) from error
    return folder


def _is_free(folder: Path, source: Traversable) -> bool:
    if not folder.exists():
        return True
    if not folder.is_dir():
        return False
    if not any(folder.iterdir()):
        return True
    theirs = folder / _CONFIG
    return theirs.is_file() and _name(theirs) == _name(source / _CONFIG)


def _name(config: Traversable | Path) -> str | None:
    """The household's name in a `config.toml`; None where none can be read."""
    try:
        household = tomllib.loads(config.read_text(encoding="utf-8")).get("household")
    except (OSError, ValueError):
        return None
    name = household.get("name") if isinstance(household, dict) else None
    return name if isinstance(name, str) else None


def _contents(source: Traversable) -> Iterator[tuple[str, bytes]]:
    """(POSIX path inside the household, bytes) of every file, `config.toml` first.

    First, so that a copy that was cut short is known as the demo's and can be repeated.
    """
    found = dict(_walk(source, ""))
    yield _CONFIG, found.pop(_CONFIG)
    yield from sorted(found.items())


def _walk(folder: Traversable, prefix: str) -> Iterator[tuple[str, bytes]]:
    for entry in folder.iterdir():
        inside = f"{prefix}{entry.name}"
        if entry.is_dir():
            yield from _walk(entry, f"{inside}/")
        else:
            yield inside, entry.read_bytes()
