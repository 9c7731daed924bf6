"""Pages that are laid out, in their order: what is written as HTML and made a PDF."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from weeksync.lazy import dataclass
from weeksync.model.week import IsoWeek
from weeksync.paper.marks import Group, Mark, Words
from weeksync.paper.sheet import Sheet, Side


@dataclass(frozen=True, slots=True)
class Page:
    """One page: what it is, which sheet it is for, on which side it lies, and what is on it.

    `kind` is one of `weeksync.paper.kinds.Kind`; `title` its bookmark. `private` pages hold what is
    only for some, amounts or check-ins: they are never put on one sheet with others. `part` says
    which page of its kind it is: 0 the first or left one, 1 the second; continuations count on.
    """

    kind: str
    title: str
    sheet: Sheet
    side: Side
    marks: tuple[Mark, ...]
    week: IsoWeek | None = None
    part: int = 0
    private: bool = False
    continuation: bool = False

    def with_marks(self, *more: Mark, under: bool = False) -> Page:
        """The page with more on it, `under` what is there or over it."""
        return replace(self, marks=(*more, *self.marks) if under else (*self.marks, *more))

    def words(self) -> Iterator[Words]:
        """Every text on it, in the order in which it is read."""
        return _words(self.marks)


def _words(marks: Iterable[Mark]) -> Iterator[Words]:
    for mark in marks:
        if isinstance(mark, Words):
            yield mark
        elif isinstance(mark, Group):
            yield from _words(mark.marks)


@dataclass(frozen=True, slots=True)
class Document:
    """Pages in order. `language` is a BCP 47 tag; `title` names nobody of the household."""

    title: str
    language: str
    direction: str
    pages: tuple[Page, ...]

    @property
    def private(self) -> bool:
        """Whether any page of it is not for everybody."""
        return any(page.private for page in self.pages)

    @property
    def sizes(self) -> tuple[tuple[float, float], ...]:
        """Width and height of each page in millimetres."""
        return tuple((page.sheet.width_mm, page.sheet.height_mm) for page in self.pages)


def joined(first: Document, others: Iterable[Document]) -> Document:
    """The pages of several documents one after the other, under the title of the first."""
    pages = first.pages
    for one in others:
        pages += one.pages
    return replace(first, pages=pages)
