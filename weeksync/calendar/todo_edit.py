"""A to-do of a raw text looked at, completed, or opened again (RFC 5545 sections 3.6.2, 3.8.1.11).

Completed is STATUS:COMPLETED, COMPLETED in UTC (3.8.2.1) and PERCENT-COMPLETE:100 (3.8.1.8);
opened again is STATUS:NEEDS-ACTION without the other two. Either way LAST-MODIFIED (3.8.7.3) and
DTSTAMP, which without a METHOD says when the entry was last revised (3.8.7.2), become now.
SEQUENCE counts one more, since a change of STATUS is a revision (RFC 5546 section 2.1.4), but not
where there is an ORGANIZER: then only the organizer counts (3.8.7.4), and who we are is not known.

One time of a to-do that recurs gets an entry of its own with RECURRENCE-ID, in the form of the
series' DTSTART (3.8.4.4), and the series stays as it is. Other programs move the series' DTSTART on
to the next time and leave a copy that is done: then what was done has another UID, the count of the
rule is off by one, and a time that was changed before loses its series. A to-do completed here is
shown as done by those programs, too; only a list that knows no RECURRENCE-ID shows the series open.
An override with RANGE=THISANDFUTURE is never edited: that would complete all later times.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from weeksync.calendar.clocks import Clock
from weeksync.calendar.entries import Entry, Key, Stamp, read_entry
from weeksync.calendar.groups import Versions, choose
from weeksync.calendar.lines import number_of, word_of
from weeksync.calendar.outline import outline
from weeksync.calendar.series import Instance, instances_of, named
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.text import read
from weeksync.calendar.todo_text import Damaged, RawLine, RawTodo, TodoText
from weeksync.calendar.todos import due_of
from weeksync.calendar.tzids import Clocks
from weeksync.calendar.values import later
from weeksync.calendar.window import Window
from weeksync.lazy import dataclass
from weeksync.model.limits import ExpandLimits

_AROUND = timedelta(days=400)
"""So far from its place in the series a time can have been moved and is still found."""
_OF_SERIES = frozenset({"RRULE", "RDATE", "EXDATE", "EXRULE", "RECURRENCE-ID"})
_OF_STATE = frozenset({"COMPLETED", "PERCENT-COMPLETE"})


class TodoState(StrEnum):
    """How a to-do stands in a text."""

    OPEN = "open"
    DONE = "done"
    CANCELLED = "cancelled"
    GONE = "gone"
    """The text has no such to-do, or no such time of it."""
    UNCLEAR = "unclear"
    """It is there, and cannot be told apart well enough to be edited."""


@dataclass(frozen=True, slots=True)
class SeenTodo:
    """How a to-do stands, and COMPLETED as written ("" where it has none)."""

    state: TodoState
    completed: str = ""


@dataclass(frozen=True, slots=True)
class _Found:
    """A to-do in its text: `raw` is its own entry, or the one it is to be copied from."""

    seen: SeenTodo
    text: TodoText
    raw: RawTodo
    last: RawTodo
    entry: Entry
    new: tuple[RawLine, Instance, Stamp] | None = None
    """For one time without an entry of its own: the series' line and start, and the time."""


def look_at_todo(content: bytes, uid: str, identity: str, tz: ZoneInfo) -> SeenTodo:
    """How the to-do of that UID (and `identity`, as in `TodoItem`) stands in the text."""
    found = _find(content, uid, identity, tz)
    return found.seen if isinstance(found, _Found) else SeenTodo(found)


def complete_todo(
    content: bytes, uid: str, identity: str, tz: ZoneInfo, at: datetime, now: datetime
) -> bytes | None:
    """The text with the to-do completed at the instant `at`, edited at the instant `now`.

    Bytes of other entries and properties stay as they are. None where it is not open, or where
    the edited text would not say what it should.
    """

    def values(entry: Entry) -> dict[str, str]:
        done = {"STATUS": "COMPLETED", "COMPLETED": utc(at), "PERCENT-COMPLETE": "100"}
        return {**done, **_revised(entry, now)}

    new = _edited(content, uid, identity, tz, TodoState.OPEN, values)
    wanted = SeenTodo(TodoState.DONE, utc(at))
    return new if new is not None and look_at_todo(new, uid, identity, tz) == wanted else None


