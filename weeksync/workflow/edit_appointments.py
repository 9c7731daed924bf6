"""The forms of appointments and of routines: what takes a person's time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from weeksync.message import message
from weeksync.model.files import Appointment, AppointmentsFile, Routine, RoutinesFile
from weeksync.workflow.edit_choices import Rows, Several, Weekdays, Yes
from weeksync.workflow.edit_codecs import Day, Text, Whole
from weeksync.workflow.edit_kinds import Ending, Group, Kind, listed, marked, take_out
from weeksync.workflow.edit_repeats import Repeats, ended, rhythm
from weeksync.workflow.edit_tasks import AREA, ONLY_FOR, SHARE
from weeksync.workflow.edit_times import DAY, Hours, Moment
from weeksync.workflow.edit_words import EditWords

PEOPLE = Several(
    key="person", label=message("Whose time it takes"), options=EditWords.people, one_alone=True
)


def _day(one: Appointment) -> date:
    return one.start.date() if isinstance(one.start, datetime) else one.start


def _over(words: EditWords, one: Appointment) -> bool:
    """Whether it has been; one that repeats is over after its last day, where a rule says one."""
    today = words.context.today
    if one.repeats:
        last = rhythm(one.repeats, _day(one)).until
        return last is not None and last < today
    end = one.end or one.start
    return (end.date() if isinstance(end, datetime) else end) < today


def _who(words: EditWords, persons: str | tuple[str, ...]) -> str:
    named = [persons] if isinstance(persons, str) else list(persons)
    return words.context.language.listed([words.name(one) for one in named]) if named else ""


def _note(words: EditWords, one: Appointment) -> str:
    language = words.context.language
    when = language.date(_day(one), "weekday day month")
    if isinstance(one.start, datetime):
        when = language.joined([when, language.time(one.start)])
    if one.repeats:
        when = words.say(message("from {day}, repeated", day=_day(one).isoformat()))
    return listed(words, [when, _who(words, one.person)])


def _endings(words: EditWords, one: Appointment) -> Sequence[Ending]:
    today = words.context.today
    if _day(one) >= today and not marked(words, one):
        return (take_out(message("It has not been yet.")),)
    if one.repeats and not _over(words, one) and _day(one) < today:
        last = today - timedelta(days=1)
        return (
            Ending(
                "end",
                message("It does not happen any more"),
                message("From today on; what has been stays in the weeks it stood in."),
                message("Ended: “{title}”", title="{title}"),
                {"repeats": ended(one.repeats, last)},
            ),
        )
    return ()


APPOINTMENTS = Kind(
    name="appointments",
    word="appointment",
    array="appointments",
    file="appointments.toml",
    model=AppointmentsFile,
    record=Appointment,
    heading=message("Appointments"),
    one=message("Appointment"),
    add=message("Add an appointment"),
    empty=message("No appointment to come stands in the household's own files."),
    held=lambda words: words.context.files.appointments,
    note=_note,
    over=_over,
    endings=_endings,
    stays=message("It has been, or has begun: it stays in the weeks it stood in."),
    groups=(
        Group(
            None,
            (
                Text(key="title", label=message("What it is called"), required=True),
                Moment(key="start", label=message("When")),
                Whole(
                    key="minutes",
                    label=message("Or how long"),
                    unit=message("minutes"),
                    hint=message("In place of a time at which it ends."),
                    narrow=True,
                ),
                Text(key="place", label=message("Where"), narrow=True),
                PEOPLE,
            ),
        ),
        Group(
            message("Repeats"),
            (
                Repeats(key="repeats", label=message("It happens again"), first=DAY),
                Rows(
                    key="not_on",
                    label=message("Not on"),
                    parts=(Day(key="", label=message("It does not happen on"), narrow=True),),
                ),
            ),
            folded=True,
        ),
        Group(
            message("More"),
            (
                AREA,
                Whole(
                    key="travel_minutes",
                    label=message("On the way, before and after"),
                    unit=message("minutes"),
                    default=0,
                    narrow=True,
                ),
                Yes(key="busy", label=message("It takes time"), default=True),
                Yes(key="away", label=message("Away from home")),
                Rows(
                    key="prepare",
                    label=message("To be done beforehand"),
                    parts=(
                        Text(
                            key="what",
                            label=message("To be done beforehand"),
                            required=True,
                            narrow=True,
                        ),
                        Whole(
                            key="days",
                            label=message("Days before"),
                            required=True,
                            narrow=True,
                        ),
                    ),
                ),
                Text(key="notes", label=message("Notes"), hint=message("Markdown."), long=True),
                *SHARE,
                ONLY_FOR,
            ),
            folded=True,
        ),
    ),
)

ROUTINES = Kind(
    name="routines",
    word="routine",
    array="routines",
    file="routines.toml",
    model=RoutinesFile,
    record=Routine,
    heading=message("Routines"),
    one=message("Routine"),
    add=message("Add a routine"),
    empty=message("There is no routine."),
    held=lambda words: words.context.files.routines,
    note=lambda words, one: listed(words, [_who(words, one.person), one.hours]),
    endings=lambda words, one: (
        take_out(message("Weeks that are closed keep it; it is on no page by itself.")),
    ),
    groups=(
        Group(
            None,
            (
                Text(key="title", label=message("What it is called"), required=True),
                Hours(key="hours", label=message("Hours")),
                Several(
                    key="person",
                    label=message("Whose time it takes"),
                    options=EditWords.people,
                    one_alone=True,
                    required=True,
                ),
                Weekdays(
                    key="days",
                    label=message("On these days"),
                    hint=message("None is every day."),
                    every_day=True,
                ),
                Yes(key="terms_only", label=message("Only on days of a term")),
            ),
        ),
    ),
)
