"""Marks taken into a household: what is written, what was known, what is refused."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.support.households import NOW, write_household
from weeksync.errors import HouseholdError, UsageError
from weeksync.model.household import Mark
from weeksync.model.spread import CellState
from weeksync.read import HEADER, parse_marks
from weeksync.workflow import Context, Status, shown
from weeksync.workflow.mark import Taken, by_hand, take_by_hand, take_marks
from weeksync.workflow.mark_file import take_file

HABITS = """\
format = 1
[[habits]]
id = "walk"
title = "Walk"
person = "ann"
start = 2027-03-01
[[habits]]
id = "water"
title = "Water"
person = "bo"
kind = "count"
[[habits]]
id = "frost"
title = "Frost cloth"
person = "bo"
end = 2027-03-14
[[habits]]
id = "mood"
title = "The day"
person = "bo"
kind = "scale"
"""
TERMS = """\
format = 1
[[terms]]
id = "spring"
name = "Spring"
start = 2027-01-05
end = 2027-03-25
[[lessons]]
id = "maths"
child = "bo"
subject = "Maths"
days = ["monday", "tuesday"]
not_on = [2027-03-16]
make_up = [2027-03-20]
"""
TASKS = """\
format = 1 # ours

[[tasks]]
id = "gate" # soon
title = "Mend the gate"
due = 2027-03-25

[[tasks]]
id = "bins"
title = "Wash the bins"
due = 2027-03-20
repeats = "FREQ=WEEKLY;BYDAY=SA"