def reopen_todo(
    content: bytes, uid: str, identity: str, tz: ZoneInfo, now: datetime
) -> bytes | None:
    """The text with a completed to-do open again; None as for `complete_todo`.

    How far it was before it was completed is not known any more: it needs action.
    """

    def values(entry: Entry) -> dict[str, str]:
        return {"STATUS": "NEEDS-ACTION", **_revised(entry, now)}

    new = _edited(content, uid, identity, tz, TodoState.DONE, values)
    wanted = SeenTodo(TodoState.OPEN)
    return new if new is not None and look_at_todo(new, uid, identity, tz) == wanted else None


def utc(moment: datetime) -> str:
    """An instant as DATE-TIME in UTC (section 3.3.5)."""
    moment = moment.astimezone(UTC)
    return f"{moment.year:04}{moment:%m%dT%H%M%SZ}"


def _revised(entry: Entry, now: datetime) -> dict[str, str]:
    values = {"LAST-MODIFIED": utc(now), "DTSTAMP": utc(now)}
    if "ORGANIZER" not in entry.lines:
        values["SEQUENCE"] = str(number_of(entry.lines, "SEQUENCE") + 1)
    return values


def _edited(
    content: bytes, uid: str, identity: str, tz: ZoneInfo, state: TodoState,
    values: Callable[[Entry], dict[str, str]],
) -> bytes | None:  # fmt: skip
    found = _find(content, uid, identity, tz)
    if not isinstance(found, _Found) or found.seen.state is not state:
        return None
    wanted = {name: f"{name}:{value}" for name, value in values(found.entry).items()}
    gone = _OF_STATE - wanted.keys()
    if found.new is None:
        found.text.put(found.raw, wanted, gone=gone)
    else:
        line, instance, of_series = found.new
        times = _own_times(found, instance) | {"RECURRENCE-ID": _recurrence_id(line, of_series)}
        found.text.add(found.last, found.raw, times | wanted, gone=gone | _OF_SERIES)
    return found.text.edited()


def _find(content: bytes, uid: str, identity: str, tz: ZoneInfo) -> _Found | TodoState:
    try:
        text = TodoText.of(content)
    except Damaged:
        return TodoState.UNCLEAR
    components = [one for one in read(content).components if one.kind == "VTODO"]
    if len(components) != len(text.todos):
        return TodoState.UNCLEAR
    window = _window(identity, tz)
    clocks = Clocks("", tz, window.low, window.high)
    pairs = [
        (read_entry(component, uid, clocks, ""), raw)
        for component, raw in zip(components, text.todos, strict=True)
        if outline(component).uid == uid
    ]
    versions = choose("", (entry for entry, _ in pairs))
    raws = {id(entry.body): raw for entry, raw in pairs}
    if not pairs:
        return TodoState.GONE
    last = pairs[-1][1]
    own = _own_entry(versions, identity)
    if own is not None:
        if own.and_future:
            return TodoState.UNCLEAR
        return _Found(_seen(own, versions), text, raws[id(own.body)], last, own)
    instance = _instance(versions, identity, window) if identity else None
    master = versions.master
    if instance is None or master is None:
        return TodoState.GONE
    line, start = _first_time(raws[id(master.body)]), _in_series(master, identity)
    if line is None or start is None:
        return TodoState.UNCLEAR
    entry = instance.entry
    new = (line, instance, start)
    return _Found(_seen(entry, versions), text, raws[id(entry.body)], last, entry, new)


def _window(identity: str, tz: ZoneInfo) -> Window:
    try:
        day = date(int(identity[:4]), int(identity[4:6]), int(identity[6:8]))
    except ValueError:
        day = date(2000, 1, 1)  # without a time of its own no window is looked at
    middle = datetime(day.year, day.month, day.day)
    return Window.of(later(middle, -_AROUND).date(), later(middle, _AROUND).date(), tz)


