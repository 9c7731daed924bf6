"""Dates, durations, rules and zone names, each by itself."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import available_timezones

import pytest
from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

from weeksync.calendar.rules import parse_rule
from weeksync.calendar.values import Length, Written, duration, written
from weeksync.calendar.zone_names import display_zone, offset_called, zone_called


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("19970714", Written(datetime(1997, 7, 14), is_date=True)),
        ("19980118T230000", Written(datetime(1998, 1, 18, 23))),
        ("19980119T070000Z", Written(datetime(1998, 1, 19, 7), utc=True)),
        ("19970630T235960Z", Written(datetime(1997, 6, 30, 23, 59, 59), utc=True)),
        ("20270301T0900", Written(datetime(2027, 3, 1, 9))),
        ("20270301T240000", Written(datetime(2027, 3, 2))),
        (" 2027-03-01T09:00:00Z ", Written(datetime(2027, 3, 1, 9), utc=True)),
        ("20270301T090000+0130", Written(datetime(2027, 3, 1, 7, 30), utc=True)),
        ("2027-03-01T09:00:00.250-05:00", Written(datetime(2027, 3, 1, 14), utc=True)),
    ],
)
def test_dates_and_times(text: str, value: Written) -> None:
    """The examples of RFC 5545 sections 3.3.4, 3.3.5 and 3.3.12, and near misses seen in files."""
    assert written(text) == value


@pytest.mark.parametrize(
    "text", ["", "2027", "20271301", "20270230", "20270301T2500", "tomorrow", "20270301T09+0199"]
)
def test_what_is_no_date(text: str) -> None:
    """Days that do not exist and words are no dates."""
    with pytest.raises(ValueError, match=r"day|month|no date|no time"):
        written(text)


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("P15DT5H0M20S", Length(15, 5 * 3600 + 20)),
        ("P7W", Length(49)),
        ("PT24H", Length(0, 86_400)),
        ("P1D", Length(1)),
        ("-PT15M", Length(0, -900)),
        ("p1dt1h", Length(1, 3600)),
    ],
)
def test_durations(text: str, length: Length) -> None:
    """The examples of RFC 5545 section 3.3.6; a day and 24 hours stay different."""
    assert duration(text) == length


@pytest.mark.parametrize("text", ["", "P", "PT", "1H", "P1H", "PT1D", "P1.5D", "P1Y"])
def test_what_is_no_duration(text: str) -> None:
    """Durations without a number, without P, or with units in the wrong place are refused."""
    with pytest.raises(ValueError, match="is no duration"):
        duration(text)


@pytest.mark.parametrize(
    "text",
    [
        "", "FREQ=SOMETIMES", "FREQ=DAILY;INTERVAL=0", "FREQ=DAILY;INTERVAL=-1",
        "FREQ=DAILY;COUNT=0", "FREQ=DAILY;COUNT=x", "FREQ=DAILY;UNTIL=tomorrow",
        "FREQ=MONTHLY;BYMONTHDAY=32", "FREQ=MONTHLY;BYMONTHDAY=0", "FREQ=YEARLY;BYMONTH=13",
        "FREQ=WEEKLY;BYDAY=XX", "FREQ=MONTHLY;BYDAY=0MO", "FREQ=MONTHLY;BYDAY=54MO",
        "FREQ=DAILY;BYHOUR=24", "FREQ=YEARLY;BYWEEKNO=54", "FREQ=DAILY;WKST=NO",
        "RSCALE=HEBREW;FREQ=YEARLY", "RSCALE=GREGORIAN;FREQ=YEARLY;SKIP=SIDEWAYS",
        "FREQ=DAILY;BYSETPOS=0",
    ],
)  # fmt: skip
def test_rules_that_cannot_be_used(text: str) -> None:
    """RFC 5545 section 3.3.10: each of these breaks a bound or a form it gives."""
    with pytest.raises(ValueError, match=r"FREQ|1 or more|date|range|weekday|number|scale|SKIP"):
        parse_rule(text)


def test_rules_are_read_in_any_case_and_order() -> None:
    """Case, order, a last semicolon, empty and unknown parts make no difference."""
    plain = parse_rule("FREQ=WEEKLY;BYDAY=MO,TU;COUNT=3")
    assert parse_rule("rrule:count=3;byday=tu,mo;freq=weekly;byhour=;x-more=1;") == plain


@pytest.mark.parametrize(
    ("tzid", "name"),
    [
        ("Europe/London", "Europe/London"),
        ("europe/london", "Europe/London"),
        ("GMT Standard Time", "Europe/London"),
        ("w. europe standard time", "Europe/Berlin"),
        ("/vendor.invalid/Tzfile/America/Indiana/Knox", "America/Indiana/Knox"),
        ("/vendor.invalid/20270101_1/Europe/Lisbon", "Europe/Lisbon"),
        ("vendor://zones/Utc", "UTC"),
        ("Asia/Calcutta", "Asia/Calcutta"),
    ],
)
def test_zone_names(tzid: str, name: str) -> None:
    """IANA names in any case, outdated ones, Windows names (CLDR), and vendors' paths."""
    found = zone_called(tzid)
    assert found is not None
    assert found.key == name