[[tasks]]
id = "paint"
title = "Paint the door"
done = 2027-03-10
"""
MONDAY = date(2027, 3, 22)
AT = datetime(2027, 3, 22, 8, 0, tzinfo=UTC)


def household(folder: Path) -> Context:
    """Habits, a lesson and tasks, on Wednesday morning."""
    write_household(folder, habits_toml=HABITS, terms_toml=TERMS, tasks_toml=TASKS)
    return again(folder)


def again(folder: Path) -> Context:
    """The household as its files are now."""
    return Context.read(folder, NOW)


def mark(thing: str, value: str = "yes", day: date = MONDAY, **other: Any) -> Mark:
    """A mark of Monday, made at eight."""
    return replace(Mark(thing, day, "", value, AT, NOW, "tablet"), **other)


def tasks(folder: Path) -> dict[str, dict[str, Any]]:
    """The entries of `tasks.toml`, by id."""
    return {one["id"]: one for one in tomllib.loads((folder / "tasks.toml").read_text())["tasks"]}


def test_marks_are_written_with_their_person(tmp_path: Path) -> None:
    """A habit's person, a lesson's child; and they are where the week is shown from."""
    taken = take_marks(household(tmp_path), [mark("walk"), mark("maths", "50")])
    assert taken == Taken(new=2)
    marks, _ = parse_marks("", (tmp_path / "marks/2027-W12.csv").read_bytes())
    assert [(one.id, one.person, one.value) for one in marks] == [
        ("walk", "ann", "yes"),
        ("maths", "bo", "50"),
    ]
    spread, _ = shown(again(tmp_path), "this")
    [walk] = [row for row in spread.habits if row.id == "walk"]
    assert walk.cells[0].state is CellState.MARKED
    assert [one.done for one in spread.days[0].lessons] == [True]


def test_a_mark_taken_back_is_not_recorded_anywhere(tmp_path: Path) -> None:
    """Neither the habit nor the lesson has it, nor what is counted of them; not "no" either."""
    context = household(tmp_path)
    before, _ = shown(context, "this")
    take_marks(context, [mark("walk"), mark("maths")])
    later = AT + timedelta(minutes=1)
    back = [mark(one, "", recorded_at=later) for one in ("walk", "maths")]
    assert take_marks(context, back) == Taken(new=2)
    after, _ = shown(again(tmp_path), "this")
    assert after.habits == before.habits
    assert after.habits[0].cells[0].state is CellState.NOT_RECORDED
    assert after.days == before.days
    assert before.plan is not None
    assert after.plan is not None
    assert after.plan.lessons == before.plan.lessons


def test_the_later_mark_holds_and_a_clock_ahead_counts_as_its_arrival(tmp_path: Path) -> None:
    """Two devices: what the one with the clock gone wild says holds from when it arrived."""
    context = household(tmp_path)
    wild = mark("water", "9", recorded_at=NOW + timedelta(days=900), received_at=AT)
    take_marks(context, [wild, mark("water", "7", recorded_at=AT + timedelta(minutes=5))])
    spread, _ = shown(again(tmp_path), "this")
    [water] = [row for row in spread.habits if row.id == "water"]
    assert water.cells[0].value == "7"


REFUSED = {
    "unknown": (mark("wlak"), 'id = "wlak" is no habit, lesson, break or task; did you mean walk?'),
    "to-do": (mark("todo-12"), 'id = "todo-12" is a to-do of a calendar; end it'),
    "to come": (mark("walk", day=date(2027, 3, 25)), "date = 2027-03-25 has not come yet; "),
    "far back": (mark("walk", day=date(1970, 1, 1)), "date = 1970-01-01 lies too far back; "),
    "before": (mark("walk", day=date(2027, 2, 28)), "“Walk” began on 2027-03-01; "),
    "ended": (mark("frost"), "“Frost cloth” ended on 2027-03-14; "),
    "nobody": (mark("walk", person="zed"), 'person = "zed" is nobody of config.toml; '),
    "another": (mark("walk", person="bo"), "“Walk” is not for bo; write ann, or nothing"),
    "kind": (mark("walk", "7"), 'value = "7" is no mark for “Walk”; write yes or no'),
    "count": (mark("water", "7.5"), 'value = "7.5" is no mark for “Water”; write a whole number'),
    "scale": (mark("mood", "6"), 'value = "6" is no mark for “The day”; write a whole number'),
    "word": (mark("water", "done"), 'value = "done" is no mark for “Water”; '),
    "no lesson": (mark("maths", day=date(2027, 3, 17)), "“Maths” is no lesson of 2027-03-17; "),
    "left out": (mark("maths", day=date(2027, 3, 16)), "“Maths” is no lesson of 2027-03-16; "),
    "minutes": (mark("maths", "9000"), 'value = "9000" is no mark for “Maths”; write minutes'),
    "task": (mark("gate"), 'value = "yes" says nothing about the task “Mend the gate”; write done'),
    "repeats": (mark("bins", "dropped"), "“Wash the bins” repeats, "),
    "ended task": (mark("paint", "done"), "“Paint the door” has ended on 2027-03-10 already; "),
    "done task": (mark("paint", "dropped"), "“Paint the door” has ended on 2027-03-10 already; "),
}


@pytest.mark.parametrize(("wrong", "said"), REFUSED.values(), ids=REFUSED.keys())
def test_a_mark_that_cannot_be_is_refused_alone(tmp_path: Path, wrong: Mark, said: str) -> None:
    """Its value and the remedy are said; the marks around it are written."""
    context = household(tmp_path)
    before = (tmp_path / "tasks.toml").read_bytes()
    taken = take_marks(context, [mark("walk"), wrong, mark("mood", "5")])
    assert taken.new == 2
    [refused] = taken.refused
    assert refused.place == 1
    assert f"{refused.what}; {refused.remedy}".startswith(said)
    assert (tmp_path / "tasks.toml").read_bytes() == before


def test_what_is_said_of_tasks_goes_into_their_file(tmp_path: Path) -> None:
    """The latest word counts, comments stay, and every word is kept in the file of marks."""
    context = household(tmp_path)
    later = AT + timedelta(minutes=3)
    said = [mark("gate", "dropped", recorded_at=later), mark("gate", "done")]
    assert take_marks(context, said) == Taken(new=2)
    assert tasks(tmp_path)["gate"]["dropped"] == MONDAY
    assert "done" not in tasks(tmp_path)["gate"]
    assert (
        (tmp_path / "tasks.toml").read_text().startswith('format = 1 # ours\n\n[[tasks]]\nid = "')
    )
    marks, _ = parse_marks("", (tmp_path / "marks/2027-W12.csv").read_bytes())
    assert {one.value for one in marks} == {"dropped", "done"}
    assert take_marks(again(tmp_path), said) == Taken(known=2)
    back = mark("gate", "", recorded_at=later + timedelta(minutes=1))
    assert take_marks(again(tmp_path), [back]) == Taken(new=1)
    assert (tmp_path / "tasks.toml").read_text() == TASKS
    assert take_marks(again(tmp_path), [back]) == Taken(known=1)


def test_of_a_task_the_later_word_holds_whenever_it_arrives(tmp_path: Path) -> None:
    """A tablet that was away hands over an older "done" after another has taken it back."""
    done = mark("gate", "done", recorded_at=AT + timedelta(minutes=1), device="away")
    back = mark("gate", "", recorded_at=AT + timedelta(minutes=5))
    first = mark("gate", "done")
    for one in (first, back, done):
        assert take_marks(household_again(tmp_path), [one]) == Taken(new=1)
    assert (tmp_path / "tasks.toml").read_text() == TASKS
    marks, _ = parse_marks("", (tmp_path / "marks/2027-W12.csv").read_bytes())
    assert sorted(one.device for one in marks) == ["away", "tablet", "tablet"]
    for one in (first, back, done):  # sent once more, since an answer was lost
        assert take_marks(again(tmp_path), [one]) == Taken(known=1)
    assert (tmp_path / "tasks.toml").read_text() == TASKS


def household_again(folder: Path) -> Context:
    """The household, made at the first call."""
    return again(folder) if (folder / "tasks.toml").exists() else household(folder)


def test_a_repeating_task_done_ahead_is_done_for_its_due_date(tmp_path: Path) -> None:
    """Put on Friday and due on Saturday, done on Friday: Saturday has it no more."""
    household(tmp_path)
    (tmp_path / "weeks").mkdir()
    (tmp_path / "weeks/2027-W11.toml").write_text(
        'format = 1\n[[placed]]\ntask = "bins"\ndate = 2027-03-19\n'
    )
    friday = date(2027, 3, 19)
    assert take_marks(again(tmp_path), [mark("bins", "done", friday)]) == Taken(new=1)
    assert tasks(tmp_path)["bins"]["done"] == date(2027, 3, 20)
    assert take_marks(again(tmp_path), [mark("bins", "done", friday)]) == Taken(known=1)
    monday = take_marks(again(tmp_path), [mark("bins", "done", date(2027, 3, 15))])
    assert monday == Taken(known=1)


@pytest.mark.parametrize(
    ("thing", "value", "day"),
    [
        ("gate", "done", MONDAY),
        ("gate", "dropped", MONDAY),
        ("gate", "later", MONDAY),
        ("bins", "done", date(2027, 3, 19)),
    ],
)
def test_a_line_that_a_killed_run_did_not_come_to_is_written_by_the_next(
    tmp_path: Path, thing: str, value: str, day: date
) -> None:
    """The task says so already, its marks do not: once, and for the way back as well."""
    household(tmp_path)
    file = tmp_path / "marks" / f"2027-W{day.isocalendar().week}.csv"
    moments = (AT + timedelta(minutes=number) for number in range(9))

    def again_said(word: str) -> Taken:
        return take_marks(again(tmp_path), [mark(thing, word, day, recorded_at=next(moments))])

    for word in [value] if thing == "bins" else [value, "", value]:
        assert again_said(word) == Taken(new=1)
        lines = file.read_bytes().splitlines(keepends=True)
        file.write_bytes(b"".join(lines[:-1]))  # killed right before it
        assert again_said(word) == Taken(new=1)
        assert again_said(word) == Taken(known=1)
        assert len(file.read_bytes().splitlines()) == len(lines)


def test_a_task_changed_meanwhile_is_refused_alone(tmp_path: Path) -> None:
    """What was marked beside it is written."""
    context = household(tmp_path)
    changed = TASKS.replace("2027-03-25", "2027-03-26")
    (tmp_path / "tasks.toml").write_text(changed)
    taken = take_marks(context, [mark("gate", "done"), mark("walk")])
    assert (taken.new, [one.place for one in taken.refused]) == (1, [0])
    assert (tmp_path / "tasks.toml").read_text() == changed


def test_a_mark_made_by_hand_is_later_than_what_it_changes(tmp_path: Path) -> None:
    """Even in the same second, and when a clock before it ran ahead; the same again is nothing."""
    take_marks(household(tmp_path), [mark("water", "9", recorded_at=NOW + timedelta(days=2))])
    for value in ("7", "", "7", "8"):
        context = again(tmp_path)
        made = by_hand(context, "water", MONDAY, value, device="terminal")
        assert take_by_hand(context, made) == Taken(new=1)
        context = again(tmp_path)
        made = by_hand(context, "water", MONDAY, value, device="terminal")
        assert take_by_hand(context, made) == Taken(known=1)
        spread, _ = shown(again(tmp_path), "this")
        [water] = [row for row in spread.habits if row.id == "water"]
        assert water.cells[0].value == value


HEAD = ",".join(HEADER)
LINES = (
    "walk,2027-03-22,ann,yes,2027-03-22T08:00:00+00:00,,tablet",
    "gone,2027-03-22,ann,yes,2027-03-22T08:00:00+00:00,,tablet",
    "water,2027-03-23,,7,2027-03-23T21:00:00+00:00,,tablet",
    "water,2027-03-29,,7,2027-03-29T21:00:00+00:00,,tablet",
    "cut off",
    "gate,2027-03-23,,done,2027-03-23T21:00:00+00:00,,tablet",
)


def test_a_file_is_taken_as_often_as_one_likes(tmp_path: Path) -> None:
    """Each mark once; what is refused is kept beside it once, as it stood, and can be taken."""
    context = household(tmp_path / "home")
    saved = tmp_path / "saved.csv"
    saved.write_text("".join(f"{line}\n" for line in (HEAD, *LINES)))
    outcome = take_file(context, saved)
    assert outcome.status is Status.PROBLEMS
    assert [str(line) for line in outcome.done] == ["3 marks are new.", "0 were there already."]
    told = [str(one) for one in outcome.problems]
    assert told[0].startswith(f'{saved}:3: id = "gone" is no habit, lesson, break or task')
    assert told[1].startswith(f"{saved}:5: date = 2027-03-29 has not come yet")
    assert told[2].startswith(f"{saved}:6: the line has 1 column in place of 7: cut off")
    assert "3 lines were refused and are kept in" in told[3]
    beside = tmp_path / "saved.refused.csv"
    assert beside.read_text().splitlines() == [HEAD, LINES[1], LINES[3], LINES[4]]
    home = {path: path.read_bytes() for path in (tmp_path / "home").rglob("*.*")}
    outcome = take_file(again(tmp_path / "home"), saved)
    assert [str(line) for line in outcome.done] == ["0 marks are new.", "3 were there already."]
    assert {path: path.read_bytes() for path in (tmp_path / "home").rglob("*.*")} == home
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "home",
        "saved.csv",
        "saved.refused.csv",
    ]
    beside.write_text(
        f"{HEAD}\n{LINES[1].replace('gone', 'mood').replace('yes', '4').replace('ann', 'bo')}\n"
    )
    outcome = take_file(again(tmp_path / "home"), beside)
    assert outcome.status is Status.FINE
    assert "weeksync build" in str(outcome.done[-1])


def test_another_file_of_refused_lines_is_not_written_over(tmp_path: Path) -> None:
    """It may have been corrected, and not be taken yet."""
    context = household(tmp_path / "home")
    saved = tmp_path / "saved.jsonl"
    (tmp_path / "saved.refused.jsonl").write_text("mine")
    saved.write_text('{"id": "walk"}\n')
    assert "saved.refused-2.jsonl" in str(take_file(context, saved).problems[-1])
    assert (tmp_path / "saved.refused.jsonl").read_text() == "mine"
    assert (tmp_path / "saved.refused-2.jsonl").read_text() == '{"id": "walk"}\n'


def test_a_thousand_bad_lines_are_a_screen_of_problems(tmp_path: Path) -> None:
    """All of them are kept."""
    saved = tmp_path / "saved.csv"
    saved.write_text(HEAD + "\n" + "x\n" * 1000)
    outcome = take_file(household(tmp_path / "home"), saved)
    assert len(outcome.problems) == 21
    assert (tmp_path / "saved.refused.csv").read_text().count("\n") == 1001


def test_what_is_no_file_of_marks_changes_nothing(tmp_path: Path) -> None:
    """None there, a folder, another kind of file."""
    context = household(tmp_path / "home")
    with pytest.raises(UsageError, match="there is no file"):
        take_file(context, tmp_path / "none.csv")
    with pytest.raises(HouseholdError, match="is no file of marks"):
        take_file(context, tmp_path)
    (tmp_path / "page.html").write_text("<p>")
    with pytest.raises(HouseholdError, match="is no file of marks"):
        take_file(context, tmp_path / "page.html")
    assert not (tmp_path / "home" / "marks").exists()


def test_json_lines_of_a_tablet(tmp_path: Path) -> None:
    """True, a number and null are a tick, a figure and a mark taken back."""
    at: dict[str, Any] = {
        "date": "2027-03-23",
        "recorded_at": "2027-03-23T09:00:00Z",
        "device": "tablet",
    }
    said: list[dict[str, Any]] = [
        {"id": "walk", "value": True},
        {"id": "water", "value": 7},
        {"id": "mood", "value": None},
    ]
    saved = tmp_path / "saved.jsonl"
    saved.write_text("".join(json.dumps({**at, **one}) + "\n" for one in said))
    assert take_file(household(tmp_path / "home"), saved).status is Status.FINE
    marks, _ = parse_marks("", (tmp_path / "home/marks/2027-W12.csv").read_bytes())
    assert [one.value for one in marks] == ["yes", "7", ""]
