"""Why a value cannot be used, in plain words: what pydantic says, translated.

Every kind of error that the records can raise has its entry here; a test walks them all.
"""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Callable
from dataclasses import field

from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.mistake import Mistake
from weeksync.read.shown import listed, nearest, shown

Said = tuple[Message, Message]
"""(what is wrong, remedy)"""


@dataclass(slots=True)
class Wrong:
    """A value that pydantic refused: all kinds of error at one place, with their details.

    A value that may be of several kinds (an id or a list of ids) fails once for each.
    `context` holds the details of each kind of error.
    """

    key: str
    value: object
    context: dict[str, dict[str, object]] = field(default_factory=dict)

    @property
    def kinds(self) -> set[str]:
        """The kinds of error, as pydantic names them."""
        return set(self.context)

    def detail(self, name: str) -> object:
        """A detail of whichever error has it."""
        return next((one[name] for one in self.context.values() if name in one), "")


def explain_value(wrong: Wrong) -> tuple[Said, str]:
    """((what, remedy), key of the table whose line shows it; "" for the value itself)."""
    mistake = wrong.detail("error")
    if isinstance(mistake, Mistake):
        return (_filled(mistake.what, wrong, mistake.key), mistake.remedy), mistake.key
    for kinds, explain in _ENTRIES:
        if wrong.kinds & kinds:
            return explain(wrong), ""
    return _fallback(wrong), ""


def _filled(what: Message, wrong: Wrong, key: str) -> Message:
    value = wrong.value
    if key and isinstance(value, dict):
        value = value.get(key, "")
    name = key or wrong.key
    return Message(what.text, {**what.values, "key": name, "value": shown(value, name)})


def _of(text: Message, wrong: Wrong, **more: str | int | float) -> Message:
    values = {"key": wrong.key, "value": shown(wrong.value, wrong.key), **more}
    return Message(text.text, values)


def _choice(wrong: Wrong) -> Said:
    expected = str(wrong.detail("expected"))
    choices = re.findall(r"'([^']*)'", expected) or [expected]
    what = _of(message("{key} = {value} is not known here"), wrong)
    if wrong.key == wrong.value:
        what = _of(message("{key} is not known here"), wrong)
    near = nearest(wrong.value, choices)
    if near is not None:
        return what, message(
            "did you mean {near}? write one of {choices}", near=near, choices=listed(choices)
        )
    if len(choices) == 1:
        return what, message("write {choice}", choice=choices[0])
    return what, message("write one of {choices}", choices=listed(choices))


def _moment(wrong: Wrong) -> Said:
    """A date, or a date that may have a time."""
    text = str(wrong.value) if not hasattr(wrong.value, "isoformat") else wrong.value.isoformat()
    what = _of(message("{key} = {value} is no date"), wrong)
    found = re.match(r"(\d{4})-(\d\d)-(\d\d)(.*)", text)
    if found and 1 <= int(found[2]) <= 12 and int(found[1]) > 0:
        last = monthrange(int(found[1]), int(found[2]))[1]
        if not 1 <= int(found[3]) <= last:
            near = f"{found[1]}-{found[2]}-{last:02}"
            return what, message("write a day that exists, as {day}", day=near)
        if found[4] and not wrong.kinds & _DATE_TIME:
            day = text[:10]
            return what, message("write the date without a time, as {day}", day=day)
    if wrong.kinds & _DATE_TIME:
        what = _of(message("{key} = {value} is no date, nor a date with a time"), wrong)
        return what, message("write 2027-03-22, or 2027-03-22T14:30:00 for a time")
    return what, message("write year-month-day, as 2027-03-22")


def _one_or_more(wrong: Wrong) -> Said:
    if "string_type" in wrong.kinds:
        return (
            _of(message("{key} = {value} is neither an id nor a list of ids"), wrong),
            message('write one in quotes, as "garden-gate", or several in square brackets'),
        )
    if isinstance(wrong.value, dict):
        return (
            _of(message("there can be several of {key}"), wrong),
            _of(message("write its name in two pairs of brackets: [[{key}]]"), wrong),
        )
    return (
        _of(message("{key} = {value} is no list"), wrong),
        message('put it in square brackets, as ["garden-gate"]'),
    )


