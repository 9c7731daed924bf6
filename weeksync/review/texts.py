"""Titles and notes of a week, and finding words in them.

Words are found whatever their accents and capitals: `Café` by `cafe`. `site_templates/search.js`
folds texts the same way; a test holds the two against each other.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from datetime import date

from weeksync.model.spread import Day, PlanTask, Spread
from weeksync.model.year import Text, TextKind

_MARKS = re.compile("[\u0300-\u036f\u0591-\u05c7\u0640\u064b-\u065f\u0670]")
"""Accents (Combining Diacritical Marks), points of Hebrew, harakat and tatweel of Arabic. Vowel
signs of other scripts are letters to their readers and stay."""

_SINGLE = str.maketrans({"ø": "o", "đ": "d", "ð": "d", "ł": "l", "ħ": "h", "ı": "i", "æ": "ae",
                         "œ": "oe", "þ": "th", "ŧ": "t"})  # fmt: skip
"""Letters that Unicode takes apart nowhere, and people type without their stroke."""


def fold(text: str) -> str:
    """The text as it is compared: without accents, in one case, spaces as one blank.

    Compatibility decomposition (Unicode Standard Annex 15), upper case and back (so that ß is
    ss), then the marks are taken out.
    """
    apart = unicodedata.normalize("NFKD", text).upper().lower()
    plain = _MARKS.sub("", unicodedata.normalize("NFKD", apart)).translate(_SINGLE)
    return " ".join(plain.replace("ς", "σ").split())


def words_of(query: str) -> tuple[str, ...]:
    """The words that are looked for, each once."""
    return tuple(dict.fromkeys(fold(query).split()))


def has_all(folded: str, words: Iterable[str]) -> bool:
    """Whether a folded text has every word, or every beginning or middle of one."""
    return all(word in folded for word in words)


def visible(text: Text, person: str | None) -> bool:
    """Whether it stands on a common page, or that person may see it; None is nobody."""
    if text.common:
        return True
    if person is None:
        return False
    return (not text.persons or person in text.persons) and (
        not text.only_for or person in text.only_for
    )


def texts_of(spread: Spread) -> tuple[Text, ...]:
    """Every title and note of the spread once, each with the first day on which it stands.

    Check-ins and their words are not among them: they are found by their day alone.
    """
    found: dict[tuple[object, ...], Text] = {}
    for one in _texts(spread):
        text = one._replace(text=" ".join(one.text.split()))
        if text.text:
            found.setdefault((text.kind, text.text, text[3:]), text)
    # A task that is a priority of its day is one thing.
    return tuple(
        one
        for one in found.values()
        if one.kind is not TextKind.PRIORITY or (TextKind.TASK, one.text, one[3:]) not in found
    )


def _texts(spread: Spread) -> Iterator[Text]:
    for day in spread.days:
        yield from _of_day(day)
    for task in spread.undated:
        yield from _of_task(task, None)
    for row in spread.habits:
        mine = (row.person,)
        yield Text(TextKind.HABIT, row.title, None, not row.only_for, mine, row.only_for)
    yield Text(TextKind.NOTE, spread.notes, None, common=False)


def _of_day(day: Day) -> Iterator[Text]:
    for first in day.priorities:
        yield Text(
            *(TextKind.PRIORITY, first.title, day.date, not first.only_for),
            *(first.persons, first.only_for),
        )
    for one in (shown.occurrence for shown in day.occurrences):
        common = not (one.only_for or one.journal)
        yield Text(TextKind.EVENT, one.title, day.date, common, one.persons, one.only_for)
        yield Text(TextKind.NOTE, one.notes, day.date, False, one.persons, one.only_for)
    for task in day.tasks:
        yield from _of_task(task, day.date)
    for item in day.money:
        whose = (item.person,) if item.person is not None else ()
        common = not item.only_for
        yield Text(TextKind.MONEY, item.title, day.date, common, whose, item.only_for)
    for lesson in day.lessons:
        yield Text(TextKind.LESSON, lesson.subject, day.date, True, (lesson.child,))
    for pause in day.breaks:
        whose = (pause.person,) if pause.person is not None else ()
        yield Text(TextKind.BREAK, pause.what, day.date, True, whose)
    for title, cell in day.own:
        yield Text(TextKind.ROW, f"{title}: {cell}" if cell.strip() else title, day.date, True)


def _of_task(task: PlanTask, day: date | None) -> Iterator[Text]:
    yield Text(TextKind.TASK, task.title, day, not task.only_for, task.persons, task.only_for)
    yield Text(TextKind.NOTE, task.notes, day, False, task.persons, task.only_for)
