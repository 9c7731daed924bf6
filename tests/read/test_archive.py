"""Closed weeks: written as they are read, read for ever, and told where they are damaged."""

from __future__ import annotations

import json
from dataclasses import fields, is_dataclass, replace
from datetime import UTC, date, datetime, time, timedelta, timezone
from pathlib import Path
from types import MappingProxyType
from typing import Any, Literal, NamedTuple, get_args, get_origin, get_type_hints

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.support import sample_week
from weeksync.message import Message, message
from weeksync.model.archive import ClockChange, ClosedView, ClosedWeek, KeptZone
from weeksync.model.config import Area, Household, Person
from weeksync.model.problem import Problem
from weeksync.model.spread import DayOccurrence, Spread
from weeksync.model.week import IsoWeek, Month
from weeksync.model.week_plan import WeekPlan
from weeksync.read.archive import closed_bytes, parse_closed
from weeksync.read.plain import NotPlain, from_plain, to_plain
from weeksync.zones import offset_changes, zone

NAME = "archive/2027-W11.json"
GOLDEN = Path(__file__).parent / "data" / "closed-week-1.json"
"""A week of the demo household as the first weeksync that could close one wrote it; never made
anew: what it holds must load and render for ever."""


def golden() -> ClosedWeek:
    """The week of that file."""
    found = parse_closed(NAME, GOLDEN.read_bytes())
    assert isinstance(found, ClosedWeek), str(found)
    return found


def test_a_file_of_format_1_is_read_for_ever() -> None:
    """Written again it is the same but for what has been added to the records since."""
    found = golden()
    assert found.week == IsoWeek(2027, 11)
    assert found.closed_at == datetime(2027, 3, 24, 6, 40, tzinfo=UTC)
    assert [person.id for person in found.view.people] == ["ines", "dov", "pell", "juno", "nana"]
    monday = found.spread.days[0]
    assert (monday.date, monday.term_week) == (date(2027, 3, 15), 11)
    assert [one.title for one in monday.priorities] == ["Sow the second tray"]
    assert {row.id: row.marked for row in found.spread.habits}["water"] == 5
    assert found.spread.plan is not None
    assert parse_closed(NAME, closed_bytes(found)) == found


def test_a_day_and_a_habit_have_lines_of_their_own() -> None:
    """Whoever opens the file, or compares two of them, sees the week as lines."""
    lines = GOLDEN.read_text("utf-8").splitlines()
    assert lines[1:4] == ['"format": 1,', '"kind": "weeksync.week",', '"week": "2027-W11",']
    assert sum(line.startswith('{"date": "2027-03-1') for line in lines) == 5
    assert sum(line.startswith('{"id": ') for line in lines) >= len(golden().spread.habits)


def test_nothing_of_a_source_is_in_it_but_its_name() -> None:
    """No address, no user, no password: the file may be copied with the pages."""
    view = json.loads(GOLDEN.read_bytes())["view"]
    assert view["sources"][0] == ["home", "Home"]
    assert ".ics" not in json.dumps(view)
    assert not view.keys() & {"calendars", "serve", "rules", "pull"}


# Any record at all, from its type hints: a field that is added is drawn, too.

TEXTS = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
OFFSETS = st.sampled_from([UTC, timezone(timedelta(hours=1)), timezone(timedelta(minutes=-210))])
MOMENTS = st.datetimes(datetime(1970, 1, 3), datetime(2199, 12, 30), timezones=OFFSETS)
FLOATS = st.floats(allow_nan=False, allow_infinity=False)
NUMBERS = st.integers(-(10**9), 10**9)
SIMPLE: dict[Any, st.SearchStrategy[Any]] = {
    str: TEXTS,
    int: NUMBERS,
    bool: st.booleans(),
    float: FLOATS,
    date: st.dates(date(1900, 1, 1), date(2199, 12, 31)),
    datetime: MOMENTS,
    time: st.times(),
    type(None): st.none(),
    IsoWeek: st.builds(IsoWeek, st.integers(1900, 2199), st.integers(1, 52)),
    Month: st.builds(Month, st.integers(1900, 2199), st.integers(1, 12)),
    Message: st.builds(
        Message,
        TEXTS,
        st.dictionaries(TEXTS, TEXTS | NUMBERS | FLOATS, max_size=3).map(MappingProxyType),
        st.none() | TEXTS,
        st.none() | st.integers(0, 99),
    ),
}


