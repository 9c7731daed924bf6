"""One VEVENT, VTODO or VJOURNAL as a record whose times are resolved; values that cannot be
read are left out and reported, the rest of the entry stays.

Only the properties that weeksync shows or reckons with are read, by us: one bad value in a
component makes the libraries refuse the whole calendar, DURATION:PT24H comes back as P1D, and a
TZID they do not know becomes floating without a word.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta

from weeksync.calendar import report, report_bounds
from weeksync.calendar.clocks import Clock
from weeksync.calendar.lines import (
    MOST_NAMES,
    Line,
    Lines,
    first,
    number_of,
    read_lines,
    text_of,
    word_of,
)
from weeksync.calendar.rules import Rule, parse_rule
from weeksync.calendar.text import ComponentText
from weeksync.calendar.tzids import Clocks
from weeksync.calendar.values import Length, Written, duration, later, written
from weeksync.calendar.where import Remark
from weeksync.lazy import dataclass
from weeksync.model.problem import Problem

NAMES = frozenset({
    "DTSTART", "DTEND", "DUE", "DURATION", "RRULE", "EXRULE", "RDATE", "EXDATE",
    "RECURRENCE-ID", "SEQUENCE", "DTSTAMP", "LAST-MODIFIED", "STATUS", "TRANSP", "CLASS",
    "UID", "SUMMARY", "DESCRIPTION", "LOCATION", "URL", "CATEGORIES", "ATTENDEE", "ORGANIZER",
    "PRIORITY", "COMPLETED", "PERCENT-COMPLETE", "ESTIMATED-DURATION",
})  # fmt: skip

_ONCE = ("UID", "DTSTART", "DTEND", "DUE", "DURATION", "RECURRENCE-ID")
"""What decides when an entry is, and which one: a second one of these is worth a word."""

MOST_DATES = 10_000
"""RDATEs, and EXDATEs, that are read of one entry: one a day for 27 years."""

Key = datetime | date
"""What names an instance: its UTC instant, or its date where it takes whole days."""


@dataclass(frozen=True, slots=True)
class Stamp:
    """A time as given: naive `local` on a `clock`, or a whole day where `clock` is None."""

    local: datetime
    clock: Clock | None

    @property
    def key(self) -> Key:
        """The UTC instant, or the date."""
        return self.local.date() if self.clock is None else self.clock.instant(self.local)


@dataclass(frozen=True, slots=True)
class Extra:
    """An RDATE; `length` is that of a PERIOD, None where the entry's own holds."""

    start: Stamp
    length: Length | None = None


@dataclass(frozen=True, slots=True)
class Entry:
    """One component. `length` is None where it has no end; `due` only where a VTODO has it.

    `start` is what its instances are reckoned from, `own_start` DTSTART as written, if there.
    """

    uid: str
    kind: str
    lines: Lines
    start: Stamp | None
    length: Length | None = None
    own_start: Stamp | None = None
    due: Stamp | None = None
    rules: tuple[Rule, ...] = ()
    ex_rules: tuple[Rule, ...] = ()
    extras: tuple[Extra, ...] = ()
    exceptions: tuple[Stamp, ...] = ()
    recurrence_id: Stamp | None = None
    and_future: bool = False
    withdrawn: bool = False
    """Cancelled from outside: by METHOD, or by a later word about its series."""
    body: str = ""
    whole: bool = True
    """False where the text ends within it: the lines that say what it is may be missing."""
    remarks: tuple[Remark, ...] = ()
    """What cannot be read in it, or was read by a rule of ours."""

    @property
    def repeats(self) -> bool:
        """Whether it has more than one time by itself."""
        return bool(self.rules or self.extras)

    @property
    def floating_id(self) -> bool:
        """Whether RECURRENCE-ID is a time without any zone: that of its series is meant."""
        line = _readable(self.lines, "RECURRENCE-ID")
        if line is None or self.recurrence_id is None or self.recurrence_id.clock is None:
            return False
        return not line.parameter("TZID") and not _written(line, line.value).utc

    @property
    def title(self) -> str:
        """SUMMARY."""
        return text_of(self.lines, "SUMMARY")

    @property
    def cancelled(self) -> bool:
        """STATUS:CANCELLED, in either spelling, or METHOD:CANCEL of its calendar."""
        return self.withdrawn or word_of(self.lines, "STATUS") in {"CANCELLED", "CANCELED"}

    def remark(self, problem: Problem) -> Remark:
        """A remark about the entry as a whole."""
        return Remark(problem, self.body)

    @property
    def rank(self) -> tuple[bool, int, str, str]:
        """Of two versions the higher one counts: SEQUENCE, then DTSTAMP (RFC 5546, 2.1.5).

        Half a version never takes the place of a whole one: an override that is cut off before
        its RECURRENCE-ID looks like a series of one.
        """
        lines = self.lines
        stamps = word_of(lines, "DTSTAMP"), word_of(lines, "LAST-MODIFIED")
        return self.whole, number_of(lines, "SEQUENCE"), *stamps


