"""The record of a span: valid by its schema, complete in its descriptions, right in its values."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, date, datetime
from importlib import resources
from typing import Any

import jsonschema
import pytest

from tests.plan.test_plan_views import BOTH
from tests.plan.test_planner import OCCURRENCES, busy_household
from tests.plan.test_views import household, occurrences
from tests.support.plans import CONFIG, NOW, all_day, at, config, files, planner, timed, todo
from weeksync.message import counted, message
from weeksync.model.files import Task
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import SourceState
from weeksync.model.spread import LeftOut, LeftOutReason, Spread
from weeksync.model.week import IsoWeek
from weeksync.plan import record, views
from weeksync.zones import zone

W12 = IsoWeek(2027, 12)
SCHEMA: dict[str, Any] = json.loads(
    resources.files("weeksync").joinpath("schema/span-1.schema.json").read_text("utf-8")
)
FORMATS = jsonschema.FormatChecker()


@FORMATS.checks("date-time")
def _is_moment(text: object) -> bool:
    """An ISO 8601 moment with its offset; the library itself checks dates only."""
    try:
        return not isinstance(text, str) or datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False


def closed(node: Any) -> Any:
    """The schema with every object closed: a property that it does not describe is an error."""
    if isinstance(node, list):
        return [closed(one) for one in node]
    if not isinstance(node, dict):
        return node
    made = {key: closed(value) for key, value in node.items()}
    if "properties" in node and isinstance(node.get("type"), str):
        made["additionalProperties"] = False
    return made


def as_record(spread: Spread, **keys: Any) -> dict[str, Any]:
    """The record of a spread, valid by the closed schema after a way through JSON."""
    made = record.as_record(
        spread,
        household="The Marlowicks",
        now=NOW,
        time_zone="Europe/London",
        tzdata="2026f",
        **keys,
    )
    found: dict[str, Any] = json.loads(json.dumps(made))
    assert found == made, "what JSON gives back is what was put in"
    validator = jsonschema.Draft202012Validator(closed(SCHEMA), format_checker=FORMATS)
    assert [str(error) for error in validator.iter_errors(found)] == []
    return found


def full() -> Spread:
    """A week with something in every list."""
    settings = config(holidays=[{"date": date(2027, 3, 24), "name": "Fair"}])
    made = busy_household()
    left = [LeftOut(one, LeftOutReason.CANCELLED) for one in OCCURRENCES]
    todos = [todo("Form", due=at("2027-03-24 07:00")), todo("Done", completed=date(2027, 3, 23))]
    kept = household(("ines",))
    return planner(
        files(
            settings,
            tasks=(*made.tasks, *kept.tasks),
            habits=(*made.habits, *kept.habits),
            bills=(*made.bills, *kept.bills),
            pay_days=kept.pay_days,
            goals=kept.goals,
            terms=made.terms,
            lessons=made.lessons,
            weeks=made.weeks,
            marks=(*made.marks, *kept.marks),
            check_ins=made.check_ins,
        ),
        [*OCCURRENCES, *occurrences(("ines",))],
        todos,
        left_out=left,
    ).week(W12)


PROBLEMS = (
    Problem(
        ProblemKind.MISTAKE,
        message('due = "{value}" is no date', value="2027-02-30"),
        Place("tasks.toml", 14),
        message("write a day that exists"),
    ),
    Problem(ProblemKind.NOTICE, counted("{count} thing", "{count} things", 2)),
)
STATES = {
    "rota": SourceState("rota"),
    "home": SourceState("home", NOW, datetime(2027, 3, 23, 2, tzinfo=UTC), failed=True),
}


def test_a_full_week_is_valid_and_leaves_no_list_empty() -> None:
    """So the descriptions are held against something of every kind."""
    found = as_record(full(), problems=PROBLEMS, states=STATES)
    for name in ("habits", "undated", "left_out", "decisions", "problems", "sources"):
        assert found[name], name
    lists = [
        (key, bool(value))
        for day in found["days"]
        for key, value in day.items()
        if isinstance(value, list)
    ]
    assert {key for key, _ in lists} == {key for key, is_filled in lists if is_filled}


@pytest.mark.parametrize("view", ["common", "ines", "home"])
def test_views_and_empty_weeks_are_valid(view: str) -> None:
    """Less in it, the same form."""
    spread = full()
    as_record(
        views.common(spread)
        if view == "common"
        else views.for_person(spread, view)
        if view == "ines"
        else views.for_area(spread, view)
    )
    as_record(planner().week(IsoWeek(2030, 1)))
    as_record(planner().span(date(2027, 3, 24), date(2027, 3, 24)))


def properties(node: Any, path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """(path, schema) of every property that is described anywhere."""
    if isinstance(node, dict):
        for name, one in node.get("properties", {}).items():
            yield f"{path}/{name}", one
        for key, value in node.items():
            yield from properties(value, f"{path}/{key}")
    elif isinstance(node, list):
        for value in node:
            yield from properties(value, path)


def test_every_property_is_described_and_needed() -> None:
    """No property without a sentence, none that may be absent."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    found = dict(properties(SCHEMA))
    assert len(found) > 150
    assert [path for path, one in found.items() if not one.get("description", "").strip()] == []
    objects = [SCHEMA, *SCHEMA["$defs"].values()]
    assert all(set(one["required"]) == set(one["properties"]) for one in objects)
    assert all(one["description"] for one in objects)
    assert SCHEMA["properties"]["format"]["const"] == record.FORMAT
    assert SCHEMA["properties"]["kind"]["const"] == record.KIND


