"""Pages that are filled area by area, with the references and the continuation they need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.week import IsoWeek
from weeksync.paper.continuation import Rest, continuation, references
from weeksync.paper.days import DrawnDay
from weeksync.paper.document import Page
from weeksync.paper.layout import Layout
from weeksync.paper.margin import DrawnMargin
from weeksync.paper.marks import Mark
from weeksync.paper.sheet import Box, Side
from weeksync.paper.zones import Filled


@dataclass(slots=True)
class Pages:
    """What was drawn, page by page, and what has no room."""

    layout: Layout
    pages: list[list[Mark]] = field(default_factory=list)
    rests: list[tuple[int, Rest, tuple[tuple[Box, int], ...]]] = field(default_factory=list)
    """(index of the page, what is left over, where the references go)."""

    def begin(self, marks: Sequence[Mark]) -> None:
        """A new page with those marks on it."""
        self.pages.append(list(marks))

    def put(self, *marks: Mark) -> None:
        """Marks on the page begun last."""
        self.pages[-1] += marks

    def day(self, drawn: DrawnDay) -> None:
        """A day, its heading for the continuation being its whole date."""
        self.pages[-1] += drawn.marks
        if drawn.left:
            heading = self.layout.words.language.date(drawn.content.date, "full")
            rest = Rest(heading, drawn.left, drawn.content.date)
            self.rests.append((len(self.pages) - 1, rest, drawn.references))

    def margin(self, drawn: DrawnMargin) -> None:
        """The box beside the days."""
        self.pages[-1] += drawn.marks
        for left, place in zip(drawn.left, drawn.references, strict=True):
            self.rests.append((len(self.pages) - 1, Rest("", (left,)), (place,)))

    def area(self, filled: Filled, heading: str) -> None:
        """An area that was filled, under `heading` in the continuation."""
        self.pages[-1] += filled.marks
        if filled.left is not None and filled.reference is not None:
            place = (filled.reference, len(filled.left.entries))
            self.rests.append((len(self.pages) - 1, Rest(heading, (filled.left,)), (place,)))

    def made(
        self,
        kind: str,
        title: str,
        sides: Sequence[Side],
        *,
        week: IsoWeek | None,
        private: bool = False,
        titles: Sequence[str] = (),
    ) -> tuple[Page, ...]:
        """The pages with their references, and the continuation behind them.

        The last one of `sides` holds for all further pages. `titles` are the bookmarks, where
        they are not `title` and its number.
        """
        layout = self.layout
        more, begins = continuation(
            layout,
            [rest for _, rest, _ in self.rests],
            kind=kind,
            title=title,
            first_page=len(self.pages) + 1,
            week=week,
            private=private,
        )
        for number, (at, _, places) in enumerate(self.rests):
            self.pages[at] += references(layout, places, begins[number])
        made = tuple(
            Page(
                kind=kind,
                title=titles[at] if at < len(titles) else self._numbered(title, at),
                sheet=layout.sheet,
                side=sides[min(at, len(sides) - 1)],
                marks=tuple(marks),
                week=week,
                part=at,
                private=private,
            )
            for at, marks in enumerate(self.pages)
        )
        return made + more

    def _numbered(self, title: str, at: int) -> str:
        if at == 0:
            return title
        number = self.layout.words.language.digits(str(at + 1))
        return self.layout.words.text(message("{page}, page {number}", page=title, number=number))
