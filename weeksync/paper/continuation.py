"""Pages for what had no room: under the heading of its day and area, in the same order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.week import IsoWeek
from weeksync.paper.document import Page
from weeksync.paper.flow import Flow
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Mark
from weeksync.paper.sheet import Box, Side
from weeksync.paper.zones import LeftOver, reference


@dataclass(frozen=True, slots=True)
class Rest:
    """What a day, or an area that is no day's, has left over. `heading` stands above it."""

    heading: str
    left: tuple[LeftOver, ...]
    day: date | None = None


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
    flow = Flow(
        layout,
        layout.words.text(message("{page}, continued", page=title)),
        side,
        numbered_from=first_page,
    )
    begins: dict[int, int] = {}
    for at, rest in enumerate(rests):
        heading = rest.heading
        for left in rest.left:
            flow.heading(heading, left.label)
            begins.setdefault(at, flow.number)
            heading = ""
            for entry in left.entries:
                flow.entry(entry)
    return flow.made(kind, week=week, private=private), begins


def references(layout: Layout, places: Sequence[tuple[Box, int]], page: int) -> Iterator[Mark]:
    """The lines at those places that name the page where the rest stands."""
    number = layout.words.language.digits(str(page))
    for box, count in places:
        text = layout.words.text(message("{count} more: page {page}", count=count, page=number))
        yield reference(layout, box, f"{layout.words.onward} {text}")
