"""What is never on a shared page, whatever a rule says: for the list of what was left out."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from weeksync.message import Message, message
from weeksync.model.shared import Decision, ItemKind, ShownAs
from weeksync.model.spread import Day, LeftOutReason, Spread

_NEVER: dict[ItemKind, Message] = {
    ItemKind.PRIORITY: message("priorities are never shared"),
    ItemKind.MONEY: message("money is never shared"),
    ItemKind.LESSON: message("lessons of children are never shared"),
    ItemKind.BREAK: message("breaks are never shared"),
    ItemKind.CHECK_IN: message("check-ins are never shared"),
    ItemKind.ROW: message("rows of one's own are never shared"),
    ItemKind.NOTES: message("notes are never shared"),
    ItemKind.HOLIDAY: message("holidays are never shared: they tell the region"),
    ItemKind.TERM: message("terms are never shared: they tell the region"),
}


def never_shared(spread: Spread) -> Iterator[Decision]:
    """A decision for each thing of the week that no rule can let through."""
    for day in spread.days:
        yield from _of_day(day)
    if spread.notes:
        yield _left_out(ItemKind.NOTES, "", ())
    for left in spread.left_out:
        if left.reason is LeftOutReason.CANCELLED:
            one = left.occurrence
            why = message("it was called off")
            kind = ItemKind.EVENT if one.source else ItemKind.APPOINTMENT
            yield Decision(kind, one.title, (), ShownAs.NOTHING, "", why, only_for=one.only_for)
    for task in spread.undated:
        why = message("it stands on no day of the week")
        kind = ItemKind.TODO if task.source else ItemKind.TASK
        yield Decision(kind, task.title, (), ShownAs.NOTHING, "", why, only_for=task.only_for)


def _of_day(day: Day) -> Iterator[Decision]:
    days = (day.date,)
    for holiday in day.holidays:
        yield _left_out(ItemKind.HOLIDAY, holiday, days)
    for term in filter(None, (day.term, day.term_break)):
        yield _left_out(ItemKind.TERM, term, days)
    for priority in day.priorities:
        yield _left_out(ItemKind.PRIORITY, priority.title, days, priority.only_for)
    for item in day.money:
        yield _left_out(ItemKind.MONEY, item.title, days, item.only_for)
    for lesson in day.lessons:
        yield _left_out(ItemKind.LESSON, lesson.subject, days)
    for pause in day.breaks:
        yield _left_out(ItemKind.BREAK, pause.what, days)
    for title, cell in day.own:
        if cell:
            yield _left_out(ItemKind.ROW, title, days)
    for check_in in day.check_ins:
        yield _left_out(ItemKind.CHECK_IN, "", days, (check_in.person,))


def _left_out(
    kind: ItemKind, title: str, days: tuple[date, ...], only_for: tuple[str, ...] = ()
) -> Decision:
    return Decision(kind, title, days, ShownAs.NOTHING, "", _NEVER[kind], only_for=only_for)
