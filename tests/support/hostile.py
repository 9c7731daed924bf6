"""Hostile calendar files, made by code: each tries to cost hours or gigabytes.

    HOSTILE["one enormous line"]() -> bytes
    python -m tests.support.hostile [WORD …]        what a night over each costs

Every file but the ones that are one broken thing as a whole holds `GOOD`, an event in the week
of `NOW`, so that a test can see whether what is good beside the hostile part is still shown.
`NOW` is a Wednesday; the days before and after it lie on the pages of a household that asks for
nothing special.
"""

from __future__ import annotations

import os
import random
import sys
import tempfile
from collections.abc import Callable, Iterable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from tests.support.measuring import Used, measured

NOW = datetime(2027, 3, 24, 6, 40, tzinfo=UTC)
FIRST = date(2027, 2, 15)
"""About where the pages begin."""
DAYS = 220
"""About as many days have pages."""
GOOD_TITLE = "Dentist, the good one"
GOOD = (
    "BEGIN:VEVENT\nUID:good@hostile.invalid\nDTSTAMP:20270101T000000Z\n"
    f"DTSTART:20270323T113000Z\nDURATION:PT1H\nSUMMARY:{GOOD_TITLE.replace(',', chr(92) + ',')}\n"
    "END:VEVENT\n"
)
MANY = 200_000
_MEGABYTE = 1_000_000
_SIXTY = ",".join(map(str, range(60)))
_DAY_HOURS = ",".join(map(str, range(24)))

Maker = Callable[[], bytes]
HOSTILE: dict[str, Maker] = {}
"""What is hostile about the file → its maker."""


def _named(name: str) -> Callable[[Maker], Maker]:
    def keep(maker: Maker) -> Maker:
        HOSTILE[name] = maker
        return maker

    return keep


def _file(parts: Iterable[str], *, good_last: bool = True) -> bytes:
    """A calendar around the parts; the good event stands at its end, or at its beginning."""
    inner = "".join(parts)
    first, last = ("", GOOD) if good_last else (GOOD, "")
    text = f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//hostile//EN\n{first}{inner}{last}"
    return f"{text}END:VCALENDAR\n".replace("\n", "\r\n").encode()


def _event(uid: object, *lines: str, kind: str = "VEVENT") -> str:
    body = "\n".join(lines)
    return f"BEGIN:{kind}\nUID:{uid}\nDTSTAMP:20270101T000000Z\n{body}\nEND:{kind}\n"


def _moment(number: int, *, spread: int = DAYS) -> str:
    """A time on a page, another for each number."""
    day = FIRST + timedelta(days=number % spread)
    return f"{day:%Y%m%d}T{number // spread % 24:02}{number // 7 % 60:02}00"


# Rules ---------------------------------------------------------------------------------------


@_named("a rule every second without end")
def _secondly() -> bytes:
    return _file([_event("s", "DTSTART:20200101T000000Z", "RRULE:FREQ=SECONDLY", "SUMMARY:Tick")])


@_named("5,000 rules every second without end")
def _many_secondly() -> bytes:
    lines = ("DTSTART:20200101T000000Z", "DURATION:PT1S", "RRULE:FREQ=SECONDLY", "SUMMARY:Tick")
    return _file(_event(n, *lines) for n in range(5_000))


@_named("millions of instances of one day's products")
def _products() -> bytes:
    rule = f"RRULE:FREQ=DAILY;BYHOUR={_DAY_HOURS};BYMINUTE={_SIXTY};BYSECOND={_SIXTY}"
    return _file([_event("p", "DTSTART:20200101T000000Z", rule, "SUMMARY:Product")])