def test_every_name_of_the_database_and_of_cldr() -> None:
    """In any case, and behind a path, each IANA name is itself and each Windows name its zone."""
    for name in available_timezones():
        for tzid in (name, name.upper(), f"/vendor.invalid/2027/{name}", name.replace("_", " ")):
            found = zone_called(tzid)
            assert found is not None
            assert found.key == name, tzid
    for name, wanted in WINDOWS_TO_OLSON.items():
        if name == "UTC":
            continue  # a name of the database, too
        for tzid in (name, name.lower(), f"/vendor.invalid/{name}"):
            found = zone_called(tzid)
            assert found is not None
            assert found.key == wanted, tzid


@pytest.mark.parametrize(
    ("tzid", "minutes"),
    [
        ("GMT+0100", 60), ("UTC-05:30", -330), ("gmt -5", -300), ("+02:00", 120), ("-0330", -210),
        ("UTC\u22122", -120), ("/vendor/GMT+1", 60), ("UTC+14", 840),
        ("Etc/GMT+13", None), ("/vendor/etc/gmt-15", None), ("UTC+15", None),
        ("GMT", None), ("5", None), ("-5", None), ("EST5EDT", None),
        ("UTC+01:60", None), ("GMT+01000", None),
    ],
)  # fmt: skip
def test_offsets_as_names(tzid: str, minutes: int | None) -> None:
    """Plus is east of Greenwich; a bare number without its sign and two digits says nothing."""
    found = offset_called(tzid)
    assert found == (None if minutes is None else timedelta(minutes=minutes))


@pytest.mark.parametrize(
    ("tzid", "name"),
    [
        ("(UTC+01:00) Amsterdam, Berlin, Bern, Rome, Stockholm, Vienna", "Europe/Amsterdam"),
        ("(UTC+01:00) Casablanca", None),
        ("(UTC-05:00) Eastern Time (US & Canada)", "America/New_York"),
        ("(UTC-06:00) Eastern Time (US & Canada)", None),
        ("(UTC+02:00) Berlin", None),
        ("(UTC+01:00) Berlin, Tokyo", None),
        ("(UTC+05:30) Chennai, Kolkata, Mumbai, New Delhi", "Asia/Kolkata"),
        ("(UTC) Coordinated Universal Time", "UTC"),
        ("(UTC-03:30) Newfoundland", "America/St_Johns"),
        ("Berlin", None),
    ],
)
def test_names_as_windows_shows_them(tzid: str, name: str | None) -> None:
    """Cities that agree with each other and with the offset in winter; else nothing."""
    found = display_zone(tzid, 2027)
    assert (found.key if found else None) == name


@pytest.mark.parametrize(
    "tzid", ["", "/", "Saltmere/Harbour", "../../etc/passwd", "a\0b", "x" * 999]
)
def test_names_that_say_nothing(tzid: str) -> None:
    """No zone, no error, and no way out of the zone data."""
    assert zone_called(tzid) is None
