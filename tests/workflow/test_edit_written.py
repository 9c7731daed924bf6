"""Whatever an entry says, its form writes it so that it reads the same, and nothing beside it."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.households import NOW, write_household
from weeksync.model.fields import DayPart, MarkKind, Weekday
from weeksync.model.files import Appointment, Habit, Lesson, Pause, Routine, Task
from weeksync.model.money import Bill, BusinessDayRule, Goal, PayDay
from weeksync.read.checked import checked
from weeksync.workflow.context import Context
from weeksync.workflow.edit_forms import KINDS
from weeksync.workflow.edit_kinds import Kind
from weeksync.workflow.edit_saving import Place, place_for, save, shown
from weeksync.workflow.edit_words import EditWords

TERMS = """\
# terms, ours
format = 1

[[terms]] # the first
id = "spring"
name = "Spring"
start = 2027-01-04
end = 2027-03-26

[[terms]]
id = "summer"
name = "Summer"
start = 2027-04-12
end = 2027-07-16 # sports day
"""
MONEY = """\
format = 1
currency = "GBP"

[[pay_days]]
id = "pay" # hers
title = "Pay"
first = 2027-01-29

[[bills]]
# the first one
id = "rent"
title = "Rent"
amount = 81500
first = 2026-09-01
"""

TITLES = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cs", "Cc", "Zl", "Zp"]),
    min_size=1,
    max_size=40,
).filter(lambda text: bool(text.strip()) and text.strip() == " ".join(text.split()))
NOTES = st.text(st.sampled_from('ab "\\\t#=[]\n'), max_size=30).map(str.strip)
DAYS = st.dates(date(2026, 1, 1), date(2029, 12, 31))
PEOPLE = st.sampled_from(["ann", "bo"])
ONLY_FOR = st.sampled_from([(), ("ann",), ("ann", "bo")])
WEEKDAYS = st.lists(st.sampled_from(list(Weekday)), unique=True).map(
    lambda days: tuple(sorted(days, key=lambda one: one.number))
)
RULES = st.sampled_from(
    [
        "",
        "FREQ=DAILY",
        "FREQ=WEEKLY",
        "FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,TH",
        "FREQ=WEEKLY;BYDAY=TU;UNTIL=20281231",
        "FREQ=MONTHLY",
        "FREQ=MONTHLY;BYMONTHDAY=-1",
        "FREQ=MONTHLY;INTERVAL=3;BYMONTHDAY=10",
        "FREQ=MONTHLY;BYDAY=2TU",
        "FREQ=YEARLY",
        "FREQ=YEARLY;BYMONTH=4;BYDAY=-1FR;COUNT=4",
        "RRULE:FREQ=WEEKLY;WKST=SU;BYDAY=SU",
    ]
)
CLOCKS = st.times().map(lambda clock: clock.replace(microsecond=0))
SHARE = {"share": st.booleans(), "share_as": st.sampled_from(["", "busy", "Away"])}


def maybe(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """One of the values, or nothing."""
    return st.none() | values


@st.composite
def appointments(draw: st.DrawFn) -> dict[str, Any]:
    """Whole days, hours, hours over midnight, lengths, and open ends."""
    start: Any = draw(DAYS)
    end: Any = None
    minutes = None
    if draw(st.booleans()):
        start = datetime.combine(start, draw(CLOCKS))
        how = draw(st.sampled_from(["end", "minutes", "open"]))
        end = start + draw(st.timedeltas(timedelta(seconds=1), timedelta(days=3)))
        end = end.replace(microsecond=0) if how == "end" else None
        minutes = draw(st.integers(0, 3000)) if how == "minutes" else None
        if end is not None and end <= start:
            end = start + timedelta(seconds=1)
    elif draw(st.booleans()):
        end = start + timedelta(days=draw(st.integers(2, 9)))
    return {"start": start, "end": end, "minutes": minutes}


@st.composite
def habits(draw: st.DrawFn) -> dict[str, Any]:
    """Due on days, so many days a week, or every day; with pauses."""
    days = draw(WEEKDAYS)
    first = draw(maybe(DAYS))
    starts = draw(st.lists(DAYS, max_size=2))
    pauses = tuple(
        Pause(start=one, end=draw(maybe(st.just(one + timedelta(days=3)))), reason=draw(NOTES))
        for one in starts
    )
    health = draw(st.booleans())
    return {
        "days": days,
        "times_a_week": None if days else draw(maybe(st.integers(1, 7))),
        "start": first,
        "end": draw(maybe(st.just(first + timedelta(days=90)))) if first else None,
        "pauses": tuple(replace(one, reason=_one_line(one.reason)) for one in pauses),
        "health": health,
        "share": False if health else draw(st.booleans()),
    }


def _one_line(text: str) -> str:
    return " ".join(text.split())


@st.composite
def spans(draw: st.DrawFn) -> dict[str, Any]:
    """A first day and a last one."""
    first = draw(DAYS)
    return {"first": first, "until": draw(maybe(st.just(first + timedelta(days=400))))}


def _built(record: type[Any], *parts: st.SearchStrategy[dict[str, Any]], **fields: Any) -> Any:
    several = st.tuples(st.fixed_dictionaries(fields), *parts)
    return several.map(
        lambda found: checked(record, {k: v for one in found for k, v in one.items()})
    )


HOURS = st.tuples(CLOCKS, CLOCKS).map(lambda two: f"{two[0]:%H:%M}-{two[1]:%H:%M}")
RECORDS: dict[str, st.SearchStrategy[Any]] = {
    "tasks": _built(
        Task,
        title=TITLES,
        area=maybe(st.just("home")),
        person=maybe(PEOPLE),
        due=DAYS,
        not_before=maybe(DAYS),
        estimate=maybe(st.integers(0, 1440)),
        priority=maybe(st.integers(1, 9)),
        day=maybe(DAYS),
        part=maybe(st.sampled_from(list(DayPart))),
        waits_for=TITLES.map(str.strip),
        repeats=RULES,
        lead_days=maybe(st.integers(0, 366)),
        notes=NOTES,
        only_for=ONLY_FOR,
        **SHARE,
    ),
    "appointments": _built(
        Appointment,
        appointments(),
        title=TITLES,
        person=st.sampled_from([(), "ann", ("ann", "bo")]),
        place=TITLES.map(str.strip),
        notes=NOTES,
        area=maybe(st.just("home")),
        repeats=RULES,
        not_on=st.lists(DAYS, max_size=3).map(tuple),
        busy=st.booleans(),
        travel_minutes=st.integers(0, 90),
        away=st.booleans(),
        only_for=ONLY_FOR,
        prepare=st.lists(
            st.fixed_dictionaries({"what": TITLES, "days": st.integers(0, 366)}), max_size=2
        ).map(tuple),
        **SHARE,
    ),
    "habits": _built(
        Habit,
        habits(),
        title=TITLES,
        area=maybe(st.just("home")),
        person=PEOPLE,
        order=st.integers(-5, 200),
        part=maybe(st.sampled_from(list(DayPart))),
        kind=st.sampled_from(list(MarkKind)),
        unit=TITLES.map(str.strip),
        target=maybe(st.integers(0, 10**8).map(lambda value: value / 8)),
        terms_only=st.booleans(),
        only_for=ONLY_FOR,
    ),
    "bills": _built(
        Bill,
        spans(),
        title=TITLES,
        amount=maybe(st.integers(-(10**15), 10**15)),
        currency=maybe(st.sampled_from(["EUR", "JPY", "KWD"])),
        repeats=RULES,
        collected=st.booleans(),
        rule=maybe(st.sampled_from(list(BusinessDayRule))),
        business=st.booleans(),
        only_for=ONLY_FOR,
    ),
    "pay-days": _built(
        PayDay,
        spans(),
        title=TITLES,
        amount=maybe(st.integers(0, 10**15)),
        currency=maybe(st.sampled_from(["EUR", "JPY", "KWD"])),
        repeats=RULES,
        rule=st.sampled_from(list(BusinessDayRule)),
        person=maybe(PEOPLE),
        business=st.booleans(),
        only_for=ONLY_FOR,
    ),
    "goals": _built(
        Goal,
        title=TITLES,
        amount=st.integers(1, 10**15),
        currency=maybe(st.sampled_from(["EUR", "JPY"])),
        pay_day=st.just("pay"),
        start=st.dates(date(2027, 1, 1), date(2027, 6, 1)),
        end=st.dates(date(2027, 6, 1), date(2029, 1, 1)),
        only_for=ONLY_FOR,
    ),
    "routines": _built(
        Routine,
        title=TITLES,
        person=st.sampled_from(["ann", ("ann", "bo")]),
        days=WEEKDAYS.filter(bool),
        hours=HOURS,
        terms_only=st.booleans(),
    ),
    "lessons": _built(
        Lesson,
        child=PEOPLE,
        subject=TITLES,
        days=WEEKDAYS.filter(bool),
        minutes=maybe(st.integers(0, 600)),
        terms=st.sampled_from([(), ("spring",), ("spring", "summer")]),
        not_on=st.lists(DAYS, max_size=2).map(tuple),
        make_up=st.lists(DAYS, max_size=2).map(tuple),
    ),
}


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A household with terms and money; each case begins with it anew."""
    return write_household(tmp_path_factory.mktemp("written"), terms_toml=TERMS, money_toml=MONEY)


