"""`config.toml`: the household, its people and areas, where its calendars are, and limits.

The docstring under each field is the text of the documentation; a test holds
`config.example.toml` against these models.
"""

from __future__ import annotations

import re
from dataclasses import field
from typing import Annotated, Literal

from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.feed_settings import Feed
from weeksync.model.fields import Day, Hours, Id, Ids, Minutes, Title, Weekday, parse_hours
from weeksync.model.log_settings import Log
from weeksync.model.mistake import Mistake
from weeksync.model.notify_settings import Notify
from weeksync.model.record import Checked, Length, Record, Within
from weeksync.model.serve_settings import Serve
from weeksync.model.settings import Limits, Paper, Pull, Review, Site
from weeksync.model.sharing_settings import MayShare, Sharing, check_word

COLOURS = (
    "moss",
    "brick",
    "slate",
    "plum",
    "straw",
    "fir",
    "harbour",
    "heather",
    "clay",
    "stone",
)
"""The names of the palette's tints; the site gives each its shades for light, dark and print."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Household(Record):
    """Who lives here and by which rules the pages are written."""

    name: Title
    """The name on the pages; never on a shared one."""
    time_zone: str
    """The zone of the household, a name of the IANA database, as Europe/London."""
    locale: str = "en_GB"
    """Language and region of the pages, a CLDR locale, as en_GB, de_AT, ar_EG."""
    region: str = ""
    """Whose public holidays count: ISO 3166, with a subdivision where it matters, as GB-ENG."""
    first_weekday: Weekday | None = None
    """The day a week starts with on the pages; without it the locale's region decides."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person(Record):
    """One person of the household, or one who is often on its pages."""

    id: Id
    """Short name used in the other files, as ines."""
    name: Title
    """The name on the pages."""
    letter: Annotated[str, Length(most=2)] = ""
    """What stands for the person where room is short; without it the first letter of the name."""
    time_zone: str = ""
    """Where the person lives elsewhere: the zone whose time is shown beside ours."""
    child: bool = False
    """A child of the household: lessons are kept for children."""
    looks_after_children: bool = False
    """Shares the care of the children: hand-overs to and from this person are watched."""
    sleep_hours: Annotated[float, Within(least=1, most=16)] | None = None
    """Hours of sleep aimed at: with it the latest bedtime before a first engagement is shown."""
    role: Annotated[str, Length(most=60)] = ""
    """What stands for the person on shared pages, as parent; without it nothing does."""

    @property
    def mark(self) -> str:
        """The letter or letters that stand for the person."""
        return self.letter or self.name[:1].upper()


@dataclass(frozen=True, slots=True, kw_only=True)
class Area(Record):
    """An area of life that habits, tasks and events serve."""

    id: Id
    """Short name used in the other files, as home."""
    name: Title
    """The name on the pages."""
    colour: Literal[COLOURS]  # type: ignore[valid-type]
    """A tint: moss, brick, slate, plum, straw, fir, harbour, heather, clay or stone."""
    letter: Annotated[str, Length(least=1, most=2)]
    """The second cue, so that colour never stands alone; different for every area."""
    work: bool = False
    """Engagements of this area count as hours worked."""
    share: MayShare | None = None
    """The most its things show on shared pages: nothing, busy, area, word or title."""
    share_as: Annotated[str, Length(most=60)] = ""
    """Its name on shared pages, where that is another."""


_ADDRESS = re.compile(r"\w[\w+.-]*://|[^/\\]*:[^/\\]*@")
"""An address, or name and password before a host: both can carry a secret."""