@_named("3,000 products that BYSETPOS picks from")
def _set_positions() -> bytes:
    rule = (
        f"RRULE:FREQ=YEARLY;BYMONTH=1,2,3,4,5,6,7,8,9,10,11,12;BYDAY=MO,TU,WE,TH,FR,SA,SU;"
        f"BYHOUR={_DAY_HOURS};BYMINUTE={_SIXTY};BYSECOND={_SIXTY};BYSETPOS=-1,1,2,300"
    )
    return _file(
        _event(n, "DTSTART:16010101T000000Z", f"{rule};COUNT=900000", f"SUMMARY:P {n}")
        for n in range(3_000)
    )


@_named("5,000 rules that never match")
def _never() -> bytes:
    rules = (
        "FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=3",
        "FREQ=YEARLY;BYWEEKNO=53;BYMONTH=6;COUNT=2",
        "FREQ=YEARLY;BYYEARDAY=-366;BYMONTH=7;COUNT=2",
        "FREQ=MONTHLY;BYDAY=5MO;BYMONTHDAY=1;COUNT=5",
        "FREQ=HOURLY;BYMONTH=4;BYMONTHDAY=31;COUNT=2",
        "FREQ=MINUTELY;INTERVAL=7919;BYHOUR=3;BYMINUTE=1;BYSECOND=1;BYMONTHDAY=31;BYMONTH=2",
    )
    return _file(
        _event(n, "DTSTART:16010101T000000", f"RRULE:{rules[n % len(rules)]}", f"SUMMARY:Never {n}")
        for n in range(5_000)
    )


@_named("5,000 rules and the rules against them")
def _ex_rules() -> bytes:
    lines = ("DTSTART:19700101T000000", "RRULE:FREQ=MINUTELY", "EXRULE:FREQ=MINUTELY")
    return _file(_event(n, *lines, "SUMMARY:Both") for n in range(5_000))


@_named("one event with 50,000 rules")
def _rules_of_one() -> bytes:
    rules = [f"RRULE:FREQ=DAILY;INTERVAL={n % 400 + 1};BYHOUR={n % 24}" for n in range(50_000)]
    return _file([_event("r", "DTSTART:19700101T000000", *rules, "SUMMARY:Rules")])


@_named("a rule of 20 megabytes")
def _long_rule() -> bytes:
    rule = "RRULE:FREQ=DAILY;" + ";" * (5 * _MEGABYTE) + "BYDAY=" + "MO," * (5 * _MEGABYTE) + "MO"
    return _file([_event("r", "DTSTART:20270101T000000", rule, "SUMMARY:Long rule")])


@_named("10,000 counts from the year 1601 to 9999")
def _far_years() -> bytes:
    return _file(
        _event(
            n,
            "DTSTART;TZID=Europe/London:16010101T000000",
            "DTEND;TZID=Europe/London:99991231T235959",
            "RRULE:FREQ=YEARLY;BYMONTHDAY=31;COUNT=999999999",
            f"SUMMARY:Far {n}",
        )
        for n in range(10_000)
    )


@_named("10,000 dense rules whose instances last for years")
def _long_and_dense() -> bytes:
    lines = ("DTSTART:20200101T000000Z", "DURATION:P3000D", "RRULE:FREQ=HOURLY", "SUMMARY:Long")
    return _file(_event(n, *lines) for n in range(10_000))


# Dates ---------------------------------------------------------------------------------------


@_named("half a million RDATEs on one line")
def _rdates() -> bytes:
    dates = ",".join(f"{_moment(n)}Z" for n in range(500_000))
    return _file([_event("d", "DTSTART:20270101T000000Z", f"RDATE:{dates}", "SUMMARY:Dates")])


@_named("300,000 lines of EXDATE")
def _exdates() -> bytes:
    dates = [f"EXDATE;TZID=Europe/London:{_moment(n)}" for n in range(300_000)]
    lines = ("DTSTART;TZID=Europe/London:20270101T000000", "RRULE:FREQ=DAILY", "SUMMARY:Dates")
    return _file([_event("d", *lines, *dates)])


