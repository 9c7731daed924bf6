"""How a row of a paper week is typed: ticks by the numbers of their boxes, figures day by day.

One notation for ticks (`1457`, `*`, `*36`, `145/36`, `145~2`), one for figures (`30 45 - 20`,
`7778867`, `20==`, `28 90 71 *100`); `SIGNS` says both on one screen.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal

from weeksync.message import Message, Value, message
from weeksync.model.fields import MarkKind
from weeksync.model.marking import plain_digits, plain_figure, remedy_for

SIGNS = (
    message("Ticks, crosses (yes/no rows, lessons, tasks): the numbers of the boxes"),
    message("  1457      boxes 1, 4, 5 and 7 are ticked"),
    message("  *         all are ticked       *36     all but 3 and 6"),
    message("  145/36    3 and 6 are crossed: no; a task: dropped"),
    message("  145~2     2 is taken back: not recorded"),
    message("Figures: one for each day that is due, in the order of the days"),
    message("  30 45 - 20    - is an empty box; so is what is missing at the end"),
    message("  30 = 45 20==  = is the same as before, == the same to the end"),
    message("  7+ 8 7.5      + adds a half"),
    message("  7778867       no spaces: a figure for every day, all of the same length"),
    message("  28 90 71 *100 all of them times 10, 100 or 1000"),
    message("  30 x ~        x is a tick without a figure, ~ takes back"),
    message("  x1457  x*     a whole row of ticks without figures"),
    message("Enter leaves a row as it is, < goes back by one, ? shows this, Ctrl-D stops."),
    message("Each row is written when it is typed; stopping loses nothing."),
)
"""The notation, on one screen."""

NOTED: Mapping[MarkKind, Message] = {
    MarkKind.YES_NO: message("ticks"),
    MarkKind.COUNT: message("a count"),
    MarkKind.MINUTES: message("minutes"),
    MarkKind.HOURS: message("hours"),
    MarkKind.SCALE: message("1 to 5"),
}
"""What is noted in the boxes of a row, where the habit names no unit."""

_TICKS = re.compile(r"(\*?)([0-9 ,]*)((?:[/~][0-9 ,]*)*)", re.ASCII)
_AFTER_SIGN = re.compile(r"([/~])([0-9 ,]*)", re.ASCII)
_FACTOR = re.compile(r"(.*?)\*(10{1,3})", re.ASCII)
_ATOM = re.compile(r"[0-9]+(?:[.,][0-9]+)?\+?|==|[-=~xX]", re.ASCII)
_JOINT_DIGITS = 9
"""Boxes that can be named by one digit each."""


MISTAKES: Mapping[str, Message] = {
    "ticks": message("write the numbers of the boxes, as 1457 or *36; ? shows how"),
    "figures": message("write a figure for each day, as 30 45 - 20; ? shows how"),
    "twice": message("{number} stands there twice", number="{number}"),
    "no-box": message(
        "{number} is no box here; there are {known}", number="{number}", known="{known}"
    ),
    "first": message("= repeats the day before; the first day has none"),
    "joint": message(
        "days: {count}; without blanks each takes a figure of the same length, or -; "
        "put blanks between the figures",
        count="{count}",
    ),
    "many": message(
        "figures: {count}, days: {days}; write one for each day that is due",
        count="{count}",
        days="{days}",
    ),
    "value": message('"{value}" does not fit here', value="{value}"),
}
"""What can be wrong with a row, the places still empty: the page fills them in by itself."""


class RowMistake(Exception):
    """What was typed is no row; `said` is why, `remedy` what to type where that is not in it.

    `word` is the key of the sentence in `MISTAKES`.
    """

    def __init__(self, word: str, remedy: Message | None = None, **values: Value) -> None:
        self.word = word
        self.said = Message(MISTAKES[word].text, values)
        self.remedy = remedy
        super().__init__(str(self.said))


def row_values(text: str, asked: Sequence[int], kind: MarkKind) -> dict[int, str]:
    """Column → value of what was typed for a habit's row; `asked` are the columns that are due.

    RowMistake where it is no row of that kind. Columns about which nothing was said are left out.
    """
    plain = plain_digits(text).strip()
    if kind is MarkKind.YES_NO:
        return ticks(plain.removeprefix("x"), asked)
    if re.fullmatch(r"[xX][0-9*/~,]+", plain, re.ASCII) and kind is not MarkKind.SCALE:
        return ticks(plain[1:], asked)
    return _checked(_figures(plain, asked, kind), kind)


def is_ticked(text: str, kind: MarkKind) -> bool:
    """Whether a row is one of ticks: then an empty box in it may say that something was missed."""
    typed = plain_digits(text)
    return kind is MarkKind.YES_NO or re.fullmatch(r"\s*[xX][0-9*/~,]+\s*", typed) is not None


def ticks(text: str, asked: Sequence[int]) -> dict[int, str]:
    """Number → yes, no, or "" where it is taken back, of the boxes named; RowMistake."""
    found = _TICKS.fullmatch(plain_digits(text))
    if found is None or not text.strip():
        raise RowMistake("ticks")
    star, first, rest = found.groups()
    named = _numbers(first, asked)
    values = dict.fromkeys(named, "yes")
    if star:
        values = {number: "yes" for number in asked if number not in named}
    seen = set(named)
    for sign, digits in _AFTER_SIGN.findall(rest):
        for number in _numbers(digits, asked):
            if number in seen:
                raise RowMistake("twice", number=number)
            seen.add(number)
            values[number] = "no" if sign == "/" else ""
    return values


def _numbers(text: str, asked: Sequence[int]) -> list[int]:
    """The boxes named; beyond nine of them with blanks or commas between."""
    joint = max(asked, default=0) <= _JOINT_DIGITS
    found = [int(one) for one in re.findall(r"[0-9]" if joint else r"[0-9]+", text, re.ASCII)]
    for number in found:
        if number not in asked:
            known = ", ".join(map(str, asked))
            raise RowMistake("no-box", number=number, known=known)
        if found.count(number) > 1:
            raise RowMistake("twice", number=number)
    return found


def _figures(text: str, asked: Sequence[int], kind: MarkKind) -> dict[int, str]:
    body, factor = text, 1
    times = _FACTOR.fullmatch(text)
    if times is not None and kind is not MarkKind.SCALE:
        body, factor = times[1], int(times[2])
    atoms = _ATOM.findall(body)
    if not atoms or _ATOM.sub("", body).strip():
        raise RowMistake("figures")
    if not re.search(r"\s", body.strip()):
        atoms = _split(atoms, len(asked), kind)
    rest = atoms[-1] == "=="
    cells = atoms[:-1] if rest else atoms
    if "==" in cells or len(cells) > len(asked):
        raise RowMistake("many", count=len(cells), days=len(asked))
    values = _values(cells, factor)
    if rest:
        values += [_before(values)] * (len(asked) - len(values))
    return {
        column: value for column, value in zip(asked, values, strict=False) if value is not None
    }


def _values(cells: Sequence[str], factor: int) -> list[str | None]:
    """What each box says; None for an empty one."""
    values: list[str | None] = []
    for cell in cells:
        if cell == "=":
            values.append(_before(values))
        elif cell in "-~xX":
            values.append({"-": None, "~": ""}.get(cell, "yes"))
        else:
            values.append(_figure(cell, factor))
    return values


def _before(values: Sequence[str | None]) -> str | None:
    if not values:
        raise RowMistake("first")
    return values[-1]


def _figure(text: str, factor: int) -> str:
    half = Decimal("0.5") if text.endswith("+") else Decimal(0)
    return plain_figure((Decimal(text.removesuffix("+").replace(",", ".")) + half) * factor)


def _split(atoms: Sequence[str], count: int, kind: MarkKind) -> list[str]:
    """Figures typed without blanks, each by itself: as many digits each as makes the row full.

    The steps of a scale have one digit each, whether the row is full or not. With == at the end
    the row fills itself, and what is typed is one figure as it stands.
    """
    runs = [one for one in atoms if one[0].isdigit()]
    if not runs or (atoms[-1] == "==" and kind is not MarkKind.SCALE):
        return list(atoms)
    lengths = [len(one.removesuffix("+")) for one in runs]
    boxes = count - (len(atoms) - len(runs))
    width, left = divmod(sum(lengths), boxes) if boxes > 0 else (0, 1)
    if kind is MarkKind.SCALE:
        width, left = 1, 0
    pointed = any("." in one or "," in one for one in runs) and count > 1
    if pointed or left or not width or any(length % width for length in lengths):
        raise RowMistake("joint", count=count)
    if len(atoms) > 1 and max(lengths) > width and _fit(runs, kind):
        raise RowMistake("joint", count=count)  # it could as well be these figures, and not more
    return [part for one in atoms for part in _parts(one, width)]


def _fit(runs: Sequence[str], kind: MarkKind) -> bool:
    return all(remedy_for(kind, _figure(one, 1)) is None for one in runs)


def _parts(atom: str, width: int) -> list[str]:
    if not atom[0].isdigit():
        return [atom]
    digits = atom.removesuffix("+")
    parts = [digits[at : at + width] for at in range(0, len(digits), width)]
    return [*parts[:-1], parts[-1] + atom[len(digits) :]]


def _checked(values: Mapping[int, str], kind: MarkKind) -> dict[int, str]:
    for value in values.values():
        remedy = remedy_for(kind, value)
        if remedy is not None:
            raise RowMistake("value", remedy, value=value)
    return dict(values)
