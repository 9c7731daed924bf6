"""What the template of a shared page gets to see, and nothing else.

It is made from a `SharedWeek` and the words of its language: what is not in that record cannot
come onto the page, whatever a template asks for.
"""

from __future__ import annotations

from typing import Literal

from markupsafe import Markup

from weeksync.lazy import dataclass

Form = Literal["page", "paper", "portrait", "square"]
"""What the page is for: a browser, a sheet of paper, or one of the two pictures."""


@dataclass(frozen=True, slots=True)
class SharedTint:
    """A colour as CSS writes it: fill and edge on light ground, on dark ground, and on paper."""

    name: str
    light: str
    light_edge: str
    dark: str
    dark_edge: str
    print: str


@dataclass(frozen=True, slots=True)
class AreaSign:
    """An area: its word, the letter that stands for it, and the name of its tint."""

    name: str
    letter: str
    colour: str


@dataclass(frozen=True, slots=True)
class Line:
    """Something of a day."""

    kind: str
    """`event` or `task`."""
    text: str
    """What it is; "busy" in words where no more is shown."""
    area: AreaSign | None
    """The area, where it is shown; its name is not in `text` then unless it is all there is."""
    roles: str
    """The words for persons, as "parent, child"; "" where none are shown."""
    times: str
    """As 09:00–10:00; "" where they are not shown."""
    bare: bool
    """It only says that somebody was busy."""
    done: bool
    """A task that was done."""


@dataclass(frozen=True, slots=True)
class Part:
    """A day part; `name` is "" for what belongs to none: whole days, or times that are left out."""

    id: str
    """`day`, `morning`, `afternoon` or `evening`."""
    name: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class DayBox:
    """A day of the week."""

    name: str
    """Monday."""
    short: str
    """Mon."""
    weekend: bool
    """Saturday and Sunday, wherever the household lives."""
    parts: tuple[Part, ...]
    """Those that have something in them."""
    tiles: tuple[tuple[str, ...], ...]
    """For the band on top: a tile a day part, each the names of the tints in it; "plain" stands
    for what shows no area."""


@dataclass(frozen=True, slots=True)
class HabitRow:
    """A released habit."""

    text: str
    area: AreaSign | None
    role: str
    marked: tuple[tuple[str, bool], ...]
    """(weekday, whether it was marked), seven of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedPage:
    """The whole page."""

    record: int = 1
    language: str
    """BCP 47 tag for `lang`, without a region."""
    direction: str
    """`ltr` or `rtl`."""
    heading: str
    """A week; with its number where the week may be told."""
    form: Form
    dark: bool
    """Of pictures: on dark ground. A page in a browser follows the reader's own setting."""
    days: tuple[DayBox, ...]
    """Seven, Monday first."""
    habits: tuple[HabitRow, ...]
    areas: tuple[AreaSign, ...]
    """What the letters stand for."""
    timed: bool
    """Times of day are shown, not only day parts."""
    infer: tuple[str, ...]
    """What a stranger may still infer, in plain words."""
    tints: tuple[SharedTint, ...]
    """Those that are on the page."""
    scale: float = 1.0
    """Of pictures: how large the letters are, 1 for as large as they may be."""
    room: float = 0.0
    """Of pictures: room that is left over, in CSS pixels for each row of days."""
    most: int = 0
    """Of pictures: how many lines a day may have; 0 for all."""
    most_habits: int = 1000
    """Of pictures: how many habits there may be."""
    style: Markup | None = None
    """The style sheet; None while that itself is made."""
    style_hash: str = ""
    """Its digest as a Content Security Policy writes it."""
