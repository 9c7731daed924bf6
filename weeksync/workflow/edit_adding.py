"""An entry added at the command line: the fields of its form as options, and the same writing."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date

from weeksync.errors import UsageError
from weeksync.language import Language
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.fields import Weekday
from weeksync.workflow.context import Context
from weeksync.workflow.edit_choices import Pick, Rows, Several, Weekdays, Yes
from weeksync.workflow.edit_codecs import Amount, Codec, Day, Figure, Text, Whole
from weeksync.workflow.edit_forms import KINDS
from weeksync.workflow.edit_kinds import Kind
from weeksync.workflow.edit_repeats import CHOICES, CODES, Repeats
from weeksync.workflow.edit_saving import Place, Saved, save
from weeksync.workflow.edit_times import DAY, FROM, LAST, UNTIL, Hours, Moment
from weeksync.workflow.edit_words import EditWords, Given
from weeksync.workflow.spans import day_named

WORDS: Mapping[str, Kind] = {kind.word: kind for kind in KINDS.values()}
"""What can be added, by the word for one."""

_LEAST = 2
"""So many letters of a weekday's name tell it."""


@dataclass(frozen=True, slots=True)
class Question:
    """A field of the form as an option: `sort` is `text`, `day`, `weekdays`, `several` or `yes`.

    `default` is what a `yes` is without the option, which then says the opposite.
    """

    name: str
    label: Message
    sort: str = "text"
    required: bool = False
    default: bool = False

    @property
    def option(self) -> str:
        """As `--due`, or `--not-busy` for what is so without it."""
        plain = self.name.replace("_", "-")
        return f"--not-{plain}" if self.default else f"--{plain}"


def questions(kind: Kind) -> tuple[Question, ...]:
    """The fields of a kind, the one that names an entry first."""
    return tuple(one for codec in kind.codecs for one in _of(codec))


def _of(codec: Codec) -> Iterator[Question]:
    if isinstance(codec, Moment):
        yield Question(DAY, message("Day"), "day", required=True)
        yield Question(LAST, message("Last day"), "day")
        yield from _hours(required=False)
    elif isinstance(codec, Hours):
        yield from _hours(required=True)
    elif isinstance(codec, Repeats):
        yield Question(codec.key, message("day, week, month-day, year …, or a rule of RFC 5545"))
        yield Question(f"{codec.key}_every", message("Every how many"))
        yield Question(f"{codec.key}_on", message("On these days of the week"), "weekdays")
        if codec.until:
            yield Question(f"{codec.key}_until", message("Last day of repeating"), "day")
    elif isinstance(codec, Rows):
        if not codec.parts[0].key:  # of a list with several fields each, the form is the place
            yield Question(codec.key, codec.label, "days")
    elif isinstance(codec, Yes):
        yield Question(codec.key, codec.label, "yes", default=codec.default)
    else:
        yield Question(codec.key, codec.label, _sort(codec), codec.required)


def _sort(codec: Codec) -> str:
    sorts: dict[type[Codec], str] = {Day: "day", Weekdays: "weekdays", Several: "several"}
    plain = (Text, Whole, Figure, Amount, Pick)
    return "text" if isinstance(codec, plain) else sorts[type(codec)]


def _hours(*, required: bool) -> Iterator[Question]:
    yield Question(FROM, message("From"), "text", required)
    yield Question(UNTIL, message("Until"), "text", required)


def add(context: Context, kind: Kind, said: Mapping[str, tuple[str, ...]]) -> Saved:
    """Add an entry of which `said` has the options by name; see `edit_saving.Saved`.

    Days are named as people do (Fri, 29 Dec), or as 2027-03-22. UsageError for one that is none;
    HouseholdError where the file cannot be written.
    """
    words = EditWords(context, all_seen=True)
    place = Place(kind, kind.file)
    given: dict[str, tuple[str, ...]] = {}
    for codec in kind.codecs:
        for field in codec.fields(words, None):  # what the empty form of a new entry has
            given[field.name] = field.values
    for question in questions(kind):
        if question.name in said:
            given |= understood(context, question, said[question.name])
    return save(words, place, Given(given))


def understood(
    context: Context, question: Question, values: tuple[str, ...]
) -> dict[str, tuple[str, ...]]:
    """What the form would send for an option; UsageError for a day that is none."""
    name = question.name
    if name == "repeats" and values[0] not in CHOICES:
        return {name: ("own",), f"{name}_rule": values}
    if question.sort == "yes":
        return {name: () if question.default else ("yes",)}
    if question.sort == "day":
        return {name: (_day(context, values[0]).isoformat(),)}
    if question.sort == "days":
        days = [_day(context, one) for one in _apart(values)]
        return {f"{name}-{place}": (day.isoformat(),) for place, day in enumerate(days)}
    if question.sort == "weekdays":
        found = [_weekday(context.language, question, one) for one in _apart(values)]
        if name.endswith("_on"):
            return {name: tuple(CODES[one.number] for one in found)}
        return {name: tuple(one.value for one in found)}
    return {name: _apart(values) if question.sort == "several" else values}


def _apart(values: tuple[str, ...]) -> tuple[str, ...]:
    """What stands in an option several times, or in one with commas between."""
    return tuple(part.strip() for one in values for part in one.split(",") if part.strip())


def _day(context: Context, text: str) -> date:
    return day_named(text, context)


def _weekday(language: Language, question: Question, text: str) -> Weekday:
    wanted = text.casefold()
    for one in Weekday:
        names = (one.value, language.weekday(one.number).casefold())
        if len(wanted) >= _LEAST and any(name.startswith(wanted) for name in names):
            return one
    raise UsageError(
        message(
            '{option}: "{value}" is no day of the week; write it as monday',
            option=question.option,
            value=text[:40],
        )
    )


def missing(kind: Kind, said: Mapping[str, tuple[str, ...]]) -> tuple[Question, ...]:
    """What has to be said and is not."""
    return tuple(one for one in questions(kind) if one.required and not any(said.get(one.name, ())))
