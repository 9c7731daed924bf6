"""Pages for what had no room: under the heading of its day and area, in the same order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from weeksync.message import message
from weeksync.model.week import IsoWeek
from weeksync.paper.content import Entry
from weeksync.paper.document import Page
from weeksync.paper.entries import Column
from weeksync.paper.headings import page_head, page_head_mm
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Group, Mark, Rule, Tone
from weeksync.paper.sheet import MM_PER_PT, Box, Side
from weeksync.paper.zones import LeftOver, reference

COLUMN_EM = 18.0
"""Columns are at least that many ems wide."""


@dataclass(frozen=True, slots=True)
class Rest:
    """What a day, or an area that is no day's, has left over. `heading` stands above it."""

    heading: str
    left: tuple[LeftOver, ...]
    day: date | None = None

    @property
    def count(self) -> int:
        """How many entries it holds."""
        return sum(len(one.entries) for one in self.left)


@dataclass(slots=True)
class _Writer:
    """Columns of pages that are begun as they are needed."""

    layout: Layout
    title: str
    first_page: int
    side: Side
    pages: list[list[Mark]] = field(default_factory=list)
    columns: list[Column] = field(default_factory=list)
    at: int = 0

    @property
    def column(self) -> Column:
        return self.columns[self.at]

    @property
    def number(self) -> int:
        """The number of the page that is being written."""
        return self.first_page + len(self.pages) - 1

    def next_column(self) -> None:
        if self.columns and self.at + 1 < len(self.columns):
            self.at += 1
            return
        area = self.layout.area(self.side)
        number = self.layout.words.language.digits(str(self.first_page + len(self.pages)))
        beside = self.layout.words.text(message("page {page}", page=number))
        self.pages.append(list(page_head(self.layout, area, self.title, beside)))
        body = area.inset(0, page_head_mm(self.layout), 0, 0)
        em = self.layout.style.type_pt * MM_PER_PT
        count = max(1, min(3, int(body.w / (COLUMN_EM * em))))
        self.columns = [Column(self.layout, box) for box in body.columns(count, 5.0)]
        self.at = 0

    def heading(self, text: str, under: str, first: Entry) -> None:
        """A heading that stands with the first thing below it."""
        style = self.layout.style
        needed = style.line_mm() * 3 + style.line_mm(style.label_pt) + 4
        if not self.columns or self.column.left < needed:
            self.next_column()
        column, page = self.column, self.pages[-1]
        if text:
            if column.y > column.box.y:
                column.y += 2.0
            words = self.layout.write(
                column.box.x, column.y, column.box.w, text, bold=True, role="h2"
            )
            page.append(words)
            y = words.box.bottom + 0.3
            page.append(Rule(column.box.x, y, column.box.right, y, 0.25, Tone.INK))
            column.y = y + 0.6
        if under:
            label = self.layout.label(column.box.x, column.y, column.box.w, under)
            page.append(label)
            column.y = label.box.bottom + 0.4

    def entry(self, entry: Entry) -> None:
        """An entry; one that is higher than a whole column goes on in the next."""
        while not self._put(entry):
            fresh = self.column.y <= self.column.box.y + 1e-6
            if fresh:
                entry = self._part(entry)
                if not entry.text:
                    return
            self.next_column()

    def _put(self, entry: Entry) -> bool:
        column = self.column
        before = len(column.marks)
        if not column.put(entry):
            return False
        self.pages[-1] += column.marks[before:]
        self.pages[-1].append(Group((column.items[-1],), "list"))
        return True

    def _part(self, entry: Entry) -> Entry:
        """Write as many words of an entry as the column takes; the entry with the rest."""
        words = entry.text.split()
        low, high = 1, len(words)
        trial = Column(self.layout, self.column.box)
        while low < high:
            middle = (low + high + 1) // 2
            trial.y = self.column.y
            if trial.put(replace(entry, text=" ".join(words[:middle]), persons=())):
                low = middle
            else:
                high = middle - 1
        self._put(replace(entry, text=" ".join(words[:low]), persons=()))
        return replace(entry, text=" ".join(words[low:]), strong="", tick=False)


def continuation(
    layout: Layout,
    rests: Sequence[Rest],
    *,
    kind: str,
    title: str,
    first_page: int,
    week: IsoWeek | None,
    side: Side = Side.RIGHT,
    private: bool = False,
) -> tuple[tuple[Page, ...], dict[int, int]]:
    """(the pages, which page each of `rests` begins on), numbered from `first_page` on."""
    writer = _Writer(
        layout, layout.words.text(message("{page}, continued", page=title)), first_page, side
    )
    begins: dict[int, int] = {}
    for at, rest in enumerate(rests):
        heading = rest.heading
        for left in rest.left:
            writer.heading(heading, left.label, left.entries[0])
            begins.setdefault(at, writer.number)
            heading = ""
            for entry in left.entries:
                writer.entry(entry)
    pages = tuple(
        Page(
            kind=kind,
            title=layout.words.text(message("{page}, continued", page=title)),
            sheet=layout.sheet,
            side=side,
            marks=tuple(marks),
            week=week,
            part=first_page - 1 + number,
            private=private,
            continuation=True,
        )
        for number, marks in enumerate(writer.pages)
    )
    return pages, begins


def references(layout: Layout, places: Sequence[tuple[Box, int]], page: int) -> Iterator[Mark]:
    """The lines at those places that name the page where the rest stands."""
    number = layout.words.language.digits(str(page))
    for box, count in places:
        text = layout.words.text(message("{count} more: page {page}", count=count, page=number))
        yield reference(layout, box, f"→ {text}")
