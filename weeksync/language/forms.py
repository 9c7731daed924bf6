"""How one locale writes dates, times, numbers and lists, by what CLDR says of it (UTS 35)."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, time
from decimal import Decimal
from operator import attrgetter

from weeksync.lazy import dataclass

Moment = date | time
Field = tuple[str, int]
"""A letter of a pattern and how often it stands there (UTS 35 part 4, date field symbols)."""
Pattern = tuple[str | Field, ...]
"""A date or time as CLDR has it: texts, and between them fields."""


@dataclass(frozen=True, slots=True)
class Forms:
    """What CLDR says of a locale, as far as a page says it in ASCII digits."""

    locale: str
    """Its name, as en_GB."""
    language: str
    territory: str
    """"" where its name has none."""
    likely_territory: str
    """Where most people live who write so; 001, the world, where CLDR knows none."""
    direction: str
    """How its script runs: ltr or rtl."""
    numbers: str
    """The numbering system that is its default, as latn or arab."""
    months: Mapping[str, Sequence[str]]
    """Width → the twelve names as they stand alone."""
    days: Mapping[str, Sequence[str]]
    """Width → the seven names as they stand alone, Monday first."""
    names: Mapping[Field, Sequence[str]]
    """The names that fields of its patterns stand for, in the order of `_PLACES`."""
    dates: Mapping[str, Pattern]
    """Form of a date, or skeleton, → its pattern."""
    clock: Pattern
    """A time of day, without seconds."""
    spans: Mapping[str, Sequence[Pattern]]
    """The largest field in which two dates differ, y, M or d → patterns of the first and last."""
    from_to: str
    """How a range is joined, with {0} and {1}."""
    date_and_time: str
    """With {0} for the time and {1} for the date."""
    lists: Mapping[str, str]
    """How a list is joined: 2, start, middle and end, each with {0} and {1}."""
    point: str
    comma: str
    """What stands before decimals, and what between groups of digits."""
    groups: tuple[int, int]
    """How many digits the last group has, and how many the others have."""
    decimals: int
    """The most digits after the point."""
    twelve_hours: bool


_NUMBERS: dict[str, Callable[..., int]] = {
    "y": attrgetter("year"),
    "Y": attrgetter("year"),  # the year of the week, but CLDR has it beside a month: a slip for y
    "M": attrgetter("month"),
    "L": attrgetter("month"),
    "d": attrgetter("day"),
    "H": attrgetter("hour"),
    "h": lambda moment: moment.hour % 12 or 12,
    "K": lambda moment: moment.hour % 12,
    "k": lambda moment: moment.hour or 24,
    "m": attrgetter("minute"),
}
_PLACES: dict[str, Callable[..., int]] = {
    "G": lambda _: 0,
    "M": lambda moment: moment.month - 1,
    "L": lambda moment: moment.month - 1,
    "E": lambda moment: moment.weekday(),
    "c": lambda moment: moment.weekday(),
    "a": lambda moment: moment.hour // 12,
    "b": lambda moment: moment.hour * 60 + moment.minute,
    "B": lambda moment: moment.hour * 60 + moment.minute,
}
"""Which of a field's names is that of a moment."""


def written(pattern: Pattern, names: Mapping[Field, Sequence[str]], moment: Moment) -> str:
    """A date or a time by a pattern of its locale (UTS 35 part 4, section 8)."""
    return "".join([one if isinstance(one, str) else _field(one, names, moment) for one in pattern])


def _field(field: Field, names: Mapping[Field, Sequence[str]], moment: Moment) -> str:
    letter, width = field
    if field in names:
        return names[field][_PLACES[letter](moment)]
    number = f"{_NUMBERS[letter](moment):0{width}}"
    return number[-2:] if field == ("y", 2) else number


def number(forms: Forms, value: float) -> str:
    """A number with the separators of the locale, what is half rounded to even."""
    exact = Decimal(str(value))
    rounded = f"{abs(exact).quantize(Decimal(1).scaleb(-forms.decimals)):f}"
    whole, _, rest = rounded.partition(".")
    last, others = forms.groups
    groups = [whole[-last:]]
    while whole := whole[: -len(groups[0])]:
        groups.insert(0, whole[-others:])
    rest = rest.rstrip("0")
    sign, point = "-" if exact.is_signed() else "", forms.point if rest else ""
    return f"{sign}{forms.comma.join(groups)}{point}{rest}"


def listed(forms: Forms, parts: Sequence[str]) -> str:
    """Parts as a list in a sentence (UTS 35 part 2, list patterns)."""
    if len(parts) <= 1:
        return "".join(parts)
    if len(parts) == 2 and "2" in forms.lists:
        return forms.lists["2"].format(*parts)
    said = forms.lists["start"].format(*parts[:2])
    for part in parts[2:-1]:
        said = forms.lists["middle"].format(said, part)
    return forms.lists["end"].format(said, parts[-1])
