"""The sentences about what is left out of a calendar because there is too much of it."""

from __future__ import annotations

from weeksync.calendar.report import about_object, short
from weeksync.message import counted, message
from weeksync.model.limits import ReadLimits
from weeksync.model.problem import Problem


def too_many(source: str, title: str, uid: str, most: int) -> Problem:
    """More occurrences than the limit, or more work than the budget."""
    return about_object(
        source,
        message(
            '"{title}" ({uid}) repeats more often than can be shown; at most {most} times are',
            title=title,
            uid=uid,
            most=most,
        ),
        message("let it repeat less often, or end it, in the calendar it comes from"),
    )


def too_many_versions(source: str, title: str, uid: str, left_out: int) -> Problem:
    """More components under one UID than are read."""
    return about_object(
        source,
        counted(
            '"{title}" ({uid}) was changed more often than can be read; {count} change is left out',
            '"{title}" ({uid}) was changed more often than can be read;'
            " {count} changes are left out",
            left_out,
            title=title,
            uid=short(uid),
        ),
        message("end it in the calendar it comes from, and begin it anew"),
    )


def shortened(source: str, title: str, uid: str) -> Problem:
    """A component, or one of its lines, that is longer than is read."""
    return about_object(
        source,
        message(
            '"{title}" ({uid}) is longer than is read; a line is cut off or the end is left out',
            title=title,
            uid=short(uid),
        ),
        message("shorten its texts and lists in the calendar it comes from"),
    )


def too_many_names(source: str, title: str, uid: str, name: str, most: int) -> Problem:
    """More attendees or categories than are kept."""
    return about_object(
        source,
        message(
            '"{title}" ({uid}) has more than {most} of {name}; the rest is left out',
            title=title,
            uid=short(uid),
            most=most,
            name=name,
        ),
        message("shorten its texts and lists in the calendar it comes from"),
    )


def no_room(source: str, left_out: int, most: int) -> Problem:
    """More occurrences in the window than one source may have, or the whole run."""
    return about_object(
        source,
        counted(
            "it has more on these days than can be shown: {count} event is left out or cut short;"
            " what is near this week, short and seldom goes first, and occurrences, each day of"
            " them counted, are taken up to {most}",
            "it has more on these days than can be shown: {count} events are left out or cut short;"
            " what is near this week, short and seldom goes first, and occurrences, each day of"
            " them counted, are taken up to {most}",
            left_out,
            most=most,
        ),
        message(
            "delete what nobody needs in the calendar it comes from, or raise"
            " occurrences_per_source and occurrences_per_run under [limits] in config.toml"
        ),
    )


def no_steps(source: str, left_out: int) -> Problem:
    """Rules that take more work than one source may take, or the whole run."""
    return about_object(
        source,
        counted(
            "it takes too much work to reckon when its events repeat: {count} of them is left out"
            " or cut short",
            "it takes too much work to reckon when its events repeat: {count} of them are left out"
            " or cut short",
            left_out,
        ),
        message("end the events that repeat most often in the calendar they come from"),
    )


def object_full(source: str, name: str, entries: int, limits: ReadLimits) -> Problem:
    """More components, or lines that begin or end one, than are read of one object."""
    return about_object(
        source,
        message(
            '"{name}" holds more than is read of one file: its first {entries} events, to-dos and'
            " journal entries are taken (at most {most}, and {marks} lines BEGIN and END); what"
            " comes after is left out",
            name=short(name),
            entries=entries,
            most=limits.entries,
            marks=limits.marks,
        ),
        message(
            "export it in parts or without what is long over, or raise entries_per_object under"
            " [limits] in config.toml"
        ),
        name=name,
    )


def source_full(source: str, unread: int, most: int) -> Problem:
    """More components than are read of one source, or in a whole run."""
    return about_object(
        source,
        counted(
            "it holds more than {most} events, to-dos and journal entries;"
            " {count} object of it is not read",
            "it holds more than {most} events, to-dos and journal entries;"
            " {count} objects of it are not read",
            unread,
            most=most,
        ),
        message("raise entries_per_source and entries_per_run under [limits] in config.toml"),
    )


def heavy_zones(source: str, name: str, tzid: str, count: int) -> Problem:
    """Time zones whose rules are too long, or too many, to be kept."""
    return about_object(
        source,
        counted(
            'in "{name}" the rules of {count} time zone are left out, of "{tzid}": they are too'
            " long or too many; its name has to do",
            'in "{name}" the rules of {count} time zones are left out, the first of "{tzid}": they'
            " are too long or too many; their names have to do",
            count,
            name=short(name),
            tzid=short(tzid),
        ),
        message("compare one of its times with the calendar it comes from"),
        name=name,
    )


def too_many_zones(source: str, most: int) -> Problem:
    """More time zones than are looked up."""
    return about_object(
        source,
        message(
            "it uses more than {most} time zones; times in the others are read in that of the"
            " household",
            most=most,
        ),
        message("compare some of its times with the calendar it comes from"),
    )


def busy_zone(source: str, tzid: str) -> Problem:
    """A time zone whose rules take too much work to reckon."""
    return about_object(
        source,
        message(
            'the rules of the time zone "{tzid}" take too much work to reckon; its name has to do',
            tzid=short(tzid),
        ),
        message("compare one of its times with the calendar it comes from"),
    )


def more(source: str, count: int) -> Problem:
    """Problems that are not listed."""
    return about_object(
        source,
        counted(
            "there is {count} more problem of this kind",
            "there are {count} more problems of this kind",
            count,
        ),
        message("correct those that are listed first"),
    )


def too_many_dates(source: str, title: str, uid: str, name: str, most: int) -> Problem:
    """More RDATEs or EXDATEs than are read."""
    return about_object(
        source,
        message(
            '"{title}" ({uid}) has more than {most} dates in {name}; the rest is passed over',
            title=title,
            uid=uid,
            name=name,
            most=most,
        ),
        message("end it in the calendar it comes from, and begin it anew"),
    )
