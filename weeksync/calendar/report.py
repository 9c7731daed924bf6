"""The sentences about what a calendar holds and we could not read, or read by a rule of ours."""

from __future__ import annotations

from weeksync.message import Message, counted, message
from weeksync.model.limits import ReadLimits
from weeksync.model.problem import Place, Problem, ProblemKind

_LONGEST = 80


def short(text: str) -> str:
    """A value from a calendar as part of a sentence: one line, not too long."""
    line = " ".join(text.split())
    return line if len(line) <= _LONGEST else line[: _LONGEST - 1] + "…"


def _object(
    source: str,
    what: Message,
    remedy: Message,
    kind: ProblemKind = ProblemKind.OBJECT,
    name: str = "",
    line: int | None = None,
) -> Problem:
    return Problem(kind, what, Place(source=source, object=name, line=line), remedy)


def unknown_zone(source: str, tzid: str, used: str) -> Problem:
    """A TZID that says nothing."""
    return _object(
        source,
        message(
            'the time zone "{tzid}" is not known; its times are read in {zone}',
            tzid=short(tzid),
            zone=used,
        ),
        message("set the zone of these events again in the calendar they come from"),
    )


def own_rules(source: str, tzid: str) -> Problem:
    """A VTIMEZONE that differs from the zone of its name."""
    return _object(
        source,
        message(
            'the calendar has rules of its own for the time zone "{tzid}"; they are used as given',
            tzid=short(tzid),
        ),
        message("compare one of its times with the calendar it comes from"),
        ProblemKind.NOTICE,
    )


def no_start(source: str, title: str, uid: str) -> Problem:
    """An event without DTSTART."""
    return _object(
        source,
        message('the event "{title}" ({uid}) has no start; it is left out', title=title, uid=uid),
        message("give it a start in the calendar it comes from, or delete it there"),
    )


def bad_value(source: str, title: str, uid: str, name: str, value: str) -> Problem:
    """A property that cannot be read; the rest of its event is used."""
    return _object(
        source,
        message(
            '{name} of "{title}" ({uid}) cannot be read: "{value}"; it is passed over',
            name=name,
            title=title,
            uid=uid,
            value=short(value),
        ),
        message("save the event again in the calendar it comes from"),
    )


def doubled(source: str, title: str, uid: str, name: str) -> Problem:
    """A property that may be there once, and is there again with another value."""
    return _object(
        source,
        message(
            '"{title}" ({uid}) has {name} more than once; the first one that can be read counts',
            title=title,
            uid=short(uid),
            name=name,
        ),
        message("save the event again in the calendar it comes from"),
    )


def bad_rule(source: str, title: str, uid: str, value: str) -> Problem:
    """A recurrence rule that cannot be used: only the first time is known."""
    return _object(
        source,
        message(
            'how "{title}" ({uid}) repeats cannot be read: "{value}"; only its first time is shown',
            title=title,
            uid=uid,
            value=short(value),
        ),
        message("set how it repeats again in the calendar it comes from"),
    )


def end_before_start(source: str, title: str, uid: str) -> Problem:
    """DTEND before DTSTART."""
    return _object(
        source,
        message(
            '"{title}" ({uid}) ends before it starts; only its start is shown',
            title=title,
            uid=uid,
        ),
        message("correct its end in the calendar it comes from"),
    )


def one_uid_twice(source: str, title: str, uid: str) -> Problem:
    """Two events under one UID, neither a revision of the other."""
    return _object(
        source,
        message(
            'two events have the same UID {uid}; only "{title}" is shown', uid=uid, title=title
        ),
        message("delete one of them in the calendar it comes from and enter it again"),
    )


def too_many(source: str, title: str, uid: str, most: int) -> Problem:
    """More occurrences than the limit, or more work than the budget."""
    return _object(
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
    return _object(
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
    return _object(
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
    return _object(
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
    return _object(
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
    return _object(
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
    return _object(
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
    return _object(
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
    return _object(
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
    return _object(
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
    return _object(
        source,
        message(
            'the rules of the time zone "{tzid}" take too much work to reckon; its name has to do',
            tzid=short(tzid),
        ),
        message("compare one of its times with the calendar it comes from"),
    )


def unreadable(source: str, title: str, uid: str, reason: str) -> Problem:
    """Whatever else went wrong inside one event."""
    return _object(
        source,
        message(
            '"{title}" ({uid}) cannot be read ({reason}); it is left out',
            title=title,
            uid=uid,
            reason=short(reason),
        ),
        message("save the event again in the calendar it comes from"),
    )


def cut(source: str, name: str, line: int) -> Problem:
    """A text that ends before its last END; `line` is its last."""
    return _object(
        source,
        message('"{name}" ends in the middle; what comes after is missing', name=short(name)),
        message("pull the source again, or export the file again"),
        name=name,
        line=line,
    )


def unbalanced(source: str, name: str, line: int | None) -> Problem:
    """BEGIN and END that do not match; `line` is where that is first seen."""
    return _object(
        source,
        message(
            'in "{name}" BEGIN and END lines do not match; what could be told apart is shown',
            name=short(name),
        ),
        message("export the file again, or tell whoever publishes it"),
        name=name,
        line=line,
    )


def no_calendar(source: str, name: str, begins: str) -> Problem:
    """A text with no calendar in it, and how it begins."""
    shown = short("".join(one if one.isprintable() else " " for one in begins[:_LONGEST]))
    what = message('"{name}" is empty', name=short(name))
    if shown:
        what = message(
            '"{name}" holds no calendar; it begins with "{text}"', name=short(name), text=shown
        )
    remedy = message("look whether the address or the file is the right one")
    return _object(source, what, remedy, name=name)


def appointment(title: str, rule: str) -> Problem:
    """An appointment of the household whose rule cannot be followed."""
    return Problem(
        ProblemKind.MISTAKE,
        message(
            'how the appointment "{title}" repeats cannot be followed: "{rule}"',
            title=short(title),
            rule=short(rule),
        ),
        Place(file="appointments.toml"),
        message("write a rule that gives fewer times, as FREQ=WEEKLY;BYDAY=TU"),
    )


def more(source: str, count: int) -> Problem:
    """Problems that are not listed."""
    return _object(
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
    return _object(
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
