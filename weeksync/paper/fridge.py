"""The week for the wall: a row a day, a column for everybody and one for each person."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.model.spread import Day, Spread
from weeksync.paper.content import Contents, DayContent, Entry
from weeksync.paper.document import Page
from weeksync.paper.headings import page_head, page_head_mm
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Mark, Rule, Tone
from weeksync.paper.pages_of import Pages
from weeksync.paper.sheet import MM_PER_PT, Box, Side
from weeksync.paper.zones import Zone, fill, heights

COLUMN_EM = 9.5
"""The least width of a person's column, in ems; who has none stands in the first one."""

GAP_MM = 2.0

LEAST_ROW_LINES = 2.4
"""A day's row is at least that many lines of print high."""


def fridge_pages(layout: Layout, spread: Spread, side: Side = Side.RIGHT) -> tuple[Page, ...]:
    """What is fixed in the week on one page, and its continuation.

    It is for all to read, so of a common view. Tasks and money are not on it: a
    wall does not tick them, and visitors read it.
    """
    words = layout.words
    area = layout.area(side)
    first, last = spread.days[0].date, spread.days[-1].date
    pages = Pages(layout)
    pages.begin(page_head(layout, area, words.week_label(first), words.span(first, last)))
    body = area.inset(0, page_head_mm(layout), 0, 0)
    days_w = layout.measure.width_mm("88", layout.style.head_pt, bold=True) + 11
    persons = _persons(layout, spread, body.w - days_w)
    columns = Box(body.x + days_w, body.y, body.w - days_w, body.h).columns(
        len(persons) + 1, GAP_MM
    )
    names = [words.text(message("Everybody")), *(words.person(one).name for one in persons)]
    size, width = layout.style.type_pt, columns[0].w
    heads = [
        words.person(one).mark
        if one and not layout.measure.fits(name, size, width, bold=True)
        else name
        for one, name in zip(("", *persons), names, strict=True)
    ]
    line = layout.style.line_mm()
    for box, name in zip(columns, heads, strict=True):
        pages.put(layout.write(box.x, box.y, box.w, name, bold=True, role="h2", most=1))
    pages.put(*_between(columns))
    grid = body.inset(0, line + 1.5, 0, 0)
    if grid.h < 7 * LEAST_ROW_LINES * line:
        raise UsageError(
            message(
                "a sheet {width} mm wide and {height} mm high is too small for a week on the "
                "wall; name a larger one, as --size A4",
                width=round(layout.sheet.width_mm, 1),
                height=round(layout.sheet.height_mm, 1),
            )
        )
    cells = [
        [tuple(_entries(layout, one)) for one in _split(layout, day, persons)]
        for day in spread.days
    ]
    zones = [
        [Zone("cell", "", cells[at][column], 0, 1.0) for at in range(7)]
        for column in range(len(columns))
    ]
    tall = heights(layout, columns[0].w, grid.h, zones)[0]
    y = grid.y
    for at, (day, height) in enumerate(zip(spread.days, tall, strict=True)):
        row = Box(body.x, y, body.w, height)
        pages.put(*_day(layout, row, days_w, Contents(words).day(day)))
        title = words.language.date(day.date, "full")
        for column, box in enumerate(columns):
            place = Box(box.x, y, box.w, height)
            filled = fill(layout, place, zones[column][at], rule=False)
            pages.area(filled, f"{title} – {names[column]}")
        y += height
    label = words.text(message("{week}: for the wall", week=words.week_label(first)))
    return pages.made(Kind.FRIDGE.value, label, (side,), week=spread.week)


def _between(columns: Iterable[Box]) -> list[Mark]:
    return [
        Rule(box.x - GAP_MM / 2, box.y, box.x - GAP_MM / 2, box.bottom, 0.12) for box in columns
    ]


def _day(layout: Layout, row: Box, width: float, content: DayContent) -> list[Mark]:
    """The heading of a row."""
    words, style = layout.words, layout.style
    marks: list[Mark] = [Rule(row.x, row.y, row.right, row.y, 0.25, Tone.INK)]
    inside = Box(row.x, row.y, width - GAP_MM - 0.5, row.h)
    if (content.weekend or content.holiday) and not style.ink_saving:
        marks.append(Fill(inside, Tone.TINT))
    name = words.language.weekday(content.date.weekday(), "abbreviated")
    number = words.day_number(content.date)
    head = style.line_mm(style.head_pt)
    x, y, width = row.x + 0.8, row.y + 0.4, inside.w - 0.8
    if row.h < head + style.line_mm() + 0.5:
        marks.append(layout.write(x, y, width, name, strong=number, role="h2", most=1))
        return marks
    marks.append(layout.write(x, y, width, number, pt=style.head_pt, bold=True, role="h2"))
    marks.append(layout.write(x, y + head - 0.6, width, name, bold=True, most=1))
    return marks


def _persons(layout: Layout, spread: Spread, width: float) -> tuple[str, ...]:
    """Who has a column: those of the household who are on the week, as many as fit."""
    least = COLUMN_EM * layout.style.type_pt * MM_PER_PT + GAP_MM
    fit = max(int(width / least) - 1, 0)
    counts: dict[str, int] = {}
    for day in spread.days:
        for person in _alone(day):
            counts[person] = counts.get(person, 0) + 1
    known = [one.id for one in layout.words.config.people if one.id in counts]
    kept = set(sorted(known, key=lambda one: -counts[one])[:fit])
    return tuple(one for one in known if one in kept)


def _alone(day: Day) -> list[str]:
    """Whose alone the things of a day are, a name for each thing."""
    found = [one.occurrence.persons for one in day.occurrences]
    found += [(one.child,) for one in day.lessons]
    return [persons[0] for persons in found if len(persons) == 1]


def _split(layout: Layout, day: Day, persons: tuple[str, ...]) -> list[tuple[Day, str]]:
    """The day in as many parts as there are columns: for everybody, then person by person."""

    def of(person: str) -> Day:
        return replace(
            day,
            occurrences=tuple(
                one for one in day.occurrences if one.occurrence.persons == (person,)
            ),
            tasks=(),
            lessons=tuple(one for one in day.lessons if one.child == person),
            money=(),
            own=(),
            breaks=(),
            priorities=(),
        )

    theirs = [of(person) for person in persons]
    taken = {(person,) for person in persons}
    rest = replace(
        day,
        money=(),
        occurrences=tuple(one for one in day.occurrences if one.occurrence.persons not in taken),
        tasks=(),
        lessons=tuple(one for one in day.lessons if (one.child,) not in taken),
        breaks=(),
        priorities=(),
    )
    return [(rest, ""), *zip(theirs, persons, strict=True)]


def _entries(layout: Layout, part: tuple[Day, str]) -> Iterable[Entry]:
    """All of a cell in the order of the day."""
    day, person = part
    content = Contents(layout.words, person=person).day(day)
    if not person:
        yield from (Entry(text) for text in content.notes)
    yield from content.top
    for entries in content.parts.values():
        yield from entries
    yield from content.tasks
