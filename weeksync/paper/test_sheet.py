"""The test sheet: two sides on which a printer shows what it cannot reach and how it turns paper.

Along each edge stand strokes, one a millimetre further in than the other, each beside the last
one: the first that can be seen whole says how wide the strip is that the printer leaves empty.
"""

from __future__ import annotations

from dataclasses import replace

from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.paper.document import Page
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Fill, Group, Mark, Rule, Tone, Words
from weeksync.paper.printer_questions import Question, line_mm, questions
from weeksync.paper.sheet import Box, Sheet, Side

REACH_MM = 20
"""How far in the strokes go."""

STEP_MM = 2.2
INSIDE_MM = REACH_MM + 8.0
"""From where on there is room for words."""

HOW = message(
    "Print this sheet on both sides, turned over the long edge, at 100 % (actual size), as you "
    "will print the weeks. A printer that cannot do both sides gets the paper a second time."
)

LEAST_MM = (100, 140)

CROSS_MM = 5.0
LINE_MM = 0.2


def test_pages(layout: Layout) -> tuple[Page, Page]:
    """Front and back, on an upright sheet without holes: what lies in the printer.

    UsageError where that is smaller than `LEAST_MM`.
    """
    sheet = replace(layout.sheet, binding_mm=0, margin_mm=0)
    if sheet.width_mm > sheet.height_mm:
        sheet = replace(sheet.turned(), landscape=False)
    if sheet.width_mm < LEAST_MM[0] or sheet.height_mm < LEAST_MM[1]:
        raise UsageError(
            message(
                "the test sheet needs paper of {width} × {height} mm or more; write what lies in "
                'the printer as paper under [paper], as paper = "A4"',
                width=LEAST_MM[0],
                height=LEAST_MM[1],
            )
        )
    layout = layout.on(sheet)
    asked = questions(sheet)
    return (
        _page(layout, Side.RIGHT, [one for one in asked if not one.on_back]),
        _page(layout, Side.LEFT, [one for one in asked if one.on_back]),
    )


def _page(layout: Layout, side: Side, asked: list[Question]) -> Page:
    front = side is Side.RIGHT
    words, sheet = layout.words, layout.sheet
    title = words.text(message("Test sheet")) if front else words.text(message("Test sheet, back"))
    box = Box(INSIDE_MM, INSIDE_MM, sheet.width_mm - 2 * INSIDE_MM, sheet.height_mm - 2 * INSIDE_MM)
    head = layout.write(
        box.x, box.y, box.w - 14, title, pt=layout.style.title_pt, bold=True, role="h1"
    )
    text: list[Mark] = [head]
    if front:
        how = layout.write(box.x, head.box.bottom + 2, box.w - 14, words.text(HOW))
        if how.box.bottom > sheet.height_mm / 2 - 22:  # below the middle on small paper
            below = sheet.height_mm / 2 + CROSS_MM + 4
            how = layout.write(box.x, below, box.w, words.text(HOW))
            asked = []
        text.append(how)
    marks: list[Mark] = [*_arrow(box.right - 5, box.y, 18), *_cross(sheet)]
    if front:
        marks += [*_rulers(layout), *_line(layout, box)]
    text += _questions(layout, box, asked)
    return Page(
        kind=Kind.TEST,
        title=title,
        sheet=sheet,
        side=side,
        marks=(Group(tuple(text), label=title), *marks),
        part=0 if front else 1,
    )


def _arrow(x: float, y: float, long: float) -> list[Rule]:
    """An arrow to the top edge."""
    return [
        Rule(x, y, x, y + long, 0.8, Tone.INK),
        Rule(x, y, x - 4, y + 6, 0.8, Tone.INK),
        Rule(x, y, x + 4, y + 6, 0.8, Tone.INK),
    ]


def _cross(sheet: Sheet) -> list[Rule]:
    """A cross in the very middle."""
    x, y = sheet.width_mm / 2, sheet.height_mm / 2
    return [
        Rule(x - CROSS_MM, y, x + CROSS_MM, y, LINE_MM, Tone.INK),
        Rule(x, y - CROSS_MM, x, y + CROSS_MM, LINE_MM, Tone.INK),
    ]


