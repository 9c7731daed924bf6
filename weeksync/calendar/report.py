"""The sentences about what a calendar holds and we could not read, or read by a rule of ours."""

from __future__ import annotations

from weeksync.message import Message, message
from weeksync.model.problem import Place, Problem, ProblemKind

_LONGEST = 80


def short(text: str) -> str:
    """A value from a calendar as part of a sentence: one line, not too long."""
    line = " ".join(text.split())
    return line if len(line) <= _LONGEST else line[: _LONGEST - 1] + "…"


def about_object(
    source: str,
    what: Message,
    remedy: Message,
    kind: ProblemKind = ProblemKind.OBJECT,
    name: str = "",
    line: int | None = None,
) -> Problem:
    """A problem of an object of a source, at a line of it where that is known."""
    return Problem(kind, what, Place(source=source, object=name, line=line), remedy)


def unknown_zone(source: str, tzid: str, used: str) -> Problem:
    """A TZID that says nothing."""
    return about_object(
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
    return about_object(
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
    return about_object(
        source,
        message('the event "{title}" ({uid}) has no start; it is left out', title=title, uid=uid),
        message("give it a start in the calendar it comes from, or delete it there"),
    )


def bad_value(source: str, title: str, uid: str, name: str, value: str) -> Problem:
    """A property that cannot be read; the rest of its event is used."""
    return about_object(
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
    return about_object(
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
    return about_object(
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
    return about_object(
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
    return about_object(
        source,
        message(
            'two events have the same UID {uid}; only "{title}" is shown', uid=uid, title=title
        ),
        message("delete one of them in the calendar it comes from and enter it again"),
    )


def unreadable(source: str, title: str, uid: str, reason: str) -> Problem:
    """Whatever else went wrong inside one event."""
    return about_object(
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
    return about_object(
        source,
        message('"{name}" ends in the middle; what comes after is missing', name=short(name)),
        message("pull the source again, or export the file again"),
        name=name,
        line=line,
    )


def unbalanced(source: str, name: str, line: int | None) -> Problem:
    """BEGIN and END that do not match; `line` is where that is first seen."""
    return about_object(
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
    return about_object(source, what, remedy, name=name)


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
