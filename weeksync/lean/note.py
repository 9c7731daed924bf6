"""The note that a finished night leaves in `state/`: from what, when, and where it is shown."""

from __future__ import annotations

import json
import os
from dataclasses import asdict, dataclass, fields
from typing import Any

NOTE = "night.json"
"""Its name in the folder of the store."""

FORMAT = 2


@dataclass(frozen=True, slots=True)
class Note:
    """What a night was made from. Places are absolute; instants are seconds since 1970 in UTC."""

    places: list[str]
    """The household folder, and what lies outside it: calendars, templates."""
    skip: list[str]
    """Folders inside it that the night itself writes."""
    by_date: list[str]
    content: str
    """`content_print` of all that."""
    folders: list[str]
    """Our own code and templates."""
    installed: list[str]
    code: str
    """`code_print` of both."""
    shown: list[str]
    """The folder of the pages, and the store."""
    made: str
    """`stat_print` of them as the night left them."""
    schema: int
    """PRAGMA user_version of the store."""
    at: int
    """When it was looked at last."""
    until: int
    """From when on the same files make other pages: another day, the hours that can be planned."""
    clocks: list[str]
    """What the household's clock says on pages, in each minute from `at` to `until`."""
    dated: list[str]
    """The files that say when it was looked at last."""
    online: list[str]
    """The ids of the calendars on servers; their addresses and passwords stand elsewhere."""

    def written(self) -> bytes:
        """As JSON."""
        return json.dumps({"format": FORMAT, **asdict(self)}).encode()


def read(folder: str) -> Note | None:
    """The note in a folder, None where there is none that this version can use."""
    try:
        with open(os.path.join(folder, NOTE), "rb") as file:
            found: Any = json.loads(file.read())
        if not isinstance(found, dict) or found.pop("format", None) != FORMAT:
            return None
        if set(found) != {one.name for one in fields(Note)}:
            return None
        return Note(**found)
    except (OSError, ValueError, TypeError):
        return None
