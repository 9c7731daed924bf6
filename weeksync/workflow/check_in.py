"""A check-in written: whose it is, for which day, and what became of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date, timedelta

from weeksync.errors import UsageError
from weeksync.household import held_check_in, write_check_in
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.check_in import LABELS, CheckInFields, fields_of
from weeksync.workflow.context import Context

MOST_DAYS_BACK = 31
"""Check-ins further back are no longer of the morning they speak of; the bound is ours."""

_KNOWN = frozenset({"day", "person", "seen", *LABELS})


@dataclass(frozen=True, slots=True)
class Entry:
    """What a person's check-in of a day says; `seen` is the digest of its file, "" for none."""

    day: date
    fields: CheckInFields
    seen: str


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of a check-in.

    Where it is not `saved`, `text` says why and where it is kept, and `held` are the fields that
    stand in the file. `seen` is the digest of the file as it is now.
    """

    saved: bool
    seen: str
    held: Mapping[str, object] = field(default_factory=dict)
    text: Message | None = None


def named_day(context: Context, text: str) -> date:
    """The day that is written as `2027-03-22`; "" is today.

    UsageError for what is no day, has not come, or lies more than `MOST_DAYS_BACK` days back.
    """
    try:
        day = date.fromisoformat(text) if text else context.today
    except ValueError:
        raise UsageError(
            message('day = "{value}" is no date; write it as 2027-03-22', value=text[:40])
        ) from None
    return allowed(context, day)


def allowed(context: Context, day: date) -> date:
    """The day, where a check-in of it may be written; else UsageError."""
    if day > context.today:
        raise UsageError(
            message(
                "day = {day} has not come yet; write its check-in on that day", day=day.isoformat()
            )
        )
    if day < context.today - timedelta(days=MOST_DAYS_BACK):
        raise UsageError(
            message(
                "day = {day} lies more than {count} days back; write to its file in check-ins/ "
                "in an editor",
                day=day.isoformat(),
                count=MOST_DAYS_BACK,
            )
        )
    return day


def held_entry(context: Context, person: str, day: date) -> Entry:
    """What stands there of that person and day."""
    found = held_check_in(context.folder, context.known_person(person), context.first_person, day)
    return Entry(day, found.fields, found.seen)


def take(context: Context, person: str, given: Mapping[str, object]) -> Taken:
    """Write what arrives: `day`, `feeling`, `energy`, `why`, `help`, `gratitude`, and `seen`.

    UsageError where a day or a field cannot be; EditRefused and HouseholdError where the file
    could not be written: nothing has changed then, and the same may be sent once more.
    """
    unknown = sorted(set(given) - _KNOWN)
    if unknown:
        raise UsageError(
            message(
                "a check-in has no {key}; it has {known}",
                key=unknown[0][:40].encode(errors="replace").decode(),
                known=", ".join(LABELS),
            )
        )
    day, seen = given.get("day") or "", given.get("seen") or ""
    if not isinstance(day, str) or not isinstance(seen, str):
        raise UsageError(message("day and seen are texts; write the day as 2027-03-22"))
    return write(context, person, named_day(context, day), fields_of(given), seen)


def write(context: Context, person: str, day: date, fields: CheckInFields, seen: str) -> Taken:
    """Write the fields of a person and a day; as `take`."""
    written = write_check_in(
        context.folder,
        context.known_person(person),
        context.first_person,
        allowed(context, day),
        fields,
        seen,
        say=context.language.text,
    )
    return Taken(written.saved, written.seen, written.held.said(), written.why)