@_named("1,000 events with 1,500 RDATEs each")
def _rdates_of_many() -> bytes:
    dates = ",".join(_moment(n) for n in range(1_500))
    lines = ("DTSTART:20270101T000000", f"RDATE:{dates}", f"EXDATE:{dates}", "SUMMARY:Dates")
    return _file(_event(n, *lines) for n in range(600))


# Many ----------------------------------------------------------------------------------------


@_named("200,000 events in the window")
def _in_window() -> bytes:
    return _file(
        _event(n, f"DTSTART:{_moment(n)}Z", "DURATION:PT1H", f"SUMMARY:Event {n}")
        for n in range(MANY)
    )


@_named("200,000 events on one day")
def _one_day() -> bytes:
    return _file(_event(n, "DTSTART:20270324T120000Z", f"SUMMARY:Event {n}") for n in range(MANY))


@_named("200,000 events outside of the window")
def _outside() -> bytes:
    return _file(
        _event(n, f"DTSTART:1999{n % 12 + 1:02}{n % 28 + 1:02}T120000Z", f"SUMMARY:Event {n}")
        for n in range(MANY)
    )


@_named("200,000 events that last all the time")
def _all_the_time() -> bytes:
    return _file(
        _event(n, "DTSTART;VALUE=DATE:20200101", "DTEND;VALUE=DATE:20400101", f"SUMMARY:Long {n}")
        for n in range(MANY)
    )


@_named("200,000 events called off")
def _called_off() -> bytes:
    return _file(
        _event(n, f"DTSTART:{_moment(n)}Z", f"SUMMARY:Off {n}", "STATUS:CANCELLED")
        for n in range(MANY)
    )


@_named("200,000 events without a start")
def _no_start() -> bytes:
    return _file(_event(n, f"SUMMARY:Nothing {n}") for n in range(MANY))


@_named("200,000 to-dos without a day")
def _todos() -> bytes:
    return _file(_event(n, f"SUMMARY:To do {n}", kind="VTODO") for n in range(MANY))


@_named("200,000 to-dos that are overdue")
def _overdue() -> bytes:
    return _file(
        _event(n, "DUE:20261201T000000Z", f"SUMMARY:Late {n}", kind="VTODO") for n in range(MANY)
    )


@_named("5,000 to-dos that recur every minute")
def _recurring_todos() -> bytes:
    lines = ("DTSTART:20200101T000000Z", "RRULE:FREQ=MINUTELY", "SUMMARY:To do")
    return _file(_event(n, *lines, kind="VTODO") for n in range(5_000))


@_named("200,000 journal entries")
def _journal() -> bytes:
    return _file(
        _event(n, f"DTSTART:{_moment(n)}Z", f"SUMMARY:Diary {n}", kind="VJOURNAL")
        for n in range(MANY)
    )


@_named("30,000 series of five years")
def _series() -> bytes:
    return _file(
        _event(n, f"DTSTART:{_moment(n)}Z", "RRULE:FREQ=WEEKLY;COUNT=260", f"SUMMARY:Series {n}")
        for n in range(30_000)
    )


# Structure -----------------------------------------------------------------------------------


@_named("300,000 events begun and not ended")
def _begun() -> bytes:
    return _file(["BEGIN:VEVENT\nUID:a\nDTSTART:20270324T100000Z\n" * 300_000])


@_named("a million nested components")
def _nested() -> bytes:
    depth = 500_000
    return _file(["BEGIN:X-A\n" * depth, "END:X-A\n" * depth])


@_named("a million alarms in one event")
def _alarms() -> bytes:
    alarm = "BEGIN:VALARM\nACTION:DISPLAY\nEND:VALARM\n"
    return _file(
        [_event("a", "DTSTART:20270324T100000Z", "SUMMARY:Loud", alarm * 700_000 + "X-END:1")]
    )


@_named("500,000 calendars in one file")
def _calendars() -> bytes:
    one = "BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n"
    return (one * 500_000).encode() + _file([])