def only(words: Callable[[], EditWords], kind: Kind, ident: str) -> Any:
    """The record of that id, as the household reads it."""
    (found,) = [one for one in kind.held(words()) if one.id == ident]
    return found


def same(kind: Kind, record: Any, wanted: Any) -> None:
    """Both say the same, but for the id; a moment's length may be written as its end."""

    def said(one: Any) -> dict[str, Any]:
        found: dict[str, Any] = {
            name: getattr(one, name) for name in one.field_names() if name != "id"
        }
        if "away" in found:  # "no" need not be written down
            found["away"] = bool(found["away"])
        for key in ("title", "subject"):
            if key in found:
                found[key] = found[key].strip()
        if isinstance(found.get("person"), tuple) and len(found["person"]) == 1:
            found["person"] = found["person"][0]
        if found.get("hours", "").endswith("-24:00"):
            found["hours"] = found["hours"].replace("-24:00", "-00:00")
        return found

    before, after = said(wanted), said(record)
    rules = before.pop("repeats", ""), after.pop("repeats", "")
    assert after == before
    first = wanted.start if hasattr(wanted, "start") else getattr(wanted, "first", None)
    if rules[0] != rules[1]:  # FREQ=MONTHLY from the 10th is the 10th of each month
        assert rules == ("FREQ=MONTHLY", f"FREQ=MONTHLY;BYMONTHDAY={(first or wanted.due).day}")


