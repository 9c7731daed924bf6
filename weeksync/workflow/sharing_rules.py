"""The shared week of a household: what it is made from, and what is released for it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from weeksync.errors import UsageError
from weeksync.household.sharing_edits import (
    release_appointment,
    release_habit,
    release_task,
    release_title,
)
from weeksync.message import Message, message
from weeksync.model.files import Appointment, Habit, Task
from weeksync.model.shared import Decision, Redacted, ShownAs
from weeksync.model.spread import Spread
from weeksync.model.week import IsoWeek
from weeksync.redact import Sources, absences, redact, refusals
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.gather import gather
from weeksync.workflow.show import planned

LONGEST = timedelta(weeks=13)
"""How far after a week an absence is followed that began with it."""


def redacted(context: Context, week: IsoWeek) -> Redacted:
    """The week as strangers may see it, and what was decided about each thing of it.

    Of a closed week what was kept is shown, by the rules of today; it is read from calendars and
    files as well, so that what has become private or an absence since is left out. UsageError
    where the week is not over, touches an absence that is not over, or its record is damaged.
    """
    made, refused = explained(context, week)
    for why in refused:
        raise UsageError(why)
    return made


def explained(context: Context, week: IsoWeek) -> tuple[Redacted, tuple[Message, ...]]:
    """The same for the household's own eyes, also before the week is over, and why it cannot be
    shared yet. UsageError where its record is damaged."""
    sources = sources_of(context, week)
    days = [day.date for day in sources.spread.days]
    refused = tuple(refusals(days, absences(sources), context.now, context.tz))
    return redact(sources), refused


def sources_of(context: Context, week: IsoWeek) -> Sources:
    """The week with everything on it, and what else is known of its days."""
    if week in context.archive.weeks:
        closed = context.archive.get(week)
        if closed is None:
            raise UsageError(
                message(
                    "{week} is closed, and its record cannot be read; weeksync check says why",
                    week=str(week),
                )
            )
        spread = closed.spread
    else:
        spread = planned(context, week)[1]
    around = _neighbourhood(context, [day.date for day in spread.days])
    return Sources(spread, context.files, context.tz, (around,))


def _neighbourhood(context: Context, days: Sequence[date]) -> Spread:
    """The week and the days around it as they are read today, as far as today."""
    first = days[0] - timedelta(days=1)
    last = max(days[-1] + timedelta(days=1), min(context.today, days[-1] + LONGEST))
    with Store.open(context.state, write=False) as store:
        return gather(context, store, first, last).planner.span(first, last)


def release(context: Context, week: IsoWeek, what: str) -> Message:
    """Let one thing through: a habit, task or appointment by its id or its title, or the title
    of a calendar's event or to-do, word for word.

    It is written into its entry, or into `[sharing] released` of `config.toml`. UsageError where
    the week has no such thing, or it is never shared; EditRefused where it cannot be written.
    """
    entries = _entries(context)
    by_id = next((one for one in entries if one.id == what), None)
    if by_id is not None:
        return _release_entry(context, by_id)
    decisions = redact(sources_of(context, week)).decisions
    found = next((one for one in decisions if _is(one.release, what)), None)
    if found is None:
        named = [one for one in entries if _is(one.title, what)]
        if len(named) > 1:
            raise UsageError(
                message(
                    "several things are called “{title}”; name one by its id: {known}",
                    title=named[0].title,
                    known=", ".join(one.id for one in named),
                )
            )
        if named:
            return _release_entry(context, named[0])
        there = next((one for one in decisions if _is(one.title, what)), None)
        if there is not None:
            raise UsageError(_no_use(there, week))
        raise UsageError(
            message(
                '{week} has nothing of the name "{value}" that can be released; weeksync share '
                "{week} --explain lists what can be",
                week=str(week),
                value=what[:60],
            )
        )
    if (entry := next((one for one in entries if one.id == found.release), None)) is not None:
        return _release_entry(context, entry)
    release_title(context.folder, found.release)
    return _done(found.release)


def _entries(context: Context) -> tuple[Habit | Task | Appointment, ...]:
    """What is released in its own entry."""
    files = context.files
    return (*files.habits, *files.tasks, *files.appointments)


def _release_entry(context: Context, entry: Habit | Task | Appointment) -> Message:
    _may(bool(entry.only_for), message("what is only for some is never shared"))
    match entry:
        case Habit():
            _may(entry.health, message("habits marked as health are never shared"))
            release_habit(context.folder, entry)
        case Task():
            release_task(context.folder, entry)
        case Appointment():
            _may(bool(entry.away), message("an absence is never shared"))
            release_appointment(context.folder, entry)
    return _done(entry.title)


def _is(title: str, what: str) -> bool:
    return bool(title) and title.casefold() == what.strip().casefold()


def _no_use(there: Decision, week: IsoWeek) -> Message:
    if there.shown_as is ShownAs.TITLE:
        return message("“{title}” is on the shared page already", title=there.title)
    return message(
        "releasing “{title}” would not show it; weeksync share {week} --explain says why. Where no "
        'rule lets it through, add share = "title" to its calendar or to a rule of config.toml',
        title=there.title,
        week=str(week),
    )


def _may(forbidden: bool, why: Message) -> None:
    if forbidden:
        raise UsageError(why)


def _done(title: str) -> Message:
    return message("“{title}” is released for shared pages.", title=title)


def releasable(decisions: Iterable[Decision]) -> tuple[str, ...]:
    """What `share --release` takes, each once, in the order of the week."""
    return tuple(dict.fromkeys(one.release for one in decisions if one.release))
