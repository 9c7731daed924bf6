"""The note that a finished night leaves in `state/`: from what, when, and where it is shown."""

from __future__ import annotations

import json
import os

NOTE = "night.json"
"""Its name in the folder of the store."""

FORMAT = 4


class Note:
    """What a night was made from. Places are absolute; instants are seconds since 1970 in UTC.

    No dataclass: that module alone would cost a tenth of a quiet night.
    """

    def __init__(
        self,
        *,
        places: list[str],
        skip: list[str],
        by_date: list[str],
        content: str,
        folders: list[str],
        installed: list[str],
        code: str,
        shown: list[str],
        made: str,
        schema: int,
        at: int,
        until: int,
        clocks: list[str],
        dated: list[str],
        online: list[str],
        sources: list[tuple[str, str, int, int]],
        log: tuple[str, str, int] | None,
        well: bool,
    ) -> None:
        self.places = places
        """The household folder, and what lies outside it: calendars, templates."""
        self.skip = skip
        """Folders inside it that the night itself writes."""
        self.by_date = by_date
        self.content = content
        """`content_print` of all that."""
        self.folders = folders
        """Our own code and templates."""
        self.installed = installed
        self.code = code
        """`code_print` of both."""
        self.shown = shown
        """The folder of the pages, and the store."""
        self.made = made
        """`stat_print` of them as the night left them."""
        self.schema = schema
        """PRAGMA user_version of the store."""
        self.at = at
        """When it was looked at last."""
        self.until = until
        """From when on the same files make other pages: another day, the hours to be planned."""
        self.clocks = clocks
        """What the household's clock says on pages, in each minute from `at` to `until`."""
        self.dated = dated
        """The files that say when it was looked at last."""
        self.online = online
        """The ids of the calendars on servers; addresses and passwords stand elsewhere."""
        self.sources = sources
        """Each calendar's id, its kind as the log says it, and how many objects and entries it
        has."""
        self.log = log
        """The log's file, the level from which on it hears, and its kilobytes."""
        self.well = well
        """Whether an address waits to be asked for after a good night."""

    def looked_again(self, at: int, clocks: list[str], made: str) -> Note:
        """The note after a night that found everything as it was."""
        return Note(**{**vars(self), "at": at, "clocks": clocks, "made": made})

    def written(self) -> bytes:
        """As JSON."""
        return json.dumps({"format": FORMAT, **vars(self)}).encode()


def read(folder: str) -> Note | None:
    """The note in a folder, None where there is none that this version can use."""
    try:
        with open(os.path.join(folder, NOTE), "rb") as file:
            found = json.loads(file.read())
        if not isinstance(found, dict) or found.pop("format", None) != FORMAT:
            return None
        return Note(**found)
    except (OSError, ValueError, TypeError):
        return None
