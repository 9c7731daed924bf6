"""What is published: which week lies in which folder, kept in the household's state."""

from __future__ import annotations

import json
import os
from collections.abc import Iterable
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

from weeksync.errors import BuildError
from weeksync.lazy import dataclass
from weeksync.message import message

FILE = "shared.json"
_FORMAT = 1


@dataclass(frozen=True, slots=True)
class SharedPlace:
    """A week that was made for others. Instants are ISO 8601 in UTC, "" where it never was."""

    week: str
    """As `2027-W12`."""
    name: str
    """The name of its folder."""
    published_at: str = ""
    withdrawn_at: str = ""

    @property
    def is_out(self) -> bool:
        """Whether it is published and was not withdrawn since."""
        return bool(self.published_at) and not self.withdrawn_at


def read_register(state: Path) -> tuple[SharedPlace, ...]:
    """Every entry in order; BuildError where the file cannot be read: nothing is published then."""
    place = state / FILE
    try:
        data = json.loads(place.read_text("utf-8"))
        return tuple(_entry(one) for one in data["places"])
    except FileNotFoundError:
        return ()
    except (OSError, ValueError, TypeError, KeyError) as error:
        raise BuildError(
            message(
                "{place} cannot be read ({reason}); move it away, and withdraw what is published "
                "by the name of its folder",
                place=str(place),
                reason=type(error).__name__,
            )
        ) from error


def _entry(data: dict[str, Any]) -> SharedPlace:
    return SharedPlace(**{key: str(value) for key, value in data.items()})


def write_register(state: Path, places: Iterable[SharedPlace]) -> None:
    """Write all entries, whole or not at all."""
    text = json.dumps({"format": _FORMAT, "places": [asdict(one) for one in places]}, indent=1)
    state.mkdir(parents=True, exist_ok=True)
    beside = state / f"{FILE}.new"
    try:
        beside.write_text(text + "\n", "utf-8")
        os.replace(beside, state / FILE)
    except OSError as error:
        raise BuildError(
            message(
                "{place} could not be written ({reason})",
                place=str(state / FILE),
                reason=error.strerror or type(error).__name__,
            )
        ) from error


def standing(places: Iterable[SharedPlace], week: str) -> SharedPlace | None:
    """The entry of a week that was not withdrawn."""
    return next((one for one in places if one.week == week and not one.withdrawn_at), None)


def changed(places: Iterable[SharedPlace], entry: SharedPlace) -> tuple[SharedPlace, ...]:
    """The entries with one of them put in, in place of the one of the same folder."""
    kept = [one for one in places if one.name != entry.name]
    return (*kept, entry)


def withdrawn(entry: SharedPlace, at: str) -> SharedPlace:
    """The entry of a week that is published no longer."""
    return replace(entry, withdrawn_at=at)
