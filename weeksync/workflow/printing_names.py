"""What a command says of printing, by name, and what that means for a household."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path
from typing import Literal, cast, get_args

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.sheets import SIZES, SizeName
from weeksync.model.week import IsoWeek, Month
from weeksync.paper.blank import PATTERNS, Pattern
from weeksync.paper.engines import Engine
from weeksync.paper.kinds import NEEDS_PERSON, Kind
from weeksync.paper.page_order import Way
from weeksync.paper.printer_questions import printer_of, questions
from weeksync.workflow.clock import FIRST_YEAR, LAST_YEAR
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.printing import write_printer
from weeksync.workflow.printing_order import PrintOrder, sheet_for, with_options
from weeksync.workflow.spans import span_named

KINDS = tuple(kind.value for kind in Kind)
WAYS = tuple(way.value for way in Way)
SIZE_NAMES: tuple[SizeName, ...] = tuple(SIZES)
WITH: tuple[str, ...] = (*get_args(Engine), "browser")

MOST_WEEKS = 106
"""The longest run that is printed at once: two years."""

MOST_BLANK = 200

OF_MONTH = frozenset({Kind.MONTH, Kind.BILLS})
WITHOUT_TIME = frozenset({Kind.BLANK, Kind.TEST})

__all__ = ["KINDS", "PATTERNS", "SIZE_NAMES", "WAYS", "WITH", "Asked", "settings_and_order"]


@dataclass(frozen=True, slots=True)
class Asked:
    """What a command was given, as it was typed."""

    span: str = "this"
    kind: str = "spread"
    weeks: int = 1
    person: str = ""
    way: str = "single"
    size: str | None = None
    paper: str | None = None
    landscape: bool | None = None
    large: bool = False
    ink_saving: bool = False
    hole_ticks: bool = False
    pattern: str = "lines"
    count: int = 2
    engine: str | None = None
    target: Path | None = None
    report: bool = False


def settings_and_order(context: Context, asked: Asked) -> tuple[Config, PrintOrder]:
    """The household's settings with what was asked in their place, and the order itself.

    UsageError where it cannot be done, with what can.
    """
    kind, way = Kind(asked.kind), Way(asked.way)
    config = with_options(
        context.config,
        size=cast("SizeName | None", asked.size),
        paper=cast("SizeName | None", asked.paper),
        landscape=asked.landscape,
        large=asked.large,
        ink_saving=asked.ink_saving,
        ticks=asked.hole_ticks,
    )
    weeks, month, year = _time(context, asked, kind)
    if way is not Way.SINGLE and kind not in {Kind.SPREAD, Kind.DAYS, Kind.BLANK}:
        raise UsageError(
            message(
                "--way {way} is for spreads, days and pages to write on; {kind} is printed on "
                "single sides",
                way=way.value,
                kind=kind.value,
            )
        )
    return config, PrintOrder(
        kind=kind,
        weeks=weeks,
        month=month,
        year=year,
        person=_person(context, asked.person, kind),
        way=way,
        engine=cast('Engine | Literal["browser"] | None', asked.engine),
        pattern=cast("Pattern", asked.pattern),
        count=_between("--count", asked.count, MOST_BLANK),
        target=asked.target,
        report=asked.report,
    )


def _person(context: Context, person: str, kind: Kind) -> str:
    if person:
        return context.known_person(person)
    return context.first_person if kind in NEEDS_PERSON else ""


def _time(
    context: Context, asked: Asked, kind: Kind
) -> tuple[tuple[IsoWeek, ...], Month | None, int | None]:
    """(weeks, month, year) that the kind is of."""
    if kind in WITHOUT_TIME:
        return (), None, None
    if kind is Kind.YEAR:
        return (), None, _year(context, asked.span)
    named = span_named(asked.span, context)
    if kind in OF_MONTH:
        if isinstance(named, tuple):
            raise _no_span(asked.span)
        return (), named if isinstance(named, Month) else _month(context, asked.span, named), None
    if not isinstance(named, IsoWeek):
        raise UsageError(
            message(
                '"{value}" is no week; {kind} is printed by weeks, with --weeks for several',
                value=asked.span,
                kind=kind.value,
            )
        )
    run = _between("--weeks", asked.weeks, MOST_WEEKS)
    return tuple(named.shifted(at) for at in range(run)), None, None


def _no_span(value: str) -> UsageError:
    return UsageError(message('"{value}" is no month; write it as 2027-03', value=value))


def _month(context: Context, text: str, week: IsoWeek) -> Month:
    """This month for this week, else the month of the week's Thursday."""
    if text.strip().lower() == "this":
        return Month.of(context.today)
    return Month.of(week.thursday)


def _year(context: Context, text: str) -> int:
    """This year for this week, else the one named or the one of the week's Thursday."""
    if text.strip().lower() == "this":
        return context.today.year
    if re.fullmatch(r"\d{4}", text.strip(), re.ASCII):
        year = int(text)
        if FIRST_YEAR <= year <= LAST_YEAR:
            return year
    with suppress(UsageError):
        named = span_named(text, context)
        if isinstance(named, IsoWeek):
            return Month.of(named.thursday).year
    raise UsageError(message('"{value}" is no year; write it as 2027', value=text))


def _between(option: str, value: int, most: int) -> int:
    if not 1 <= value <= most:
        raise UsageError(
            message(
                "{option} {value} will not do; it is from 1 to {most}",
                option=option,
                value=value,
                most=most,
            )
        )
    return value


def test_questions(config: Config) -> Iterator[tuple[str, Message, bool]]:
    """(key, what is to be read off the test sheet, whether it is a yes or no)."""
    for one in questions(sheet_for(config, Kind.TEST)):
        yield one.key, one.text, one.answer == "yes or no"


def printer_from(context: Context, config: Config, answers: Mapping[str, float | bool]) -> Outcome:
    """Keep the printer's numbers that follow from the answers."""
    return write_printer(context, printer_of(answers, sheet_for(config, Kind.TEST)))