def drawn(kind: Any) -> st.SearchStrategy[Any]:
    """Values of that type."""
    origin, inner = get_origin(kind), get_args(kind)
    if kind in SIMPLE:
        return SIMPLE[kind]
    if origin is tuple and inner[-1] is Ellipsis:
        return st.lists(st.deferred(lambda: drawn(inner[0])), max_size=2).map(tuple)
    if origin is tuple:
        return st.tuples(*map(drawn, inner))
    if origin is Literal:
        return st.sampled_from(inner)
    if origin is not None:
        return st.one_of(*map(drawn, inner))
    if hasattr(kind, "__members__"):
        return st.sampled_from(list(kind))
    hints = get_type_hints(kind)
    names = kind._fields if hasattr(kind, "_fields") else [one.name for one in fields(kind)]
    return st.builds(kind, **{name: drawn(hints[name]) for name in names})


@given(drawn(Spread))
@settings(max_examples=60, suppress_health_check=list(HealthCheck), deadline=None)
def test_whatever_a_week_holds_is_read_as_it_was_written(spread: Spread) -> None:
    """Every field of every record, named tuples and moments with their offsets included."""
    text = json.dumps(to_plain(spread), ensure_ascii=False, allow_nan=False)
    again = from_plain(Spread, json.loads(text))
    assert again == spread
    assert json.dumps(to_plain(again), ensure_ascii=False) == text


def test_a_day_stays_a_day_and_midnight_a_moment() -> None:
    """An all-day event and one that starts at midnight are not the same thing."""
    for start in (date(2027, 3, 15), datetime(2027, 3, 15, tzinfo=UTC)):
        found = from_plain(date | datetime, to_plain(start))
        assert (type(found), found) == (type(start), start)


class Older(NamedTuple):
    """A record as an older weeksync had it."""

    title: str
    gone: str = ""


class Newer(NamedTuple):
    """The same with a field less and one more."""

    title: str
    added: tuple[str, ...] = ()


def test_fields_come_and_go_between_versions() -> None:
    """What is not known any more is passed over, what is missing is as if empty."""
    assert from_plain(Newer, to_plain(Older("a", "b"))) == Newer("a")
    assert from_plain(Older, to_plain(Newer("a", ("b",)))) == Older("a")


def test_a_default_that_is_not_empty_is_written() -> None:
    """Else another default later would change what old files say."""
    shown = DayOccurrence(sample_week.spread().days[0].occurrences[0].occurrence, None)
    assert "busy" in to_plain(shown.occurrence)
    assert "from_before" not in to_plain(shown)
    assert is_dataclass(shown.occurrence)


# Damaged files


def changed(change: Any) -> bytes:
    """The golden file with something else in it."""
    data = json.loads(GOLDEN.read_bytes())
    change(data)
    return json.dumps(data).encode()


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "no JSON from column 1"),
        (GOLDEN.read_bytes()[:9_000], "no JSON from column"),
        (b"\xff\xfe", "no JSON"),
        (b"[" * 100_000, "no JSON"),
        (b"[]", "no record of a closed week"),
        (b'{"kind": "weeksync.week"}', "no usable format"),
        (b'{"kind": "weeksync.week", "format": 1}', "no usable week"),
        (changed(lambda data: data.update(week="2027-W54")), "no usable week"),
        (changed(lambda data: data.update(closed_at="yesterday")), "no usable closed_at"),
        (changed(lambda data: data["view"].pop("household")), "no usable view.household"),
        (changed(lambda data: data["view"]["areas"][0].update(colour="x")), "view.areas.0.colour"),
        (changed(lambda data: data["spread"]["days"].pop()), "no usable spread.days"),
        (changed(lambda data: data["spread"]["days"][2].update(date=3)), "spread.days.2.date"),
        (changed(lambda data: data["spread"]["habits"][0]["cells"].pop()), "spread.habits"),
        (changed(lambda data: data["spread"].update(week="2027-W12")), "spread.week"),
        (changed(lambda data: data["spread"].pop("plan")), "spread.week"),
        (changed(lambda data: data.update(spread=[])), "no usable spread"),
    ],
)
def test_a_damaged_record_is_told_with_its_place_and_remedy(content: bytes, said: str) -> None:
    """Half a record is none; the remedy names both ways out."""
    found = parse_closed(NAME, content)
    assert isinstance(found, Problem)
    assert said in str(found.what)
    assert found.place.file == NAME
    assert "weeksync close 2027-W11 --reopen" in str(found.remedy)


