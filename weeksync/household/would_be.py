"""What would be wrong if a household file said something else: asked before it is written."""

from __future__ import annotations

from collections import Counter
from dataclasses import field
from pathlib import Path

from weeksync.household.disk import Disk
from weeksync.household.reading import mistakes_of
from weeksync.lazy import dataclass
from weeksync.model.problem import Problem


@dataclass
class WouldBe(Disk):
    """A household folder in which some files say something else than on the disk."""

    instead: dict[str, bytes] = field(default_factory=dict)

    def read(self, name: str) -> bytes | None:
        """The bytes that the file would have."""
        return self.instead[name] if name in self.instead else super().read(name)

    def names(self, inside: str, ending: str) -> list[str]:
        """The files of a folder, with those that would be made."""
        prefix = f"{inside}/" if inside else ""
        more = {
            name
            for name in self.instead
            if name.startswith(prefix) and "/" not in name[len(prefix) :] and name.endswith(ending)
        }
        return sorted({*super().names(inside, ending), *more})


def new_mistakes(folder: Path, name: str, content: bytes) -> tuple[Problem, ...]:
    """The mistakes, in any file, that are there once `name` has that content and are not now.

    A mistake that only moves to another line is not new; one of which there are more than before
    is told for each that is too many, the last ones.
    """
    before = Counter(_said(one) for one in mistakes_of(Disk(folder)))
    found = []
    for one in mistakes_of(WouldBe(folder, instead={name: content})):
        if before[_said(one)]:
            before[_said(one)] -= 1
        else:
            found.append(one)
    return tuple(found)


def _said(problem: Problem) -> tuple[str, str]:
    return problem.place.file, str(problem.what)