@pytest.mark.parametrize(
    ("change", "valid"),
    [
        ({}, True),
        ({"week": "2027-12"}, False),
        ({"from": "22 March"}, False),
        ({"now": "2027-03-24T07:30:00"}, False),
        ({"another": 1}, False),
        ({"days": []}, False),
    ],
)
def test_the_schema_refuses_what_is_wrong(change: dict[str, Any], valid: bool) -> None:
    """A check that could not fail would check nothing."""
    made = as_record(planner().week(W12)) | change
    validator = jsonschema.Draft202012Validator(closed(SCHEMA), format_checker=FORMATS)
    assert validator.is_valid(made) is valid


def test_the_head_says_what_was_computed_for_when() -> None:
    """Version, household, moment, zone data, and the span."""
    found = as_record(planner().week(W12))
    head = {key: value for key, value in found.items() if not isinstance(value, list | dict)}
    assert head == {
        "format": 1,
        "kind": "weeksync.span",
        "household": "The Marlowicks",
        "now": "2027-03-24T07:30:00+00:00",
        "time_zone": "Europe/London",
        "tzdata": "2026f",
        "week": "2027-W12",
        "closed_at": None,
        "from": "2027-03-22",
        "to": "2027-03-28",
        "notes": "",
    }
    assert [day["hours"] for day in found["days"]] == [24] * 6 + [23]
    assert [day["date"] for day in found["days"]] == [f"2027-03-{day}" for day in range(22, 29)]
    span = as_record(planner().span(date(2027, 3, 22), date(2027, 3, 23)))
    assert (span["week"], span["to"], len(span["days"])) == (None, "2027-03-23", 2)


def test_an_occurrence_in_the_record() -> None:
    """Moments with the household's offset, an all-day one by its dates."""
    call = timed(
        "Call",
        at("2027-03-28 18:30"),
        45,
        zone="America/St_Johns",
        uid="call@saltmere.invalid",
        identity="20270328T173000Z",
        persons=("ines", "nana"),
        also_in=("work",),
        categories=("FAMILY",),
    )
    asked = planner(occurrences=[call, all_day("Cousin", date(2027, 3, 26), 4, busy=False)])
    cousin, found = as_record(asked.week(W12))["days"][6]["occurrences"]
    picked = (
        "title",
        "start",
        "end",
        "all_day",
        "busy",
        "person",
        "part",
        "from_before",
        "goes_on",
    )
    assert {key: cousin[key] for key in picked} == {
        "title": "Cousin", "start": "2027-03-26", "end": "2027-03-30", "all_day": True,
        "busy": False, "person": None, "part": None, "from_before": True, "goes_on": True,
    }  # fmt: skip
    assert {key: found[key] for key in picked} == {
        "title": "Call", "start": "2027-03-28T18:30:00+01:00", "end": "2027-03-28T19:15:00+01:00",
        "all_day": False, "busy": True, "person": "ines", "part": "evening",
        "from_before": False, "goes_on": False,
    }  # fmt: skip
    assert (found["zone"], found["source"], found["uid"], found["identity"]) == (
        "America/St_Johns", "home", "call@saltmere.invalid", "20270328T173000Z",
    )  # fmt: skip
    assert (found["persons"], found["also_in"]) == (["ines", "nana"], ["work"])


