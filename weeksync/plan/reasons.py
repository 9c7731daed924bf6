"""Why a task is proposed for a time, is late, or has no place: one sentence each."""

from __future__ import annotations

from datetime import date

from weeksync.message import Message, counted, message
from weeksync.model.spread import PlanTask


def chosen(day: date, no_gap: int = 0) -> Message:
    """A person put it on that day; no gap of which holds so many minutes, where any are given."""
    if no_gap:
        return counted(
            "chosen for {day}, and no gap of that day holds its {count} minute",
            "chosen for {day}, and no gap of that day holds its {count} minutes",
            no_gap,
            day=day.isoformat(),
        )
    return message("chosen for {day}", day=day.isoformat())


def wanted(day: date, no_gap: int = 0) -> Message:
    """A person made it a priority of that day; `no_gap` as in `chosen`."""
    if no_gap:
        return counted(
            "a priority of {day}, and no gap of that day holds its {count} minute",
            "a priority of {day}, and no gap of that day holds its {count} minutes",
            no_gap,
            day=day.isoformat(),
        )
    return message("a priority of {day}", day=day.isoformat())


def kept() -> Message:
    """It stands where it stood when the week was confirmed."""
    return message("as it stood when the week was confirmed")


def kept_late(task: PlanTask) -> Message:
    """The same of one that is late there."""
    return message(
        "to be done by {day}; as it stood when the week was confirmed",
        day=(task.last_day or date.max).isoformat(),
    )


def placed(task: PlanTask, minutes: int, plannable: int, *, guessed: bool) -> Message:
    """It fits: when it is due, and what it takes of the minutes of its days.

    A day before which it cannot be begun, and lead days, are told: the count of the fewest late
    knows nothing of the first, and the second bring the due date forward.
    """
    values = {"minutes": minutes, "plannable": plannable}
    if task.due is None:
        return _undated(guessed, values)
    dated = values | {"due": task.due.isoformat()}
    if task.lead_days and task.last_day is not None:
        return _with_lead(guessed, dated | {"day": task.last_day.isoformat()})
    if task.not_before is not None:
        return _released(guessed, dated | {"first": task.not_before.isoformat()})
    if guessed:
        return message("due {due}: the usual {minutes} of {plannable} plannable minutes", **dated)
    return message("due {due}: {minutes} of {plannable} plannable minutes", **dated)


def _undated(guessed: bool, values: dict[str, int]) -> Message:
    if guessed:
        return message(
            "no due date: the usual {minutes} of {plannable} plannable minutes", **values
        )
    return message("no due date: {minutes} of {plannable} plannable minutes", **values)


def _with_lead(guessed: bool, values: dict[str, int | str]) -> Message:
    if guessed:
        return message(
            "due {due}, to be done by {day}: the usual {minutes} of {plannable} plannable minutes",
            **values,
        )
    return message(
        "due {due}, to be done by {day}: {minutes} of {plannable} plannable minutes", **values
    )


def _released(guessed: bool, values: dict[str, int | str]) -> Message:
    if guessed:
        return message(
            "from {first}, due {due}: the usual {minutes} of {plannable} plannable minutes",
            **values,
        )
    return message("from {first}, due {due}: {minutes} of {plannable} plannable minutes", **values)


def late(task: PlanTask, missing: int, found_on: date | None, first: date) -> Message:
    """It does not fit before it is due: how much is missing, and where it would fit after that.

    Of one that was due before the `first` of the days that is not said: nothing of them helps.
    """
    day = task.last_day or first
    if day < first:
        return _overdue(day, found_on)
    if task.not_before is not None and task.not_before > day:
        return message(
            "to be done by {day}, and it cannot be begun before {first}",
            day=day.isoformat(),
            first=task.not_before.isoformat(),
        )
    if found_on is None:
        return counted(
            "{count} plannable minute is missing until {day}",
            "{count} plannable minutes are missing until {day}",
            missing,
            day=day.isoformat(),
        )
    return counted(
        "{count} plannable minute is missing until {day}; it fits on {later}",
        "{count} plannable minutes are missing until {day}; it fits on {later}",
        missing,
        day=day.isoformat(),
        later=found_on.isoformat(),
    )


def _overdue(day: date, found_on: date | None) -> Message:
    if found_on is None:
        return message("to be done by {day}, and these days are full", day=day.isoformat())
    return message(
        "to be done by {day}; it fits on {later}",
        day=day.isoformat(),
        later=found_on.isoformat(),
    )


def rests(task: PlanTask) -> Message:
    """All the days that remain are lighter ones."""
    if task.last_day is None:
        return message("for lighter days nothing is proposed")
    return message(
        "to be done by {day}; for lighter days nothing is proposed", day=task.last_day.isoformat()
    )


def waits(task: PlanTask) -> Message:
    """It cannot be done before something else is."""
    return message("waits for: {what}", what=task.waits_for)


def not_yet(first: date) -> Message:
    """It cannot be begun in these days."""
    return message("cannot be begun before {day}", day=first.isoformat())


def begun_late(task: PlanTask, left: int, first: date) -> Message:
    """It fits by its minutes, and not from the day on which it can be begun."""
    return counted(
        "from {first} on {count} plannable minute is left until {day}",
        "from {first} on {count} plannable minutes are left until {day}",
        left,
        first=first.isoformat(),
        day=(task.last_day or first).isoformat(),
    )


def nobody() -> Message:
    """Nobody does it whose days are planned."""
    return message("nobody whose days are planned is named for it")


def no_gap(minutes: int, *, part: bool) -> Message:
    """Its minutes fit and no gap does."""
    if part:
        return counted(
            "its {count} minute fits, and no gap of its day part does",
            "its {count} minutes fit, and no gap of its day part does",
            minutes,
        )
    return counted(
        "its {count} minute fits, and no gap does",
        "its {count} minutes fit, and no gap does",
        minutes,
    )


def full(task: PlanTask, left: int) -> Message:
    """Nothing is lost yet: these days are full, and it has time or no date."""
    if task.due is None:
        return counted(
            "no due date, and {count} plannable minute is left",
            "no due date, and {count} plannable minutes are left",
            left,
        )
    return counted(
        "due {day}, and {count} plannable minute is left here",
        "due {day}, and {count} plannable minutes are left here",
        left,
        day=task.due.isoformat(),
    )