def _written(line: Line, value: str) -> Written:
    """A time of that line; ValueError where it is none."""
    return written(value, date_only=line.parameter("VALUE").upper() == "DATE")


def _readable(lines: Lines, name: str) -> Line | None:
    """The property of that name that counts: the first whose time can be read."""
    for line in lines.get(name, ()):
        try:
            _written(line, line.value)
        except ValueError:
            continue
        return line
    return None


def read_entry(component: ComponentText, uid: str, clocks: Clocks, source: str) -> Entry:
    """The entry of a component; what cannot be read in it stands in its `remarks`."""
    return _Reader(component, uid, clocks, source).entry()


class _Reader:
    """Reads one component."""

    def __init__(self, component: ComponentText, uid: str, clocks: Clocks, source: str) -> None:
        self._component = component
        self._uid, self._source, self._clocks = uid, source, clocks
        self._lines = read_lines(component.body, NAMES)
        self._remarks: list[Remark] = []

    @property
    def _title(self) -> str:
        return report.short(text_of(self._lines, "SUMMARY"))

    def entry(self) -> Entry:
        for name in _ONCE:
            if len(self._lines.get(name, ())) > 1:
                self._once(name)
        self._names("ATTENDEE")
        self._names("CATEGORIES")
        own = self._stamp("DTSTART")
        recurrence_id = self._stamp("RECURRENCE-ID", own)
        due = self._stamp("DUE", own) if self._component.kind == "VTODO" else None
        start = own or recurrence_id or due
        if start is not None and due is not None and (start.clock is None) != (due.clock is None):
            start = Stamp(start.local, due.clock)  # reckoned alike
        range_ = _readable(self._lines, "RECURRENCE-ID")
        return Entry(
            uid=self._uid,
            kind=self._component.kind,
            lines=self._lines,
            start=start,
            length=self._length(start, due),
            own_start=own,
            due=due,
            rules=self._rules("RRULE", start),
            ex_rules=self._rules("EXRULE", start),
            extras=self._extras(start),
            exceptions=self._exceptions(start),
            recurrence_id=recurrence_id,
            and_future=range_ is not None and range_.parameter("RANGE").upper() == "THISANDFUTURE",
            withdrawn=self._component.calendar.cancels,
            body=self._component.body,
            whole=self._component.whole,
            remarks=tuple(self._remarks),
        )

    def _say(self, problem: Problem, line: Line | None) -> None:
        self._remarks.append(Remark(problem, self._component.body, line.text if line else ""))

    def _bad(self, name: str, line: Line, value: str) -> None:
        self._say(report.bad_value(self._source, self._title, self._uid, name, value), line)

    def _names(self, name: str) -> None:
        """Say that there are more than are kept."""
        lines = self._lines.get(name, [])
        commas = sum(line.value.count(",") for line in lines) if name == "CATEGORIES" else 0
        if len(lines) + commas > MOST_NAMES:
            problem = report_bounds.too_many_names(
                self._source, self._title, self._uid, name, MOST_NAMES
            )
            self._say(problem, lines[-1])

    def _once(self, name: str) -> None:
        """Say that something that can be there once is there again, and is something else."""
        lines = self._lines[name]
        if again := next((line for line in lines if line.text != lines[0].text), None):
            self._say(report.doubled(self._source, self._title, self._uid, name), again)

    def _stamp(self, name: str, like: Stamp | None = None) -> Stamp | None:
        """The time of the first property of that name that can be read."""
        for line in self._lines.get(name, ()):
            try:
                return self._read(line, line.value, like)
            except ValueError:
                self._bad(name, line, line.value)
        return None

    def _read(self, line: Line, value: str, like: Stamp | None) -> Stamp:
        """A time of that line; one without zone keeps the clock of `like`, if that has one."""
        moment = _written(line, value)
        if moment.is_date:
            return Stamp(moment.local, None)
        if moment.utc:
            return Stamp(moment.local, self._clocks.utc)
        if tzid := line.parameter("TZID"):
            clock = self._clocks.named(tzid, self._component.calendar)
            self._zone_news(line)
            return Stamp(moment.local, clock)
        if like is not None and like.clock is not None and like.clock.name != "UTC":
            return Stamp(moment.local, like.clock)
        clock = self._clocks.floating(self._component.calendar)
        self._zone_news(line)
        return Stamp(moment.local, clock)

    def _zone_news(self, line: Line) -> None:
        """What there is to say about a zone is said where it is first used."""
        for problem in self._clocks.news():
            self._say(problem, line)

    def _length(self, start: Stamp | None, due: Stamp | None) -> Length | None:
        """How long it takes; RFC 5545 section 3.8.5.3 for DTEND, 3.3.6 for DURATION."""
        if start is None:
            return None
        end = due or (self._stamp("DTEND", start) if self._component.kind == "VEVENT" else None)
        name = "DUE" if due else "DTEND" if end else "DURATION"
        length = _between(start, end) if end is not None else self._duration()
        if length is not None and (length.days < 0 or length.seconds < 0):
            problem = report.end_before_start(self._source, self._title, self._uid)
            self._say(problem, first(self._lines, name))
            return Length()
        return length

    def _duration(self) -> Length | None:
        for line in self._lines.get("DURATION", ()):
            try:
                return duration(line.value)
            except ValueError:
                self._bad("DURATION", line, line.value)
        return None

    def _rules(self, name: str, start: Stamp | None) -> tuple[Rule, ...]:
        """The rules that can be used; hours are ignored on whole days (section 3.3.10)."""
        found = []
        for line in self._lines.get(name, ()):
            try:
                rule = parse_rule(line.value)
            except ValueError:
                problem = report.bad_rule(self._source, self._title, self._uid, line.value)
                self._say(problem, line)
                continue
            if start is not None and start.clock is None:
                rule = replace(rule, by_hour=(), by_minute=(), by_second=())
            found.append(rule)
        return tuple(found)

    def _extras(self, start: Stamp | None) -> tuple[Extra, ...]:
        found = []
        for line, value in self._listed("RDATE"):
            opening, slash, rest = value.partition("/")
            try:
                at = self._read(line, opening, start)
                found.append(Extra(at, self._period(line, at, rest) if slash else None))
            except ValueError:
                self._bad("RDATE", line, value)
        return tuple(found)

    def _period(self, line: Line, start: Stamp, rest: str) -> Length:
        length = (
            duration(rest)
            if rest.lstrip("+-").upper().startswith("P")
            else _between(start, self._read(line, rest, start))
        )
        if length.days < 0 or length.seconds < 0:
            raise ValueError("a period ends after it starts")
        return length

    def _exceptions(self, start: Stamp | None) -> tuple[Stamp, ...]:
        found = []
        for line, value in self._listed("EXDATE"):
            try:
                # A period says plainly which instance it means, though it has no place here.
                found.append(self._read(line, value.partition("/")[0], start))
            except ValueError:
                self._bad("EXDATE", line, value)
        return tuple(found)

    def _listed(self, name: str) -> list[tuple[Line, str]]:
        found = [
            (line, value.strip())
            for line in self._lines.get(name, ())
            for value in line.value.split(",")
            if value.strip()
        ]
        if len(found) > MOST_DATES:
            problem = report_bounds.too_many_dates(
                self._source, self._title, self._uid, name, MOST_DATES
            )
            self._say(problem, found[MOST_DATES][0])
        return found[:MOST_DATES]


def _between(start: Stamp, end: Stamp) -> Length:
    """From start to end: whole days for a day, exact seconds for a time.

    Where only one of the two is a day: a timed end takes its whole day along, a day as the end
    of something timed is that day's first moment on the clock of the start.
    """
    if start.clock is None:
        whole = end.local.date() - start.local.date()
        begun = end.clock is not None and end.local.time() != end.local.min.time()
        return Length(whole.days + begun)
    clock = end.clock or start.clock
    return Length(
        0, int((clock.instant(end.local) - start.clock.instant(start.local)).total_seconds())
    )


def end_of(start: Key, clock: Clock | None, length: Length | None) -> Key:
    """The end of an instance that begins at `start`, by the rules of section 3.3.6.

    A whole-day one lasts at least a day (section 3.6.1), even where its end says otherwise.
    """
    if not isinstance(start, datetime) or clock is None:
        days = max(length.whole_days, 1) if length is not None else 1
        return _day_later(start, days)
    if length is None:
        return start
    if length.days:
        start = clock.instant(later(clock.local(start), timedelta(days=length.days)))
    return later(start, timedelta(seconds=length.seconds))


def _day_later(day: date, days: int) -> date:
    return later(datetime(day.year, day.month, day.day), timedelta(days=days)).date()