def _own_entry(versions: Versions, identity: str) -> Entry | None:
    """The entry that is this to-do and no other."""
    if not identity:
        master = versions.master
        return master if master is not None and not master.repeats else None
    for one in versions.overrides:
        stamp = one.recurrence_id
        if stamp is not None and named(_key_in(versions.master, stamp)) == identity:
            return one
    return None


def _key_in(master: Entry | None, stamp: Stamp) -> Key:
    whole_days = master is not None and master.start is not None and master.start.clock is None
    return stamp.local.date() if whole_days else stamp.key


def _instance(versions: Versions, identity: str, window: Window) -> Instance | None:
    steps = Steps(ExpandLimits().steps_per_uid)
    try:
        for one in instances_of(versions.master, versions.overrides, window, steps):
            if one.identity == identity:
                return one
    except StepsSpent:
        return None
    return None


def _seen(entry: Entry, versions: Versions) -> SeenTodo:
    completed = entry.lines.get("COMPLETED", [])
    status = word_of(entry.lines, "STATUS")
    if entry.cancelled or (versions.master is not None and versions.master.cancelled):
        return SeenTodo(TodoState.CANCELLED)
    if status == "COMPLETED" or completed:
        return SeenTodo(TodoState.DONE, completed[0].value.strip() if completed else "")
    return SeenTodo(TodoState.OPEN)


def _first_time(raw: RawTodo) -> RawLine | None:
    return raw.first("DTSTART") or raw.first("DUE")


def _in_series(master: Entry, identity: str) -> Stamp | None:
    """When the series has that time; None where it cannot be written as its DTSTART is.

    A DTSTART that is a date beside a DUE with a time, which section 3.8.2.3 forbids, cannot.
    """
    own = master.own_start or master.due
    if own is None or master.start is None or (own.clock is None) != (master.start.clock is None):
        return None
    if own.clock is None:
        return Stamp(datetime.strptime(identity[:8], "%Y%m%d"), None)  # noqa: DTZ007
    key = datetime.strptime(identity, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
    return Stamp(own.clock.local(key), own.clock)


def _own_times(found: _Found, instance: Instance) -> dict[str, str]:
    """DTSTART and DUE of one time, each written as its series has it."""
    times: dict[str, str] = {}
    entry = found.entry
    for name, stamp, key in (
        ("DTSTART", entry.own_start, instance.start),
        ("DUE", entry.due, due_of(instance)),
    ):
        line = found.raw.first(name)
        if line is not None and stamp is not None:
            times[name] = f"{line.head}:{_like(line, _local(key, stamp.clock))}"
    return times


def _local(key: Key, clock: Clock | None) -> datetime:
    if isinstance(key, datetime):
        return clock.local(key) if clock is not None else key.replace(tzinfo=None)
    return datetime(key.year, key.month, key.day)


def _recurrence_id(line: RawLine, stamp: Stamp) -> str:
    """RECURRENCE-ID with the value type and the zone of the series' first time."""
    head = line.head.partition(";")[2]
    kept = [one for one in _parameters(head) if one.upper().startswith(("TZID=", "VALUE="))]
    return f"{';'.join(['RECURRENCE-ID', *kept])}:{_like(line, stamp.local)}"


def _parameters(head: str) -> list[str]:
    """The parameters of a line, parted at semicolons outside of quotes."""
    found, quoted = [""], False
    for sign in head:
        quoted ^= sign == '"'
        if sign == ";" and not quoted:
            found.append("")
        else:
            found[-1] += sign
    return found


def _like(line: RawLine, local: datetime) -> str:
    """A local time in the form of the line's own value: a date, a time, one in UTC."""
    value = line.value.strip()
    day = f"{local.year:04}{local:%m%d}"
    if "T" not in value.upper():
        return day
    return f"{day}T{local:%H%M%S}{'Z' if value.upper().endswith('Z') else ''}"
