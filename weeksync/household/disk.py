"""The files of a household folder, as far as they can be read."""

from __future__ import annotations

import hashlib
from dataclasses import field
from pathlib import Path

from weeksync.household.files import read_file
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.problem import Place, Problem, ProblemKind


@dataclass
class Disk:
    """A household folder that is read file by file.

    `problems` says what could not be read, `digests` holds the SHA-256 (hex) of what was.
    """

    folder: Path
    problems: list[Problem] = field(default_factory=list)
    digests: dict[str, str] = field(default_factory=dict)
    unreadable: set[str] = field(default_factory=set)

    def read(self, name: str) -> bytes | None:
        """The bytes of a file; None where there is none or it cannot be read."""
        found = read_file(self.folder, name)
        if isinstance(found, Problem):
            self.problems.append(found)
            self.unreadable.add(name)
            return None
        if found is not None:
            self.digests[name] = hashlib.sha256(found).hexdigest()
        return found

    def names(self, inside: str, ending: str) -> list[str]:
        """The files of a folder in it (or, for "", of itself) that end so, in order.

        Hidden files are left alone: editors and file sync keep their own there.
        """
        try:
            found = sorted(path.name for path in (self.folder / inside).iterdir())
        except FileNotFoundError:
            return []
        except OSError:
            what = message("the folder cannot be read")
            remedy = message("put a folder there that you may read")
            self.problems.append(Problem(ProblemKind.MISTAKE, what, Place(inside), remedy))
            return []
        wanted = [name for name in found if name.endswith(ending) and not name.startswith(".")]
        prefix = f"{inside}/" if inside else ""
        return [prefix + name for name in wanted if self._is_text(prefix, name)]

    def _is_text(self, prefix: str, name: str) -> bool:
        try:
            name.encode()
        except UnicodeEncodeError:  # bytes that are no UTF-8 would break every message
            place = Place(prefix + name.encode(errors="replace").decode())
            what = message("the name of the file is no UTF-8")
            remedy = message("give it another name")
            self.problems.append(Problem(ProblemKind.MISTAKE, what, place, remedy))
            return False
        return True