def test_the_line_of_the_damage_is_named() -> None:
    """A day has its own line, and so its number leads to it."""
    lines = GOLDEN.read_text("utf-8").split("\n")
    number = next(n for n, line in enumerate(lines) if line.startswith('{"date": "2027-03-17"'))
    lines[number] = lines[number].replace('"2027-03-17"', '"17 March"', 1)
    found = parse_closed(NAME, "\n".join(lines).encode())
    assert isinstance(found, Problem)
    assert found.place.line == number + 1


def test_a_record_of_another_week_or_of_a_later_format_is_told() -> None:
    """A file that was renamed, and one of a newer weeksync, which is not to be set aside."""
    found = parse_closed("archive/2027-W10.json", GOLDEN.read_bytes())
    assert isinstance(found, Problem)
    assert "is of 2027-W11" in str(found.what)
    found = parse_closed(NAME, changed(lambda data: data.update(format=2)))
    assert isinstance(found, Problem)
    assert "use a newer weeksync" in str(found.remedy)


def test_what_a_later_weeksync_added_is_passed_over() -> None:
    """A household that is also opened with an older weeksync."""

    def more(data: dict[str, Any]) -> None:
        data["mood"] = 1
        data["view"]["people"][0]["shoes"] = 40
        data["spread"]["days"][0]["weather"] = "rain"

    assert parse_closed(NAME, changed(more)) == golden()


def test_a_broken_rule_of_a_record_gives_way_to_no_exception() -> None:
    """Wrong kinds at every place of a small record."""
    view = ClosedView(Household(name="A", time_zone="UTC"), (Person(id="a", name="A"),))
    whole = to_plain(view)
    for key in whole:
        for wrong in (3, "x", [1], {"a": 1}, True, 2.5):
            if type(wrong) is not type(whole[key]):
                with pytest.raises(NotPlain):
                    from_plain(ClosedView, {**whole, key: wrong})


# The clocks of a closed week


@pytest.mark.parametrize("name", ["Europe/London", "Australia/Lord_Howe", "Asia/Kolkata", "UTC"])
@given(st.datetimes(datetime(2026, 3, 1), datetime(2028, 3, 1)))
@settings(max_examples=60)
def test_kept_clocks_go_as_the_zone_did(name: str, moment: datetime) -> None:
    """Every moment within the years kept has its local time, repeated hours included."""
    tz = zone(name)
    changes = offset_changes(tz, date(2026, 1, 1), date(2028, 12, 31))
    kept = KeptZone(name, tuple(ClockChange(since, offset) for since, offset in changes))
    utc = moment.replace(tzinfo=UTC)
    ours, theirs = utc.astimezone(kept), utc.astimezone(tz)
    assert ours.replace(tzinfo=None) == theirs.replace(tzinfo=None)
    assert (ours.fold, ours.utcoffset()) == (theirs.fold, theirs.utcoffset())
    assert ours.astimezone(UTC) == utc


def test_a_time_in_the_gap_has_the_offset_before_it() -> None:
    """RFC 5545 section 3.3.5, as everywhere: 01:30 on 28 March 2027 in London is 01:30 UTC."""
    changes = offset_changes(zone("Europe/London"), date(2027, 1, 1), date(2027, 12, 31))
    kept = KeptZone("Europe/London", tuple(ClockChange(*one) for one in changes))
    assert datetime(2027, 3, 28, 1, 30, tzinfo=kept).utcoffset() == timedelta(0)
    assert datetime(2027, 3, 28, 2, 0, tzinfo=kept).utcoffset() == timedelta(hours=1)
    assert KeptZone("x", ()).utcoffset(None) == timedelta(0)
    assert kept.tzname(None) == "Europe/London"


def test_the_view_stands_in_for_the_configuration() -> None:
    """Names, letters, colours and limits as they were; a source is its name."""
    settings_ = sample_week.config()
    view = ClosedView.of(settings_, ())
    again = from_plain(ClosedView, json.loads(json.dumps(to_plain(view)))).as_config()
    assert (again.household, again.people, again.areas) == (
        settings_.household,
        settings_.people,
        settings_.areas,
    )
    assert [one.label for one in again.calendars] == [one.label for one in settings_.calendars]
    assert replace(view, areas=(Area(id="a", name="A", colour="moss", letter="A"),)) != view
    assert WeekPlan() == from_plain(WeekPlan, {})
    assert from_plain(Message, to_plain(message("a {b}", b=1))) == message("a {b}", b=1)