@_named("2 million END lines")
def _ends() -> bytes:
    return _file(["END:VEVENT\n" * 2_000_000])


@_named("8 million lines of two characters")
def _short_lines() -> bytes:
    lines = "A:\n" * 7_500_000
    return _file([_event("a", "DTSTART:20270324T100000Z", "SUMMARY:Short lines", lines + "X:1")])


@_named("5 million folds")
def _folds() -> bytes:
    text = "SUMMARY:" + "x\n " * 5_000_000
    return _file([_event("a", "DTSTART:20270324T100000Z", text)])


@_named("one enormous line")
def _one_line() -> bytes:
    return _file([_event("a", "DTSTART:20270324T100000Z", "SUMMARY:" + "x" * (31 * _MEGABYTE))])


@_named("a file of one line without an end")
def _no_lines() -> bytes:
    return b"BEGIN:VCALENDAR;" * (31 * _MEGABYTE // 16)


@_named("a file larger than is taken")
def _too_large() -> bytes:
    return _file([_event("a", "DTSTART:20270324T100000Z", "SUMMARY:" + "x" * (70 * _MEGABYTE))])


@_named("quotes, colons and semicolons by the million")
def _marks() -> bytes:
    return _file(
        [
            _event("a", 'DTSTART;TZID="' + '":"' * 2_000_001 + ":20270324T100000Z", "SUMMARY:A"),
            _event("b", "DTSTART" + ";X=" * 2_000_000 + ":20270324T100000Z", "SUMMARY:B"),
            _event("c", "DTSTART" + ":" * 3_000_000 + "20270324T100000Z", "SUMMARY:C"),
            _event("d", "DTSTART:20270324T100000Z", "SUMMARY:" + "\\" * 3_000_001),
            _event("e", "DTSTART:20270324T100000Z", "CATEGORIES:" + "\\,," * 1_000_000),
            _event("f", "DTSTART:20270324T100000Z", "ATTENDEE" + ';CN="' * 500_000 + ":mailto:a@b"),
        ]
    )


# Text ----------------------------------------------------------------------------------------


@_named("six descriptions of 5 megabytes")
def _descriptions() -> bytes:
    return _file(
        _event(n, "DTSTART:20270324T100000Z", "SUMMARY:Long", "DESCRIPTION:" + "x" * 5_000_000)
        for n in range(6)
    )


@_named("30 megabytes and one emoji")
def _emoji() -> bytes:
    filler = "".join(
        _event(n, f"DTSTART:2001{n % 12 + 1:02}01T000000Z", "SUMMARY:" + "x" * 900)
        for n in range(30_000)
    )
    return _file(["X-NOTE:\N{CALENDAR}\n", filler])


@_named("a Latin-1 file of 30 megabytes")
def _latin() -> bytes:
    return _emoji().replace("\N{CALENDAR}".encode(), b"\xe4")


@_named("a UTF-16 file of 30 megabytes")
def _utf_16() -> bytes:
    text = "".join(
        _event(n, f"DTSTART:2001{n % 12 + 1:02}01T000000Z", "SUMMARY:\N{CALENDAR}" + "x" * 900)
        for n in range(15_000)
    )
    return b"\xff\xfe" + _file([text]).decode().encode("utf-16-le")


@_named("20,000 titles of a kilobyte in one week")
def _titles() -> bytes:
    return _file(
        _event(n, f"DTSTART:202703{22 + n % 7}T120000Z", f"SUMMARY:{n} " + "&" * 1_000)
        for n in range(20_000)
    )


@_named("300 attendees of each of 1,500 events")
def _attendees() -> bytes:
    guests = [f"ATTENDEE;CN=Guest {n}:mailto:guest{n}@hostile.invalid" for n in range(300)]
    return _file(
        _event(n, f"DTSTART:{_moment(n)}Z", *guests, f"SUMMARY:Feast {n}") for n in range(1_500)
    )


@_named("400,000 attendees of a daily event")
def _guests() -> bytes:
    guests = [f"ATTENDEE:mailto:guest{n}@hostile.invalid" for n in range(400_000)]
    lines = ("DTSTART:20200101T000000Z", "RRULE:FREQ=DAILY", "SUMMARY:Feast")
    return _file([_event("g", *lines, *guests)])


@_named("a million categories of a daily event")
def _categories() -> bytes:
    lines = ["CATEGORIES:" + ",".join(f"C{n}-{m}" for m in range(1_000)) for n in range(1_000)]
    dates = ("DTSTART:20200101T000000Z", "RRULE:FREQ=DAILY", "SUMMARY:Named")
    return _file([_event("c", *dates, *lines)])


@_named("UIDs of a megabyte")
def _uids() -> bytes:
    return _file(
        _event(f"{n}" + "u" * _MEGABYTE, "DTSTART:x", "SUMMARY:No time", "RRULE:FREQ=DAILY")
        for n in range(25)
    )


# Overrides -----------------------------------------------------------------------------------


def _overrides(range_: str, number: int, *more: str) -> Iterable[str]:
    start = datetime(2020, 1, 1)
    yield _event("o", "DTSTART:20200101T000000Z", "RRULE:FREQ=HOURLY", "SUMMARY:Series")
    for n in range(number):
        at = start + timedelta(hours=n * 6)
        yield _event(
            "o",
            f"RECURRENCE-ID{range_}:{at:%Y%m%dT%H%M%SZ}",
            f"DTSTART:{at + timedelta(minutes=n % 90):%Y%m%dT%H%M%SZ}",
            f"SUMMARY:Moved {n}",
            *more,
        )


@_named("10,000 overrides of one UID")
def _of_one() -> bytes:
    return _file(_overrides("", 10_000))


@_named("10,000 THISANDFUTURE overrides of one UID")
def _and_future() -> bytes:
    return _file(_overrides(";RANGE=THISANDFUTURE", 10_000, "RRULE:FREQ=MINUTELY"))


@_named("100,000 versions of one event")
def _versions() -> bytes:
    return _file(
        _event("v", "DTSTART:20270324T100000Z", f"SEQUENCE:{n}", f"SUMMARY:Version {n}")
        for n in range(100_000)
    )


# Zones ---------------------------------------------------------------------------------------


def _zone(name: str, *parts: str) -> str:
    return "\n".join(("BEGIN:VTIMEZONE", f"TZID:{name}", *parts, "END:VTIMEZONE", ""))


def _part(start: str, offset: str, *more: str) -> str:
    return "\n".join(
        (
            "BEGIN:STANDARD",
            f"DTSTART:{start}",
            "TZOFFSETFROM:+0000",
            f"TZOFFSETTO:{offset}",
            *more,
            "END:STANDARD",
        )
    )


def _events_of_zones(names: Iterable[str]) -> Iterable[str]:
    for number, name in enumerate(names):
        yield _event(number, f"DTSTART;TZID={name}:{_moment(number)}", f"SUMMARY:Zoned {number}")


@_named("10,000 zones with endless rules")
def _zones() -> bytes:
    rules = ("RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU",)
    zones = (_zone(f"Z{n}", _part("16010101T000000", "+0100", *rules)) for n in range(10_000))
    return _file([*zones, *_events_of_zones(f"Z{n}" for n in range(10_000))])


@_named("3,000 zones whose rules run every second")
def _ticking_zones() -> bytes:
    part = _part("16010101T000000", "+0100", "RRULE:FREQ=SECONDLY")
    zones = (_zone(f"Z{n}", part, part) for n in range(3_000))
    return _file([*zones, *_events_of_zones(f"Z{n}" for n in range(3_000))])


@_named("a zone of 100,000 changes under a name of the IANA database")
def _onsets() -> bytes:
    day = date(1700, 1, 1)
    parts = [
        _part(f"{day + timedelta(days=n):%Y%m%d}T020000", f"+0{n % 2}00") for n in range(100_000)
    ]
    return _file([_zone("Europe/London", *parts), *_events_of_zones(["Europe/London"] * 20_000)])


@_named("a zone whose parts are begun and not ended")
def _unended_zone() -> bytes:
    part = "BEGIN:STANDARD\nDTSTART:20200101T000000\nTZOFFSETTO:+0100\n"
    return _file([_zone("Z", part * 300_000), *_events_of_zones(["Z"])])


@_named("a zone of a megabyte that 20,000 events name")
def _heavy_zone() -> bytes:
    zone = _zone("Z", _part("20200101T000000", "+0100"), "X-NOTE:" + "z" * _MEGABYTE)
    return _file([zone, *_events_of_zones(["Z"] * 20_000)])


@_named("30,000 unknown zones")
def _unknown_zones() -> bytes:
    return _file(_events_of_zones(f"Nowhere/{n}/" + "n" * 200 for n in range(30_000)))


@_named("names of zones of five megabytes")
def _long_zone_names() -> bytes:
    return _file(_events_of_zones(f"{n}" + "/a" * (5 * _MEGABYTE // 2) for n in range(5)))


# A bit of everything --------------------------------------------------------------------------


@_named("noise between BEGIN and END")
def _noise() -> bytes:
    rng = random.Random(20270324)
    noise = bytes(rng.choices(range(256), k=1 << 16)) * (20 * _MEGABYTE // (1 << 16))
    return _file([]).replace(b"END:VCALENDAR", noise + b"\r\nEND:VCALENDAR")


# A night over one ----------------------------------------------------------------------------

_CONFIG = """\
format = 1

[household]
name = "Test household"
time_zone = "Europe/London"
locale = "en_GB"
region = "GB-ENG"

[[people]]
id = "ann"
name = "Ann"

[[calendars]]
id = "hostile"
path = "hostile.ics"

[[calendars]]
id = "beside"
path = "beside.ics"
"""


def household(folder: Path, content: bytes) -> Path:
    """A household with all defaults, that file, if there is one, and a calendar of one event."""
    folder.mkdir(exist_ok=True)
    config = _CONFIG
    beside = _event("beside", "DTSTART:20270323T150000Z", "SUMMARY:Beside it")
    (folder / "beside.ics").write_text(f"BEGIN:VCALENDAR\n{beside}END:VCALENDAR\n", "utf-8")
    if content:
        (folder / "hostile.ics").write_bytes(content)
    else:
        config = config.replace('[[calendars]]\nid = "hostile"\npath = "hostile.ics"\n', "")
    (folder / "config.toml").write_text(config, "utf-8")
    return folder


def night(folder: Path) -> Used:
    """What `weeksync nightly` uses over that household, from its start to its end."""
    where = ["--household", str(folder), "--now", NOW.isoformat()]
    return measured([sys.executable, "-m", "weeksync", "nightly", *where])


def main() -> None:
    """Print a line for each file, or for those with one of the words in their names."""
    words = sys.argv[1:] or [""]
    usual = "(one event and nothing hostile)"
    makers: dict[str, Maker] = {usual: lambda: b"", **HOSTILE}
    for name, make in makers.items():
        if not any(word in name for word in words):
            continue
        with tempfile.TemporaryDirectory(prefix="weeksync-hostile-") as folder:
            used = night(household(Path(folder), make()))
        said = [line for line in used.said.splitlines() if line.startswith("hostile")]
        last = said[-1][:100] if said else "–"
        print(f"{name:64}{used.cpu:6.2f} s{used.peak_mb:5.0f} MB {used.status} {last}", flush=True)


if __name__ == "__main__":
    os.chdir(Path(__file__).parents[2])
    main()