def _line(layout: Layout, box: Box) -> list[Mark]:
    """The line to measure, above the middle."""
    long = line_mm(layout.sheet)
    x, y = (layout.sheet.width_mm - long) / 2, layout.sheet.height_mm / 2 - 16
    ends = [Rule(at, y - 3, at, y + 3, LINE_MM, Tone.INK) for at in (x, x + long)]
    name = layout.words.text(message("{length} mm", length=long))
    label = layout.write(x, y - 5, long, name, align="centre", pt=layout.style.label_pt, most=1)
    return [Rule(x, y, x + long, y, LINE_MM, Tone.INK), *ends, label]


def _rulers(layout: Layout) -> list[Mark]:
    """Strokes along all four edges, from 1 mm in to `REACH_MM`, numbered at every fifth."""
    sheet = layout.sheet
    long = REACH_MM * STEP_MM
    across, down = (sheet.width_mm - long) / 2, (sheet.height_mm - long) / 2
    marks: list[Mark] = []
    for deep in range(1, REACH_MM + 1):
        x, y = across + deep * STEP_MM, down + deep * STEP_MM
        end_x, end_y = x + STEP_MM - 0.4, y + STEP_MM - 0.4
        right, bottom = sheet.width_mm - deep, sheet.height_mm - deep
        marks += [
            Rule(x, deep, end_x, deep, LINE_MM, Tone.INK),
            Rule(x, bottom, end_x, bottom, LINE_MM, Tone.INK),
            Rule(deep, y, deep, end_y, LINE_MM, Tone.INK),
            Rule(right, y, right, end_y, LINE_MM, Tone.INK),
        ]
        if deep % 5 == 0:
            middle_x, middle_y, end = (
                x + (STEP_MM - 0.4) / 2,
                y + (STEP_MM - 0.4) / 2,
                REACH_MM + 0.5,
            )
            marks += [
                Rule(middle_x, deep + 0.4, middle_x, end, tone=Tone.FAINT),
                Rule(middle_x, bottom - 0.4, middle_x, sheet.height_mm - end, tone=Tone.FAINT),
                Rule(deep + 0.4, middle_y, end, middle_y, tone=Tone.FAINT),
                Rule(right - 0.4, middle_y, sheet.width_mm - end, middle_y, tone=Tone.FAINT),
            ]
            marks += _numbers(layout, deep, middle_x, middle_y)
    return marks


def _numbers(layout: Layout, deep: int, x: float, y: float) -> list[Words]:
    """The number of a stroke, further in than the last of them."""
    sheet, size = layout.sheet, layout.style.label_pt
    text = layout.words.language.digits(str(deep))
    line, wide, away = layout.style.line_mm(size), 6.0, REACH_MM + 0.8
    at = (
        (x - wide / 2, away),
        (x - wide / 2, sheet.height_mm - away - line),
        (away, y - line / 2),
        (sheet.width_mm - away - wide, y - line / 2),
    )
    return [layout.write(*one, wide, text, pt=size, align="centre", most=1) for one in at]


def _questions(layout: Layout, box: Box, asked: list[Question]) -> list[Mark]:
    """The questions below the middle, each with a box for its answer.

    A small sheet has no room for them; the command asks them all the same.
    """
    marks: list[Mark] = []
    y = layout.sheet.height_mm / 2 + CROSS_MM + 4
    answer = 18.0
    for one in asked:
        text = layout.words.text(one.text)
        written = layout.write(box.x, y + 0.8, box.w - answer - 2, text, role="li")
        height = max(written.box.h + 1.6, layout.style.row_mm)
        field = Box(box.right - answer, y, answer, height - 0.8)
        marks += [written, Fill(field, colour="#ffffff", edge_colour="#5c5c5c")]
        y += height
    return marks if y <= box.bottom else []
