"""A month's bills, pays and saving steps with their amounts, to tick at its end.

It is a sheet of its own: amounts stand on no other.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from weeksync.message import message
from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.week import Month
from weeksync.paper.content import Contents
from weeksync.paper.document import Page
from weeksync.paper.entries import badge_mm, writing_rows
from weeksync.paper.flow import Flow
from weeksync.paper.kinds import Kind
from weeksync.paper.layout import Layout
from weeksync.paper.marks import Group, Rule, Tick, Tone, Words
from weeksync.paper.sheet import MM_PER_PT, Box, Side

_HEADINGS = {
    MoneyKind.BILL: message("Bills"),
    MoneyKind.PAY: message("Pay"),
    MoneyKind.STEP: message("Saving steps"),
}


LEAST_NOTES = 5
"""Less room than for that many lines is left white below the bills."""


def bill_pages(
    layout: Layout, month: Month, items: Sequence[MoneyItem], side: Side = Side.RIGHT
) -> tuple[Page, ...]:
    """What moves in the month, by kind and day, with the sum of each kind and currency."""
    words = layout.words
    title = words.text(message("Bills and pay, {month}", month=words.month_year(month)))
    flow = Flow(layout, title, side, column_em=200, most_columns=1)
    widths = _widths(layout, items)
    for kind in MoneyKind:
        of_kind = sorted(
            (one for one in items if one.kind is kind), key=lambda one: (one.day, one.title)
        )
        if not of_kind:
            continue
        flow.heading(words.text(_HEADINGS[kind]))
        for item in of_kind:
            _row(flow, item, widths)
        _sums(flow, of_kind)
        flow.room(layout.style.row_mm / 2)
    if not flow.pages:
        flow.heading(words.text(message("Nothing moves in this month.")))
    _notes(flow)
    return flow.made(Kind.BILLS.value, private=True)


def _notes(flow: Flow) -> None:
    """Lines to write on over what is left of the page, where that is worth a heading."""
    layout = flow.layout
    if flow.column.left < LEAST_NOTES * layout.style.row_mm:
        return
    flow.heading(layout.words.text(message("Notes")))
    flow.put(*writing_rows(layout, flow.room(flow.column.left)))


def _widths(layout: Layout, items: Sequence[MoneyItem]) -> tuple[float, float]:
    """How wide the columns of days and of amounts are, so that none of them is cut."""
    words, pt = layout.words, layout.style.type_pt
    contents = Contents(words, amounts=True)
    days = [layout.measure.width_mm(words.day(one.day), pt) for one in items]
    amounts = [layout.measure.width_mm(contents.amount(one), pt, bold=True) for one in items]
    return max(days, default=0.0) + 3.0, max(*amounts, pt * MM_PER_PT * 5.0, 0.0) + 3.0


def _row(flow: Flow, item: MoneyItem, widths: tuple[float, float]) -> None:
    """Box, day, what, how much; each on a line of its own to write on."""
    layout = flow.layout
    words, style = layout.words, layout.style
    contents = Contents(words, amounts=True)
    notes = []
    if item.kind is MoneyKind.BILL and not item.collected:
        notes.append(words.text(message("pay by hand")))
    if item.moved:
        notes.append(words.text(message("moved from {when}", when=words.day(item.due))))
    if item.person:
        notes.append(words.person(item.person).name)
    title = item.title.strip() or words.no_title()
    text = words.language.joined([title, *notes])
    amount = contents.amount(item)
    badge = badge_mm(layout)
    day_w, amount_w = widths
    column = flow.column.box
    title_w = column.w - badge - 2 - day_w - amount_w - 2
    lines = layout.measure.lines(text, style.type_pt, title_w)
    height = max(style.row_mm, len(lines) * style.line_mm() + 1.6)
    box = flow.room(height)
    middle = (height - style.line_mm() * len(lines)) / 2
    y = box.y + middle
    first = style.line_mm()
    parts: list[Words] = [
        layout.write(box.x + badge + 2, y, day_w, words.day(item.day), role="li"),
        layout.write(box.x + badge + 2 + day_w, y, title_w, text, role="li"),
    ]
    if amount:
        parts.append(
            layout.write(
                box.right - amount_w, y, amount_w, amount, align="end", bold=True, role="li"
            )
        )
    else:
        line = Rule(
            box.right - amount_w * 0.8, y + first, box.right, y + first, 0.15, Tone.SOFT, (0.6, 0.8)
        )
        flow.put(line)
    flow.put(
        Tick(Box(box.x, y + (first - badge) / 2, badge, badge), done=item.paid_on is not None),
        Group(tuple(parts), "list", title),
        Rule(box.x, box.bottom, box.right, box.bottom, tone=Tone.FAINT),
    )


def _sums(flow: Flow, items: Sequence[MoneyItem]) -> None:
    layout = flow.layout
    language = layout.words.language
    sums: dict[str | None, int] = defaultdict(int)
    unknown = 0
    for item in items:
        if item.sum is None:
            unknown += 1
        else:
            sums[item.currency] += item.sum
    said = [
        language.money(amount, currency) if currency else language.number(amount)
        for currency, amount in sorted(sums.items(), key=lambda one: one[0] or "")
    ]
    if unknown:
        said.append(layout.words.text(message("{count} without an amount", count=unknown)))
    text = layout.words.text(message("Together: {amounts}", amounts=language.joined(said)))
    box = flow.room(layout.style.row_mm)
    y = box.y + (box.h - layout.style.line_mm()) / 2
    flow.put(layout.write(box.x, y, box.w, text, bold=True, align="end"))
