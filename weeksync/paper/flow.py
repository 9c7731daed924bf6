"""Things one below the other over as many columns and pages as they need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import field, replace

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.week import IsoWeek
from weeksync.paper.content import Entry
from weeksync.paper.document import Page
from weeksync.paper.entries import Column
from weeksync.paper.headings import page_head, page_head_mm
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Group, Mark, Rule, Tone
from weeksync.paper.sheet import MM_PER_PT, Box, Side


@dataclass(slots=True)
class Flow:
    """Columns of pages that are begun as they are needed.

    `column_em` is how wide a column is at least, in ems; `numbered_from` the number of the first
    page, which is shown on each. `beside` stands in the heading where pages have no number.
    """

    layout: Layout
    title: str
    side: Side = Side.RIGHT
    column_em: float = 18.0
    most_columns: int = 3
    numbered_from: int = 0
    beside: str = ""
    pages: list[list[Mark]] = field(default_factory=list)
    columns: list[Column] = field(default_factory=list)
    at: int = 0

    @property
    def column(self) -> Column:
        """The column that is being filled."""
        if not self.columns:
            self.next_column()
        return self.columns[self.at]

    @property
    def number(self) -> int:
        """The number of the page that is being written."""
        return self.numbered_from + len(self.pages) - 1

    def next_column(self) -> None:
        """Go on at the top of the next column, on a new page after the last one."""
        if self.columns and self.at + 1 < len(self.columns):
            self.at += 1
            return
        area = self.layout.area(self.side)
        beside = self.beside
        if self.numbered_from:
            page = self.layout.words.language.digits(str(self.numbered_from + len(self.pages)))
            beside = self.layout.words.text(message("page {page}", page=page))
        self.pages.append(list(page_head(self.layout, area, self.title, beside)))
        body = area.inset(0, page_head_mm(self.layout), 0, 0)
        wide = int(body.w / (self.column_em * self.layout.style.type_pt * MM_PER_PT))
        boxes = body.columns(max(1, min(self.most_columns, wide)), 5.0)
        self.columns = [Column(self.layout, box) for box in boxes]
        self.at = 0

    def put(self, *marks: Mark) -> None:
        """Marks on the page that is being written."""
        self.pages[-1] += marks

    def room(self, height: float) -> Box:
        """A box of that height, in the next column where this one has no room for it."""
        if height > self.column.left and self.column.y > self.column.box.y:
            self.next_column()
        column = self.column
        box = Box(column.box.x, column.y, column.box.w, height)
        column.y += height
        return box

    def heading(self, text: str, under: str = "") -> None:
        """A heading, and a label below it, that stay with the first thing below them."""
        style = self.layout.style
        needed = style.line_mm() * 3 + style.line_mm(style.label_pt) + 4
        if self.column.left < needed:
            self.next_column()
        column = self.column
        if text:
            if column.y > column.box.y:
                column.y += 2.0
            words = self.layout.write(
                column.box.x, column.y, column.box.w, text, bold=True, role="h2"
            )
            y = words.box.bottom + 0.3
            self.put(words, Rule(column.box.x, y, column.box.right, y, 0.25, Tone.INK))
            column.y = y + 0.8
        if under:
            label = self.layout.label(column.box.x, column.y, column.box.w, under)
            self.put(label)
            column.y = label.box.bottom + 0.4

    def entry(self, entry: Entry) -> None:
        """An entry; one that is higher than a whole column goes on in the next."""
        while not self._put(entry):
            if self.column.y <= self.column.box.y + 1e-6:
                entry = self._part(entry)
                if not entry.text:
                    return
            self.next_column()

    def _put(self, entry: Entry) -> bool:
        column = self.column
        before = len(column.marks)
        if not column.put(entry):
            return False
        self.put(*column.marks[before:], Group((column.items[-1],), "list"))
        return True

    def _part(self, entry: Entry) -> Entry:
        """Write as much of an entry as the column takes; the entry with the rest."""
        text = entry.text
        low, high = 1, len(text)
        trial = Column(self.layout, self.column.box)
        while low < high:
            middle = (low + high + 1) // 2
            trial.y = self.column.y
            if trial.put(replace(entry, text=text[:middle], persons=())):
                low = middle
            else:
                high = middle - 1
        cut = text.rfind(" ", 0, low) if " " in text[:low] and low < len(text) else low
        self._put(replace(entry, text=text[:cut].rstrip(), persons=()))
        return replace(entry, text=text[cut:].strip(), strong="", tick=False)

    def made(
        self,
        kind: str,
        *,
        week: IsoWeek | None = None,
        private: bool = False,
        sides: Sequence[Side] = (),
    ) -> tuple[Page, ...]:
        """The pages, those after the first as continuations; `numbered_from` makes all of them."""
        made = []
        for at, marks in enumerate(self.pages):
            number = self.layout.words.language.digits(str(at + 1))
            title = self.title
            if at:
                title = self.layout.words.text(
                    message("{page}, page {number}", page=self.title, number=number)
                )
            made.append(
                Page(
                    kind=kind,
                    title=title,
                    sheet=self.layout.sheet,
                    side=sides[at] if at < len(sides) else self.side,
                    marks=tuple(marks),
                    week=week,
                    part=max(self.numbered_from - 1, 0) + at,
                    private=private,
                    continuation=bool(self.numbered_from) or at > 0,
                )
            )
        return tuple(made)
