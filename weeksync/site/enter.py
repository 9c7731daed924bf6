"""The record of the page on which a week is entered from paper.

All days of the week are on it: which of them have come, the reader's clock knows.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from weeksync.message import Message, message
from weeksync.model.fields import MarkKind
from weeksync.model.paper_week import PaperItem, PaperList, PaperRow, paper_lists, paper_rows
from weeksync.model.spread import Spread
from weeksync.model.week import IsoWeek
from weeksync.site.frame import frame
from weeksync.site.inputs import SiteInput
from weeksync.site.record import (
    EnterBox,
    EnterItem,
    EnterList,
    EnterPage,
    EnterRow,
    Link,
    PersonMark,
)
from weeksync.site.words import Words

COMMON, OWN = "enter", "own-enter"
"""The kinds of the page: on the common site, and among pages of one's own."""

_NOTATION = 13
"""So many lines of `SIGNS` are about the notation; the others are about the terminal."""

_SAID: dict[str, Message] = {
    "yes": message("yes"),
    "no": message("no"),
    "empty": message("not recorded"),
    "done": message("done"),
    "dropped": message("dropped"),
    "later": message("put off"),
    "blanks": message(
        "Boxes for ticks that are still empty: {count}. What does that say?", count="{count}"
    ),
    "row": message("{title}: {values}", title="{title}", values="{values}"),
    "repeats": message("“{title}” repeats, and of one time it can only be done", title="{title}"),
    "repeats-remedy": message("change done or dropped under it in tasks.toml"),
    "todo": message("“{title}” lies in a calendar, and can only be done", title="{title}"),
}


def enter_name(week: IsoWeek) -> str:
    """The name of the page of that week."""
    return f"enter-{week}.html"


def can_be_entered(inputs: SiteInput, spread: Spread, kind: str = COMMON) -> bool:
    """Whether the week is over or under way, and has something to be entered."""
    if spread.week is None or spread.days[0].date > inputs.today:
        return False
    last = spread.days[-1].date
    spread = spread if kind == OWN else _common(spread)
    return bool(paper_rows(spread, last) or paper_lists(spread, last))


def enter_link(inputs: SiteInput, words: Words, spread: Spread, kind: str = COMMON) -> Link | None:
    """The link to it from the page of the week; None where the week has no such page.

    `kind` is the kind of the page it leads to, `OWN` from pages of one's own.
    """
    if spread.week is None or not can_be_entered(inputs, spread, kind):
        return None
    return Link(enter_name(spread.week), words.text(message("Enter from paper")))


def enter_page(
    inputs: SiteInput, words: Words, spread: Spread, week: IsoWeek, kind: str = COMMON
) -> EnterPage:
    """The page of `week`; what is only for some is on it as far as `spread` has it, and on the
    common site not at all.
    """
    from weeksync.model.mark_rows import SIGNS

    first, last = spread.days[0].date, spread.days[-1].date
    spread = spread if kind == OWN else _common(spread)
    rows, lists = paper_rows(spread, last), paper_lists(spread, last)
    with_rows = {row.habit.person for row in rows}
    on_page = with_rows | {item.person for one in lists for item in one.items if item.person}
    columns = _in_order(words, with_rows)
    dates = words.language.span(first, last)
    heading = words.text(message("Enter from paper"))
    title = words.text(message("{week}, {dates}", week=heading, dates=dates))
    once = _Once(words, [day.date for day in spread.days])
    return EnterPage(
        **frame(inputs, words, kind, heading, title),
        id=str(week),
        dates=dates,
        first=first.isoformat(),
        last=last.isoformat(),
        week=Link(f"{week}.html", words.week_label(first)),
        columns=columns,
        persons=_in_order(words, on_page),
        rows=tuple(_row(once, row, columns) for row in rows),
        lists=tuple(_list(once, one) for one in lists),
        signs=tuple(words.text(one) for one in SIGNS[:_NOTATION]),
        words=tuple((key, words.text(one)) for key, one in sentences().items()),
    )


def _common(spread: Spread) -> Spread:
    """The spread without what is only for some."""
    return replace(
        spread,
        habits=tuple(row for row in spread.habits if not row.only_for),
        days=tuple(
            replace(day, tasks=tuple(one for one in day.tasks if not one.only_for))
            for day in spread.days
        ),
        undated=tuple(one for one in spread.undated if not one.only_for),
    )


def sentences() -> dict[str, Message]:
    """What the script says, by key: the mistakes of a row, their remedies, and states."""
    from weeksync.model.mark_rows import MISTAKES
    from weeksync.model.marking import remedy_for

    remedies = {f"remedy-{kind.value}": remedy_for(kind, "?") for kind in MarkKind}
    return {**MISTAKES, **{key: one for key, one in remedies.items() if one}, **_SAID}


def _in_order(words: Words, ids: set[str]) -> tuple[PersonMark, ...]:
    """Those persons in the order of `config.toml`, then whom it does not name."""
    known = [one.id for one in words.config.people]
    return words.persons([*(one for one in known if one in ids), *sorted(ids - set(known))])


class _Once:
    """What is said again and again on one page, put into words once."""

    def __init__(self, words: Words, days: list[date]) -> None:
        self.words = words
        self.days = {day: words.language.date(day, "weekday day month") for day in days}
        self.weekdays = {day: words.language.weekday(day.weekday(), "narrow") for day in days}
        self._values = {value: words.text(_SAID[value or "empty"]) for value in ("", "yes", "no")}

    def value(self, value: str) -> str:
        """What is recorded: in words, or the figure in the digits of the language."""
        return self._values.get(value) or self.words.language.digits(value)


def _row(once: _Once, row: PaperRow, columns: tuple[PersonMark, ...]) -> EnterRow:
    from weeksync.model.mark_rows import NOTED

    words, habit = once.words, row.habit
    person = words.person(habit.person)
    unit = "" if habit.kind is MarkKind.SCALE else habit.unit
    return EnterRow(
        id=habit.id,
        title=habit.title,
        person=person,
        column=columns.index(person) + 1,
        kind=habit.kind.value,
        unit=unit or words.text(NOTED[habit.kind]),
        weekly=habit.times_a_week is not None,
        boxes=tuple(
            EnterBox(
                number=number,
                date=cell.day.isoformat(),
                name=once.days[cell.day],
                weekday=once.weekdays[cell.day],
                due=number in row.asked,
                value=cell.value,
                said=once.value(cell.value),
            )
            for number, cell in enumerate(habit.cells, 1)
        ),
        only_for=words.names(habit.only_for) if habit.only_for else "",
    )


def _list(once: _Once, listed: PaperList) -> EnterList:
    words, shown = once.words, listed.shown_on
    return EnterList(
        date=shown.isoformat() if shown is not None else "",
        heading=once.days[shown] if shown is not None else words.text(message("Without a day")),
        items=tuple(_item(once, number, one) for number, one in enumerate(listed.items, 1)),
    )


def _item(once: _Once, number: int, item: PaperItem) -> EnterItem:
    words = once.words
    return EnterItem(
        number=number,
        id=item.id,
        title=item.title.strip() or words.no_title(),
        person=words.person(item.person) if item.person else None,
        task=item.is_task,
        repeats=item.repeats,
        todo=item.is_todo,
        value=item.value,
        said=once.value(item.value),
    )
