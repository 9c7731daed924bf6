"""What stands below the strips of a year: what the signs mean, and what the days are called."""

from __future__ import annotations

from collections.abc import Sequence

from weeksync.message import message
from weeksync.paper.content import Entry
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Mark, Rule, Tone, Words
from weeksync.paper.sheet import Box

BAR_MM = 0.9
TERM = "#9a9a9a"
PAY, BILL, BOTH = "+", "−", "±"

NOTES_SHARE = 0.14
"""How much of the sheet's height the names below the strips may take at most."""


def notes(
    layout: Layout, size: float, body: Box, entries: Sequence[Entry], share: float = NOTES_SHARE
) -> tuple[list[Words], float, Sequence[Entry]]:
    """(names in columns at the foot, their height, what has no room there).

    `share` is how much of the body they may take; with 0 there is a line that says where they are.
    """
    style = layout.style
    if not entries:
        return [], 0.0, []
    count = max(1, min(4, int(body.w / 46)))
    most = max(body.h * share, style.line_mm(size))
    width = (body.w - 3 * (count - 1)) / count
    written = [
        layout.write(0, 0, width, one.text, pt=size, strong=one.strong, role="li")
        for one in entries
    ]
    height = _column_mm([one.box.h for one in written], count, most)
    reference = style.line_mm(size)
    columns = [Box(body.x + at * (width + 3), 0, width, height) for at in range(count)]
    made: list[Words] = []
    at, y, top = 0, 0.0, body.bottom - height
    for number, (entry, one) in enumerate(zip(entries, written, strict=True)):
        if y + one.box.h > height + 1e-6:
            at, y = at + 1, 0.0
        last_one = at == count - 1 and y + one.box.h + reference > height + 1e-6
        if at >= count or (last_one and number < len(entries) - 1):
            left = entries[number:]
            text = layout.words.text(message("{count} more: page {page}", count=len(left), page=2))
            box = columns[-1]
            made.append(
                layout.write(
                    box.x,
                    body.bottom - reference,
                    width,
                    f"{layout.words.onward} {text}",
                    pt=size,
                    bold=True,
                    role="li",
                )
            )
            return made, height, left
        made.append(
            layout.write(
                columns[at].x,
                top + y,
                width,
                entry.text,
                pt=size,
                strong=entry.strong,
                role="li",
            )
        )
        y += one.box.h
    return made, height, []


def key(layout: Layout, size: float, body: Box) -> tuple[list[Mark], float]:
    """What the signs and bars stand for, in as many lines as that needs; and their height."""
    words, line = layout.words, layout.style.line_mm(size)
    said = (
        (PAY, message("Pay day")),
        (BILL, message("Bill")),
        (BOTH, message("Pay day and bill")),
        ("", message("Term")),
        ("#", message("Break from lessons")),
    )
    placed: list[tuple[float, int, str, str]] = []
    x, row, icon = 0.0, 0, 2.6
    for sign, sentence in said:
        text = words.text(sentence)
        width = icon + layout.measure.width_mm(text, size) + 0.1
        if x and x + width > body.w:
            x, row = 0.0, row + 1
        placed.append((x, row, sign, text))
        x += width + 3
    height = line * (row + 1) + 0.6
    marks: list[Mark] = []
    for x, row, sign, text in placed:
        at, y = body.x + x, body.bottom - height + row * line
        bar = Box(at + 0.6, y + 0.3, BAR_MM, line - 0.6)
        if sign == "#":
            marks += hatched(bar)
        elif not sign:
            marks.append(Fill(bar, colour=TERM))
        else:
            marks.append(layout.write(at, y, icon, sign, pt=size, bold=True, most=1))
        room = min(layout.measure.width_mm(text, size) + 0.1, body.w - icon)
        marks.append(layout.write(at + icon, y, room, text, pt=size, tone=Tone.SOFT, most=1))
    return marks, height


def hatched(box: Box) -> list[Mark]:
    """An outline with strokes across it: apart from a filled bar in greyscale, too."""
    marks: list[Mark] = [Fill(box, colour="#ffffff", edge_colour="#5c5c5c")]
    y = box.y + 1
    while y < box.bottom:
        marks.append(Rule(box.x, y, box.right, y, 0.2, Tone.SOFT))
        y += 1.2
    return marks


def _column_mm(heights: Sequence[float], count: int, most: float) -> float:
    """The least height of columns that hold all, in order; `most` where none does."""
    tried = sorted({round(sum(heights[:at]), 3) for at in range(1, len(heights) + 1)})
    for height in tried:
        if height > most:
            break
        columns, y = 1, 0.0
        for one in heights:
            if y + one > height + 1e-6:
                columns, y = columns + 1, 0.0
            y += one
        if columns <= count:
            return height
    return most
