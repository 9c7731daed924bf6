"""The calendars of the canary household: every property of RFC 5545 with a word of its own."""

from __future__ import annotations

from collections.abc import Callable

Words = Callable[[str], str]

EVENTS: dict[str, tuple[str, ...]] = {
    "plain": ("DTSTART:20270315T090000", "DTEND:20270315T100000"),
    "transparent": ("DTSTART:20270316T110000", "DURATION:PT1H", "TRANSP:TRANSPARENT"),
    "public": ("DTSTART:20270318T090000", "DURATION:PT90M", "CLASS:PUBLIC"),
    "all day": ("DTSTART;VALUE=DATE:20270319",),
    "tentative": ("DTSTART:20270318T140000", "DURATION:PT1H", "STATUS:TENTATIVE"),
    "weekly": (
        "DTSTART:20270302T180000",
        "DURATION:PT45M",
        "RRULE:FREQ=WEEKLY;BYDAY=TU,TH",
    ),
    "in two calendars": ("DTSTART:20270316T150000", "DURATION:PT30M"),
    "private": ("DTSTART:20270317T090000", "DURATION:PT1H", "CLASS:PRIVATE"),
    "confidential": ("DTSTART:20270317T110000", "DURATION:PT1H", "CLASS:CONFIDENTIAL"),
    "of a class not known": ("DTSTART:20270317T130000", "DURATION:PT1H", "CLASS:X-INNER"),
    "private in another calendar": ("DTSTART:20270317T150000", "DURATION:PT1H"),
    "several days": ("DTSTART;VALUE=DATE:20270319", "DTEND;VALUE=DATE:20270322"),
    "away by rule": ("DTSTART;VALUE=DATE:20270320", "CATEGORIES:AWAYDAYS"),
    "cancelled": ("DTSTART:20270317T170000", "DURATION:PT1H", "STATUS:CANCELLED"),
}
"""Events of the first calendar, in 2027-W11, by what is particular about them."""

OPEN_EVENTS = (
    "plain", "transparent", "public", "all day", "tentative", "weekly", "in two calendars",
)  # fmt: skip
"""Those that a rule can let through; the others never are, whatever a rule says."""

TODOS: dict[str, tuple[str, ...]] = {
    "done": ("COMPLETED:20270316T120000Z", "STATUS:COMPLETED"),
    "due": ("DUE;VALUE=DATE:20270317",),
    "private": ("COMPLETED:20270318T120000Z", "STATUS:COMPLETED", "CLASS:PRIVATE"),
}
OPEN_TODOS = ("done", "due")

TEXTS = (
    "DESCRIPTION", "LOCATION", "COMMENT", "CONTACT", "RELATED-TO", "RESOURCES", "X-ALT-DESC",
    "X-FREE",
)  # fmt: skip


def title(kind: str, name: str) -> str:
    """The place of the word that is a title: `event plain.SUMMARY`."""
    return f"{kind} {name}.SUMMARY"


def files(words: Words) -> dict[str, str]:
    """The calendar files by their names, which are words, too."""
    first = [_component("VEVENT", "event", name, words, own) for name, own in EVENTS.items()]
    first += [_component("VTODO", "todo", name, words, own) for name, own in TODOS.items()]
    first += [_component("VJOURNAL", "journal", "entry", words, ("DTSTART:20270315T200000",))]
    second = [
        _component("VEVENT", "event", name, words, (*EVENTS[name], *more), copy=" again")
        for name, more in (
            ("in two calendars", ()),
            ("private in another calendar", ("CLASS:PRIVATE",)),
        )
    ]
    return {
        f"calendars/{words('file of calendar 0')}.ics": _calendar(first, words, 0),
        f"calendars/{words('file of calendar 1')}.ics": _calendar(second, words, 1),
    }


def _calendar(components: list[str], words: Words, number: int) -> str:
    head = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:-//{words(f'PRODID of calendar {number}')}//EN",
        f"X-WR-CALNAME:{words(f'X-WR-CALNAME of calendar {number}')}",
        f"X-WR-CALDESC:{words(f'X-WR-CALDESC of calendar {number}')}",
    ]
    return "\r\n".join([*head, *components, "END:VCALENDAR", ""])


def _component(
    kind: str, what: str, name: str, words: Words, own: tuple[str, ...], copy: str = ""
) -> str:
    """A component with all that one can say of it; `copy` tells the words of a second one."""

    def word(key: str) -> str:
        return words(f"{what} {name}{copy}.{key}")

    uid = words(f"{what} {name}.UID")
    categories = [] if any(one.startswith("CATEGORIES") for one in own) else ["CATEGORIES"]
    lines = [
        f"BEGIN:{kind}",
        f"UID:{uid}@{uid}.invalid",
        "DTSTAMP:20270101T000000Z",
        f"SUMMARY;LANGUAGE=en:{words(title(what, name))}",
        *own,
        *(f"{key}:{word(key)}" for key in (*TEXTS, *categories)),
        f"URL:https://{word('URL')}.invalid/{word('path of URL')}",
        f"ATTACH:https://{word('ATTACH')}.invalid/",
        f"ATTENDEE;CN={word('CN of ATTENDEE')}:mailto:{word('ATTENDEE')}@example.invalid",
        f"ORGANIZER;CN={word('CN of ORGANIZER')}:mailto:{word('ORGANIZER')}@example.invalid",
        "GEO:37.386013;-122.082932",
        "BEGIN:VALARM",
        "ACTION:DISPLAY",
        "TRIGGER:-PT15M",
        f"DESCRIPTION:{word('DESCRIPTION of VALARM')}",
        "END:VALARM",
        f"END:{kind}",
    ]
    if kind == "VJOURNAL":
        lines = [line for line in lines if not line.startswith(("LOCATION", "GEO"))]
    return "\r\n".join(lines)
