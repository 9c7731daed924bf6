"""A corpus of calendars from a seed: the same seed gives the same bytes on every machine.

    python -m benchmarks.corpus small /tmp/small
    python -m benchmarks.corpus large /tmp/large --seed 7

`small` is 6 calendars with 3,000 VEVENTs over three years, `large` 20 calendars with 50,000 over
ten, `tiny` is for tests of what measures. Each calendar has its VTIMEZONEs; events have
descriptions, places, attendees and alarms; about 8 in 100 are series, many of them with instances
that were moved or taken out. A household folder that uses the calendars lies around them.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path

from benchmarks.household import write_household
from benchmarks.text import PEOPLE, PLACES, TITLES, WORDS, ZONES, fold

STAMP = "20261101T080000Z"
SERIES_PERCENT = 8
UTC_ZONE = "UTC"
NOW = datetime(2027, 3, 24, 6, 40)
"""UTC instant that the measured runs play at."""


@dataclass(frozen=True, slots=True)
class Size:
    """How large a corpus is; its events lie in whole years from `first` to `last`."""

    calendars: int
    events: int
    first: int
    last: int


SIZES = {
    "tiny": Size(2, 40, 2027, 2027),
    "small": Size(6, 3_000, 2026, 2028),
    "large": Size(20, 50_000, 2022, 2031),
}


@dataclass(frozen=True, slots=True)
class Corpus:
    """A corpus on disk: the household folder, its calendars, their bytes and VEVENTs in sum."""

    folder: Path
    calendars: tuple[Path, ...]
    size: int
    events: int


def write_corpus(folder: Path, size: Size, seed: int = 1) -> Corpus:
    """Write the calendars of that size and seed, and the household that uses them."""
    target = folder / "calendars"
    target.mkdir(parents=True, exist_ok=True)
    paths = []
    for number in range(size.calendars):
        path = target / f"calendar-{number:02}.ics"
        path.write_bytes(calendar_text(number, size, seed))
        paths.append(path)
    write_household(folder, [path.name for path in paths], random.Random(f"{seed} household"))
    return Corpus(folder, tuple(paths), sum(path.stat().st_size for path in paths), size.events)


def calendar_text(number: int, size: Size, seed: int = 1) -> bytes:
    """One calendar of the corpus as the bytes of a file (RFC 5545 section 3.1: CRLF, folded)."""
    rng = random.Random(f"{seed} calendar {number}")
    share, rest = divmod(size.events, size.calendars)
    wanted = share + (number < rest)
    zones = ["Europe/London", *rng.sample(sorted(set(ZONES) - {"Europe/London"}), 2)]
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//weeksync//benchmark corpus//EN"]
    for zone in zones:
        lines += ZONES[zone]
    written = 0
    for event in range(wanted):
        if written >= wanted:
            break
        components = list(_components(f"{number:02}-{event:05}", zones, size, rng))
        for component in components[: wanted - written]:
            lines += component
            written += 1
    lines.append("END:VCALENDAR")
    return b"".join(fold(line) for line in lines)


def _components(uid: str, zones: list[str], size: Size, rng: random.Random) -> Iterator[list[str]]:
    """The VEVENTs of one UID: a single event, or a series and its overrides."""
    zone = zones[0] if rng.random() < 0.8 else rng.choice([*zones, UTC_ZONE])
    days = (date(size.last, 12, 31) - date(size.first, 1, 1)).days
    day = date(size.first, 1, 1) + timedelta(days=rng.randrange(days))
    start = datetime.combine(day, time(rng.randrange(7, 21), rng.choice((0, 15, 30, 45))))
    if rng.randrange(100) < SERIES_PERCENT:
        yield from _series(uid, start, zone, rng)
    elif rng.random() < 0.1:
        end = day + timedelta(days=rng.choice((1, 1, 1, 2, 4)))
        dates = [f"DTSTART;VALUE=DATE:{day:%Y%m%d}", f"DTEND;VALUE=DATE:{end:%Y%m%d}"]
        yield _event(uid, dates, rng, clear=True)
    else:
        yield _event(uid, _times(start, _length(rng), zone), rng)


def _series(uid: str, start: datetime, zone: str, rng: random.Random) -> Iterator[list[str]]:
    """A series that ends, as most do, and one to three instances that were moved."""
    every, text = rng.choice(
        (
            (1, "FREQ=DAILY"),
            (7, "FREQ=WEEKLY"),
            (7, "FREQ=WEEKLY"),
            (14, "FREQ=WEEKLY;INTERVAL=2"),
            (0, f"FREQ=MONTHLY;BYMONTHDAY={min(start.day, 28)}"),
        )
    )
    count = rng.randrange(6, 32)
    length = _length(rng)
    rule = [f"RRULE:{text};COUNT={count}"]
    moved: list[int] = []
    if every:
        gone, *moved = rng.sample(range(1, count), rng.randrange(1, 4))
        rule.append(_moment("EXDATE", start + timedelta(days=every * gone), zone))
    if not every:
        start = start.replace(day=min(start.day, 28))
    yield _event(uid, [*_times(start, length, zone), *rule], rng)
    for instance in sorted(moved):
        original = start + timedelta(days=every * instance)
        later = original + timedelta(minutes=rng.choice((30, 60, 120, 1440)))
        identity = _moment("RECURRENCE-ID", original, zone)
        yield _event(uid, [identity, *_times(later, length, zone)], rng, sequence=1)


def _event(
    uid: str, dates: list[str], rng: random.Random, *, sequence: int = 0, clear: bool = False
) -> list[str]:
    """The content lines of one VEVENT, not folded yet."""
    about = " ".join(rng.choices(WORDS, k=rng.randrange(24, 72)))
    lines = [
        "BEGIN:VEVENT",
        f"UID:{uid}@corpus.invalid",
        f"DTSTAMP:{STAMP}",
        *dates,
        f"SUMMARY:{rng.choice(TITLES)} {rng.choice(WORDS)} {rng.randrange(1, 500)}",
        f"DESCRIPTION:{about.capitalize()}.\\n\\nSee {uid}\\, as agreed.",
        f"SEQUENCE:{sequence}",
        f"CREATED:{STAMP}",
        f"LAST-MODIFIED:{STAMP}",
        f"CATEGORIES:{rng.choice(WORDS).upper()}",
    ]
    if rng.random() < 0.6:
        lines.append(f"LOCATION:{rng.choice(PLACES)}\\, {rng.randrange(1, 90)}")
    if clear:
        lines.append("TRANSP:TRANSPARENT")
    guests = rng.sample(PEOPLE, rng.choice((0, 1, 2, 2, 3)))
    for place, (name, address) in enumerate(guests):
        role = "ORGANIZER" if place == 0 else "ATTENDEE;ROLE=REQ-PARTICIPANT;PARTSTAT=ACCEPTED"
        lines.append(f'{role};CN="{name}":mailto:{address}')
    if rng.random() < 0.5:
        ahead = rng.choice((10, 15, 30, 60))
        lines += ["BEGIN:VALARM", "ACTION:DISPLAY", f"TRIGGER:-PT{ahead}M"]
        lines += ["DESCRIPTION:Soon", "END:VALARM"]
    return [*lines, "END:VEVENT"]


def _times(start: datetime, length: timedelta, zone: str) -> list[str]:
    return [_moment("DTSTART", start, zone), _moment("DTEND", start + length, zone)]


def _length(rng: random.Random) -> timedelta:
    return timedelta(minutes=rng.choice((15, 30, 45, 60, 60, 90, 120, 360)))


def _moment(name: str, moment: datetime, zone: str) -> str:
    """A property line with a local time of `zone`, or with one of UTC."""
    if zone == UTC_ZONE:
        return f"{name}:{moment:%Y%m%dT%H%M%SZ}"
    return f"{name};TZID={zone}:{moment:%Y%m%dT%H%M%S}"


def main() -> None:
    """Write a corpus and say how large it is."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.corpus", description=__doc__)
    parser.add_argument("size", choices=sorted(SIZES))
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    corpus = write_corpus(options.folder, SIZES[options.size], options.seed)
    print(
        f"{corpus.folder}: {len(corpus.calendars)} calendars, {corpus.events:,} events, "
        f"{corpus.size / 1e6:.1f} MB, seed {options.seed}"
    )


if __name__ == "__main__":
    main()