def _text(wrong: Wrong) -> Said:
    what = _of(message("{key} = {value} is no text"), wrong)
    if isinstance(wrong.value, list):
        return what, message("write one text in quotes, without brackets")
    return what, message("put it in quotes")


def _whole(wrong: Wrong) -> Said:
    what = _of(message("{key} = {value} is no whole number"), wrong)
    if wrong.key == "amount":
        return what, message("write it in the smallest unit, as 4250 for 42.50")
    return what, message("write digits only, without quotes and decimals")


def _table(wrong: Wrong) -> Said:
    if isinstance(wrong.value, list):
        return (
            _of(message("there is only one {key}"), wrong),
            _of(message("write its name in one pair of brackets: [{key}]"), wrong),
        )
    return (
        _of(message("{key} = {value} is no table"), wrong),
        _of(message("write a line [{key}] and its settings below"), wrong),
    )


def _simple(what: Message, remedy: Message, detail: str = "") -> Callable[[Wrong], Said]:
    def said(wrong: Wrong) -> Said:
        limit = str(wrong.detail(detail)).removesuffix(".0") if detail else ""
        return _of(what, wrong), _of(remedy, wrong, limit=limit)

    return said


def _fallback(wrong: Wrong) -> Said:
    reason = ", ".join(sorted(wrong.kinds))
    return (
        _of(message("{key} = {value} cannot be used ({reason})"), wrong, reason=reason),
        message("correct it, or take it away"),
    )


_DATE_TIME = {
    "datetime_type",
    "datetime_parsing",
    "datetime_from_date_parsing",
    "datetime_object_invalid",
}
_DATE = {"date_type", "date_parsing", "date_from_datetime_parsing", "date_from_datetime_inexact"}

_ENTRIES: tuple[tuple[set[str], Callable[[Wrong], Said]], ...] = (
    (_DATE | _DATE_TIME, _moment),
    (
        {"time_type", "time_parsing"},
        _simple(
            message("{key} = {value} is no time of day"),
            message("write it on the 24-hour clock, as 14:30:00"),
        ),
    ),
    ({"tuple_type"}, _one_or_more),
    ({"dataclass_type", "dict_type"}, _table),
    ({"string_type"}, _text),
    (
        {"string_too_short"},
        _simple(message("{key} is empty"), message("write something between the quotes")),
    ),
    (
        {"string_too_long"},
        _simple(
            message("{key} = {value} is too long"),
            message("write at most {limit} signs"),
            "max_length",
        ),
    ),
    ({"too_short"}, _simple(message("{key} is empty"), message("name at least one"))),
    ({"int_type", "int_parsing_size"}, _whole),
    (
        {"float_type", "finite_number"},
        _simple(
            message("{key} = {value} is no number"),
            message("write digits, with a point before decimals, without quotes"),
        ),
    ),
    (
        {"bool_type"},
        _simple(
            message("{key} = {value} is neither true nor false"),
            message("write true or false, without quotes"),
        ),
    ),
    (
        {"greater_than_equal"},
        _simple(message("{key} = {value} is too small"), message("write {limit} or more"), "ge"),
    ),
    (
        {"greater_than"},
        _simple(message("{key} = {value} is too small"), message("write more than {limit}"), "gt"),
    ),
    (
        {"less_than_equal"},
        _simple(message("{key} = {value} is too large"), message("write {limit} or less"), "le"),
    ),
    ({"enum", "literal_error"}, _choice),
)
"""(kinds of error, how to say it), the first that fits; of a value that may be of several kinds
the more telling kind stands first."""

EXPLAINED = frozenset().union(*(kinds for kinds, _ in _ENTRIES), {"value_error"})
"""All kinds of error that have words of their own here; `missing` and
`unexpected_keyword_argument` are told by `weeksync.read.records`, which knows the table."""