def test_a_plan_with_everything_is_valid() -> None:
    """Each list of the plan is held against its description with something in it."""
    found = as_record(BOTH)["plan"]
    assert [name for name, value in found.items() if not value] == []
    assert [name for name, value in found["proposal"].items() if not value] == []
    assert as_record(planner().span(date(2027, 3, 22), date(2027, 3, 23)))["plan"] is None


def test_clocks_elsewhere_in_the_record() -> None:
    """15:00 in St John's, 2 h 30 behind London until 27 March and 3 h 30 after it.

    The event's own zone, then those of its persons, each once and only where the clock differs.
    """
    people = [*CONFIG["people"], {"id": "nana", "name": "N", "time_zone": "America/St_Johns"}]
    call = timed("Call", at("2027-03-22 01:30"), zone="America/St_Johns", persons=("nana",))
    asked = planner(
        files(config(people=people)),
        [
            call,
            timed("Later", at("2027-03-28 18:30"), zone="Europe/Madrid", persons=("ines", "nana")),
            timed("Here", at("2027-03-23 18:30"), zone="Europe/London", persons=("ines",)),
            timed("Same", at("2027-03-24 18:30"), zone="Europe/Lisbon"),
            timed("UTC", at("2027-03-25 18:30"), zone="UTC"),
            timed("Unknown", at("2027-03-26 18:30"), zone="Nowhere/At_All"),
            all_day("Day", date(2027, 3, 27), persons=("nana",)),
        ],
    )
    days = as_record(asked.week(W12))["days"]
    assert [[one["elsewhere"] for one in day["occurrences"]] for day in days[1:6]] == [[[]]] * 5
    assert days[0]["occurrences"][0]["elsewhere"] == [
        {"zone": "America/St_Johns", "start": "2027-03-21T23:00:00-02:30"}
    ]
    assert days[6]["occurrences"][0]["elsewhere"] == [
        {"zone": "Europe/Madrid", "start": "2027-03-28T19:30:00+02:00"},
        {"zone": "America/St_Johns", "start": "2027-03-28T15:00:00-02:30"},
    ]


def test_half_hours_and_missing_days() -> None:
    """Lord Howe's day of 24.5 hours; a day that does not exist has none."""
    howe = planner(tz=zone("Australia/Lord_Howe")).span(date(2027, 4, 4), date(2027, 4, 4))
    apia = planner(tz=zone("Pacific/Apia")).span(date(2011, 12, 30), date(2011, 12, 30))
    (long,), (missing,) = as_record(howe)["days"], as_record(apia)["days"]
    assert (long["hours"], missing["hours"]) == (24.5, 0)
    assert long["problems"][0]["what"]["sentence"] == "The clocks change: this day has 24.5 hours"
    assert missing["problems"][0]["kind"] == "notice"


def test_sentences_come_with_their_parts() -> None:
    """The English sentence to read, the entry and its values to translate."""
    spread = planner(files(tasks=(Task(id="jars", title="Jars", carried=3),))).week(W12)
    found = as_record(spread, problems=PROBLEMS)
    (decision,) = found["decisions"]
    assert decision["sentence"] == (
        "“Jars” has been carried 3 weeks: do it, split it, give it a date, or drop it"
    )
    assert (decision["count"], decision["values"]) == (3, {"title": "Jars"})
    mistake, notice = found["problems"]
    assert (mistake["file"], mistake["line"], mistake["source"]) == ("tasks.toml", 14, None)
    assert mistake["what"]["sentence"] == 'due = "2027-02-30" is no date'
    assert mistake["remedy"]["sentence"] == "write a day that exists"
    assert (notice["what"]["sentence"], notice["remedy"]) == ("2 things", None)


def test_sources_are_told_in_order() -> None:
    """By id; a source that was never pulled has no times."""
    found = as_record(planner().week(W12), states=STATES)["sources"]
    assert found == [
        {
            "source": "home",
            "last_tried": "2027-03-24T07:30:00+00:00",
            "last_good": "2027-03-23T02:00:00+00:00",
            "failed": True,
        },
        {"source": "rota", "last_tried": None, "last_good": None, "failed": False},
    ]