@pytest.mark.parametrize("name", RECORDS)
@settings(max_examples=12)
@given(data=st.data())
def test_an_entry_is_written_as_it_is_read(home: Path, name: str, data: st.DataObject) -> None:
    """Added: it stands behind the others, which stay to the byte. Changed into another: so, too."""
    first, second = data.draw(RECORDS[name]), data.draw(RECORDS[name])
    kind = KINDS[name]
    shutil.copy(home / "config.toml", home / "kept")
    for file, text in (("terms.toml", TERMS), ("money.toml", MONEY)):
        (home / file).write_text(text)
    for file in ("tasks.toml", "appointments.toml", "habits.toml", "routines.toml"):
        (home / file).write_text("# ours\nformat = 1\n")

    def words() -> EditWords:
        return EditWords(Context.read(home, NOW), all_seen=True)

    before = (home / kind.file).read_text("utf-8")
    now = words()
    added = save(now, Place(kind, kind.file), shown(now, kind, first))
    assert added.wrong == ()
    text = (home / kind.file).read_text("utf-8")
    ahead = len(_common(before, text))
    behind = before[ahead:]
    assert text.endswith(behind)
    assert text[ahead : len(text) - len(behind)].strip("\n").startswith("[[")
    same(kind, only(words, kind, added.id), first)

    now = words()
    place = place_for(now, kind, added.id)
    assert place is not None
    changed = save(now, place, shown(now, kind, second))
    assert changed.wrong == ()
    same(kind, only(words, kind, added.id), second)
    later = (home / kind.file).read_text("utf-8")
    assert later.startswith(text[:ahead])
    assert later.endswith(behind)
    assert (home / "config.toml").read_bytes() == (home / "kept").read_bytes()


def _common(left: str, right: str) -> str:
    """The lines both begin with."""
    found = []
    for one, other in zip(left.splitlines(True), right.splitlines(True), strict=False):
        if one != other:
            break
        found.append(one)
    return "".join(found)


def test_a_time_with_seconds_is_kept(home: Path) -> None:
    """A file may have them, though no form asks for them."""
    record = Appointment(title="x", start=datetime(2027, 4, 1, 10, 0, 30), end=None)
    words = EditWords(Context.read(home, NOW), all_seen=True)
    typed = shown(words, KINDS["appointments"], record)
    assert typed.text("from") == time(10, 0, 30).isoformat()