_VARIABLE = re.compile(r"[A-Za-z_][A-Za-z0-9_]*", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarSource(Record):
    """One calendar, or all calendars of one server: exactly one of path, url, caldav."""

    id: Id
    """Short name of the source, as family; it names the source in every message."""
    name: str = ""
    """The name on the pages; without it the id."""
    path: str = ""
    """An .ics file or a folder of them, from the household folder on."""
    url: str = ""
    """An .ics file on the web: http, https or webcal, without name and password in it."""
    caldav: str = ""
    """A CalDAV server: its bare address, or that of one account or calendar."""
    choose: tuple[str, ...] = ()
    """CalDAV: the names of the calendars to take; without it all of them."""
    user: str = ""
    """The name to sign in with, for url and caldav."""
    password_file: str = ""
    """A file whose first line is the password; nobody else should be able to read it."""
    password_command: tuple[str, ...] = ()
    """A command that prints the password, as a list of words: ["pass", "calendar"]."""
    password_env: str = ""
    """The environment variable that holds the password."""
    person: Id | Ids = ()
    """Whose time the events take: one person or several."""
    area: Id | None = None
    """The area of life its events belong to."""
    share: MayShare | None = None
    """How much of its events may be shared: nothing, busy, area, word or title."""
    share_as: Annotated[str, Length(most=60)] = ""
    """On shared pages the word in place of its titles, as Club."""
    share_tasks: MayShare | None = None
    """The most that its to-dos show on shared pages, once their titles are released."""
    tick_todos: bool = False
    """CalDAV: its to-dos can be ticked on the page, and are completed on the server, too."""
    tick_only: tuple[str, ...] = ()
    """CalDAV: only in the calendars of these names; without it in all that are taken."""

    def check(self) -> None:
        """Raise Mistake unless it is in one place, with one way to the password."""
        check_word(self.share, self.share_as)
        given = [name for name in ("path", "url", "caldav") if getattr(self, name)]
        if len(given) != 1:
            raise Mistake(
                message("a calendar is in one place, and this one has {count}", count=len(given)),
                message("give exactly one of path, url, caldav"),
                given[1] if given else "",
            )
        if _ADDRESS.match(self.path):
            raise Mistake(
                message("path is an address on the web, not a file"),
                message("give it as url or caldav, and name and password apart from it"),
                "path",
            )
        if self.password_env and not _VARIABLE.fullmatch(self.password_env):
            raise Mistake(
                message("password_env is no name of an environment variable"),
                message("write letters, digits and underscores, as CALENDAR_PASSWORD"),
                "password_env",
            )
        ways = [
            name
            for name in ("password_file", "password_command", "password_env")
            if getattr(self, name)
        ]
        if len(ways) > 1:
            raise Mistake(
                message("the password is given in several ways"),
                message("give one of password_file, password_command, password_env"),
                ways[1],
            )
        if ways and not self.user:
            raise Mistake(
                message("there is a password and no user"),
                message("add user, the name to sign in with"),
                ways[0],
            )
        if self.choose and not self.caldav:
            raise Mistake(
                message("only a CalDAV server has several calendars to choose from"),
                message("take choose away, or give caldav"),
                "choose",
            )
        self._ticking()

    def _ticking(self) -> None:
        if self.tick_todos and not self.caldav:
            raise Mistake(
                message("only to-dos on a CalDAV server can be completed where they lie"),
                message("take tick_todos away, or give caldav"),
                "tick_todos",
            )
        if self.tick_only and not self.tick_todos:
            raise Mistake(
                message("tick_only says where, and nothing can be ticked"),
                message("add tick_todos = true, or take tick_only away"),
                "tick_only",
            )

    @property
    def kind(self) -> Literal["path", "url", "caldav"]:
        """Which of the three places is given."""
        return "path" if self.path else "url" if self.url else "caldav"

    @property
    def address(self) -> str:
        """The place itself, whichever kind it is."""
        return self.path or self.url or self.caldav

    @property
    def label(self) -> str:
        """The name on the pages."""
        return self.name or self.id


@dataclass(frozen=True, slots=True, kw_only=True)
class Preparation(Record):
    """What is to be done before something, counted back from its day."""

    what: Title
    """What is to be done, as Post the parcel."""
    days: Annotated[int, Within(least=0, most=366)]
    """How many days before."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule(Record):
    """Whose an event is, where one calendar holds several people's events.

    Every condition that is given must hold; all rules that match apply, a later one wins.
    """

    calendar: Id | None = None
    """Condition: the source."""
    category: str = ""
    """Condition: one of the event's CATEGORIES, in whatever case."""
    attendee: str = ""
    """Condition: the e-mail address of an attendee or the organizer."""
    title: str = ""
    """Condition: a text that the title contains, in whatever case."""
    person: Id | Ids | None = None
    """Then: the person or persons whose time it takes, in place of the calendar's."""
    area: Id | None = None
    """Then: its area."""
    travel_minutes: Minutes | None = None
    """Then: minutes on the way, before and after."""
    away: bool | None = None
    """Then: the persons are away from home: never on a shared page. In `show --json` only."""
    share: MayShare | None = None
    """Then: how much of it may be shared, in place of what its calendar says."""
    share_as: Annotated[str, Length(most=60)] = ""
    """Then: the word in place of its title on shared pages."""
    prepare: tuple[Preparation, ...] = ()
    """Then: what is to be done beforehand, as { what = "Post the parcel", days = 21 }."""

    def check(self) -> None:
        """Raise Mistake where it has no condition."""
        check_word(self.share, self.share_as)
        if not (self.calendar or self.category or self.attendee or self.title):
            raise Mistake(
                message("the rule has no condition"),
                message("give at least one of calendar, category, attendee, title"),
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class Holiday(Record):
    """A public holiday the region's list lacks, or one of it that is none here."""

    date: Day
    """The day."""
    name: str = ""
    """What it is called; not needed to take a day off the list."""
    remove: bool = False
    """Take the day off the list instead."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayParts(Record):
    """The hours of morning, afternoon and evening; what lies before or after joins the nearest."""

    morning: Hours = "06:00-12:00"
    """From-to."""
    afternoon: Hours = "12:00-18:00"
    """From-to."""
    evening: Hours = "18:00-23:00"
    """From-to."""


def _within_the_day(hours: str) -> str:
    span = parse_hours(hours)
    if span is not None and span[1] > 24 * 60:
        raise Mistake(
            message("{key} = {value} runs over midnight, and a day is planned for itself"),
            message("write hours that end by 24:00, as 14:00-24:00"),
        )
    return hours


@dataclass(frozen=True, slots=True, kw_only=True)
class Planning(Record):
    """Limits of a plan one can keep; common practice, no source: change what does not fit you."""

    hours: Annotated[Hours, Checked(_within_the_day)] = "08:00-20:00"
    """The hours of a day that can be planned; they end by 24:00."""
    share_of_free_time: Annotated[int, Within(least=1, most=100)] = 60
    """How much of the free time may be filled with tasks, in percent."""
    priorities_a_day: Annotated[int, Within(least=1, most=5)] = 2
    """How many priorities a day has at most."""
    carry_limit_weeks: Annotated[int, Within(least=1, most=52)] = 3
    """After how many weeks a carried task needs a decision."""
    buffer_minutes: Minutes = 10
    """Minutes between two engagements under which they count as tight."""
    usual_estimate_minutes: Minutes = 30
    """The estimate of a task that has none."""
    smallest_piece_minutes: Annotated[int, Within(least=5, most=24 * 60)] = 25
    """A task is not split into pieces shorter than this."""
    ready_minutes: Minutes = 60
    """Minutes from getting up to the first engagement, for the latest bedtime."""
    look_ahead_weeks: Annotated[int, Within(least=1, most=52)] = 6
    """How far ahead things are listed that need lead time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Breaks(Record):
    """Short pauses that are proposed in the gaps of long stretches.

    Common practice; of short pauses a review says that vigour rises and fatigue falls
    (Albulescu et al., PLoS ONE 2022;17(8):e0272460).
    """

    after_minutes: Annotated[int, Within(least=15, most=24 * 60)] = 60
    """After how long without a pause one is proposed."""
    minutes: Annotated[int, Within(least=1, most=240)] = 10
    """How long a pause is."""
    ideas: tuple[Title, ...] = ()
    """What to do in one, as ["Out to the step"], taken in turn; without any none is proposed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Config(Record):
    """The whole of `config.toml`; a table that is not there has its defaults."""

    format: Literal[1]
    """The version of this file's form."""
    household: Household
    people: Annotated[tuple[Person, ...], Length(least=1)]
    areas: tuple[Area, ...] = ()
    calendars: tuple[CalendarSource, ...] = ()
    rules: tuple[Rule, ...] = ()
    holidays: tuple[Holiday, ...] = ()
    day_parts: DayParts = field(default_factory=DayParts)
    planning: Planning = field(default_factory=Planning)
    breaks: Breaks = field(default_factory=Breaks)
    pull: Pull = field(default_factory=Pull)
    limits: Limits = field(default_factory=Limits)
    site: Site = field(default_factory=Site)
    serve: Serve = field(default_factory=Serve)
    review: Review = field(default_factory=Review)
    paper: Paper = field(default_factory=Paper)
    sharing: Sharing = field(default_factory=Sharing)
    feed: Feed = field(default_factory=Feed)
    notify: Notify = field(default_factory=Notify)
    log: Log = field(default_factory=Log)

    def person(self, person_id: str) -> Person | None:
        """The person of that id."""
        return next((person for person in self.people if person.id == person_id), None)

    def area(self, area_id: str | None) -> Area | None:
        """The area of that id."""
        return next((area for area in self.areas if area.id == area_id), None)


def ids(value: str | tuple[str, ...] | None) -> tuple[str, ...]:
    """A key that takes one id or several, as a tuple."""
    return (value,) if isinstance(value, str) else tuple(value or ())
