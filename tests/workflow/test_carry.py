"""What is decided about tasks left over: what it writes, and what the next week makes of it."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tests.support.households import NOW, calendar, write_household
from weeksync.errors import EditRefused, UsageError
from weeksync.model.fields import DayPart
from weeksync.model.files import Task
from weeksync.model.spread import PlanTask
from weeksync.model.week import IsoWeek
from weeksync.workflow import Context, carry
from weeksync.workflow.carry import LeftOver, Part
from weeksync.workflow.nightly import nightly

THIS = IsoWeek(2027, 12)
THURSDAY = date(2027, 3, 25)

TASKS = """\
format = 1

[[tasks]] # the long one
id = "sheet"
title = "Sales sheet"
area = "home"
person = "ann"
due = 2027-03-03
estimate = 90
priority = 2
notes = "Columns as last quarter."
only_for = ["ann"]

[[tasks]]
id = "photos"
title = "Choose photographs"
person = "ann"
carried = 3

[[tasks]]
id = "put"
title = "Put last week"
person = "bo"

[[tasks]]
id = "bins"
title = "Wash the bins"
due = 2027-03-01
repeats = "FREQ=MONTHLY"

[[tasks]]
id = "fresh"
title = "Of this week"
due = 2027-03-26
"""
LAST_WEEK = 'format = 1\n[[placed]]\ntask = "put"\ndate = 2027-03-17\n'


def household(tmp_path: Path, tasks: str = TASKS) -> Path:
    """A household with tasks left over from the weeks before 22 March 2027."""
    folder = write_household(tmp_path, tasks_toml=tasks)
    (folder / "weeks").mkdir()
    (folder / "weeks" / "2027-W11.toml").write_text(LAST_WEEK)
    return folder


def at(folder: Path, days: int = 0) -> Context:
    """The household as it is that many days after Wednesday 24 March 2027."""
    return Context.read(folder, NOW + timedelta(days=days))


def left(context: Context, name: str) -> LeftOver:
    """The task of that id among those left over."""
    return next(one for one in carry.waiting(context, THIS).tasks if one.task.id == name)


def is_left(context: Context, name: str) -> bool:
    """Whether the task is among those left over in the week of the context's now."""
    week = context.rule.week_of(context.today)
    return any(one.task.id == name for one in carry.waiting(context, week).tasks)


def task(folder: Path, name: str) -> Task:
    """The task as its file has it."""
    return next(one for one in at(folder).files.tasks if one.id == name)


def open_task(context: Context, name: str) -> PlanTask:
    """The open task as the planner has it."""
    from weeksync.workflow.show import planned

    gathered, _ = planned(context, context.rule.week_of(context.today))
    return next(one for one in gathered.planner.open_tasks() if one.id == name)


def test_those_to_be_decided_come_first(tmp_path: Path) -> None:
    """With whether a decision is due, and what may become of them."""
    found = carry.waiting(at(household(tmp_path)), THIS)
    assert [(one.task.id, one.task.carried, one.due) for one in found.tasks] == [
        ("bins", 3, True),
        ("sheet", 3, True),
        ("photos", 3, True),
        ("put", 1, False),
    ]
    assert [one.repeats for one in found.tasks] == [True, False, False, False]
    assert found.days == tuple(date(2027, 3, day) for day in (24, 25, 26, 27, 28))


def test_one_persons_tasks_and_those_of_nobody(tmp_path: Path) -> None:
    """What nobody is named for is everybody's to decide."""
    found = carry.waiting(at(household(tmp_path)), THIS, "bo")
    assert [one.task.id for one in found.tasks] == ["bins", "put"]


def test_what_is_nobodys_and_only_for_somebody_is_not_for_others(tmp_path: Path) -> None:
    """A task that names nobody and is only for Ann is not among Bo's."""
    secret = '\n[[tasks]]\nid = "gift"\ntitle = "Gift"\ndue = 2027-03-01\nonly_for = ["ann"]\n'
    context = at(household(tmp_path, TASKS + secret))
    names = {
        person: {one.task.id for one in carry.waiting(context, THIS, person).tasks}
        for person in ("ann", "bo")
    }
    assert "gift" in names["ann"]
    assert "gift" not in names["bo"]


def test_a_task_put_on_a_day_is_decided_about_and_counted_on_afterwards(tmp_path: Path) -> None:
    """In the week after, still open, it has been carried once more; not twice, not from nothing."""
    folder = household(tmp_path)
    carry.do(at(folder), left(at(folder), "photos"), THURSDAY, DayPart.EVENING)
    assert (folder / "weeks" / "2027-W12.toml").read_text() == (
        'format = 1\n\n[[placed]]\ntask = "photos"\ndate = 2027-03-25\npart = "evening"\n'
    )
    assert (folder / "tasks.toml").read_text() == TASKS.replace(
        "carried = 3\n", "carried = 3\ncarried_until = 2027-03-25\n"
    )
    assert not is_left(at(folder), "photos")
    assert [open_task(at(folder, 7 * weeks), "photos").carried for weeks in (0, 1, 2)] == [3, 4, 5]
    assert is_left(at(folder, 7), "photos")


def test_a_task_that_is_proposed_takes_its_times(tmp_path: Path) -> None:
    """Where there is room for it, with start and minutes."""
    folder = household(tmp_path)
    one = left(at(folder), "sheet")
    assert one.pieces
    carry.do_as_proposed(at(folder), one)
    [placed] = [place for place in at(folder).files.weeks[THIS].placed if place.task == "sheet"]
    assert placed.minutes == 90
    assert placed.start == one.pieces[0].start.time()
    assert not is_left(at(folder), "sheet")


def test_a_date_is_given(tmp_path: Path) -> None:
    """It is planned for that day, what was due before is due then, and until then it rests."""
    folder = household(tmp_path)
    day = date(2027, 4, 9)
    carry.give_date(at(folder), left(at(folder), "sheet"), day)
    assert (folder / "tasks.toml").read_text() == TASKS.replace("03-03", "04-09").replace(
        'only_for = ["ann"]\n',
        'only_for = ["ann"]\nday = 2027-04-09\ncarried = 3\ncarried_until = 2027-04-09\n',
    )
    assert not is_left(at(folder), "sheet")
    assert [open_task(at(folder, 7 * weeks), "sheet").carried for weeks in (0, 2, 3)] == [3, 3, 4]


def test_a_date_holds_for_a_task_that_stood_in_a_week_file_too(tmp_path: Path) -> None:
    """Such a task stands where week files say: the new date stands in one, as well."""
    folder = household(tmp_path)
    carry.give_date(at(folder), left(at(folder), "put"), date(2027, 4, 1))
    assert 'task = "put"\ndate = 2027-04-01' in (folder / "weeks" / "2027-W13.toml").read_text()
    assert task(folder, "put").day == date(2027, 4, 1)
    assert not is_left(at(folder), "put")
    assert (folder / "weeks" / "2027-W11.toml").read_text() == LAST_WEEK


def test_a_due_date_that_is_later_stays(tmp_path: Path) -> None:
    """The day it is planned for lies before it."""
    entry = '[[tasks]]\nid = "x"\ntitle = "X"\ncarried = 4\ndue = 2027-05-01\n'
    folder = household(tmp_path, f"format = 1\n{entry}")
    carry.give_date(at(folder), left(at(folder), "x"), THURSDAY)
    found = task(folder, "x")
    assert (found.due, found.day) == (date(2027, 5, 1), THURSDAY)


def test_a_task_is_dropped(tmp_path: Path) -> None:
    """It stands as dropped today, and nothing else has changed."""
    folder = household(tmp_path)
    carry.drop(at(folder), left(at(folder), "put"))
    assert (folder / "tasks.toml").read_text() == TASKS.replace(
        'title = "Put last week"\nperson = "bo"\n',
        'title = "Put last week"\nperson = "bo"\ndropped = 2027-03-24\n',
    )
    assert not is_left(at(folder), "put")


def test_a_task_is_split_into_others_that_stay_as_private_as_it_was(tmp_path: Path) -> None:
    """Parts have its person, area, ranking and who may see it; a due date that is over is not."""
    folder = household(tmp_path)
    parts = [Part("Enter the till roll", 60), Part("Compare")]
    made = carry.split(at(folder), left(at(folder), "sheet"), parts)
    old = task(folder, "sheet")
    assert old.dropped == date(2027, 3, 24)
    assert old.notes == (
        "Columns as last quarter.\n\nSplit into “Enter the till roll” and “Compare”."
    )
    new = [task(folder, name) for name in made]
    assert [(one.title, one.estimate) for one in new] == [
        ("Enter the till roll", 60),
        ("Compare", None),
    ]
    for one in new:
        assert (one.person, one.area, one.priority, one.due) == ("ann", "home", 2, None)
        assert one.only_for == ("ann",)
        assert one.carried == 0
    assert not is_left(at(folder), "sheet")
    order = [one.id for one in at(folder).files.tasks]
    assert order[:3] == ["sheet", *made]
    assert not at(folder).files.problems


def test_a_task_changed_in_an_editor_meanwhile_is_not_written_over(tmp_path: Path) -> None:
    """What was decided was decided about something else."""
    folder = household(tmp_path)
    one, before = left(at(folder), "photos"), at(folder)
    (folder / "tasks.toml").write_text(TASKS.replace("photographs", "twelve photographs"))
    with pytest.raises(EditRefused):
        carry.drop(before, one)
    assert task(folder, "photos").open


def test_a_to_do_of_a_calendar_can_be_put_on_a_day_and_no_more(tmp_path: Path) -> None:
    """weeksync does not write to calendars."""
    folder = write_household(
        tmp_path, '\n[[calendars]]\nid = "list"\npath = "list.ics"\nperson = "ann"\n'
    )
    todo = "BEGIN:VTODO\r\nUID:a\r\nDTSTAMP:20270101T000000Z\r\nSUMMARY:Ring the sweep\r\n"
    todo += "DUE;VALUE=DATE:20270303\r\nEND:VTODO\r\n"
    (folder / "list.ics").write_text(calendar(todo), "utf-8", newline="")
    nightly(at(folder))
    [one] = carry.waiting(at(folder), THIS).tasks
    assert (one.task.title, one.in_file, one.due) == ("Ring the sweep", False, True)
    with pytest.raises(EditRefused, match="stands in a calendar"):
        carry.drop(at(folder), one)
    with pytest.raises(EditRefused, match="stands in a calendar"):
        carry.give_date(at(folder), one, THURSDAY)
    carry.do(at(folder), one, THURSDAY)
    assert not carry.waiting(at(folder), THIS).tasks
    assert not (folder / "tasks.toml").exists()


def test_a_week_that_is_over_takes_no_tasks(tmp_path: Path) -> None:
    """Wrong use, with the words that would do."""
    with pytest.raises(UsageError, match="is over"):
        carry.waiting(at(household(tmp_path)), IsoWeek(2027, 11))


LIGHTER = (
    'format = 1\n[[lighter]]\nperson = "ann"\nstart = 2027-03-15\nend = 2027-03-21\n'
    'reason = "flu"\n'
)
PILED = """\
format = 1
[[tasks]]
id = "a"
title = "A"
person = "ann"
due = 2027-03-16
estimate = 60
[[tasks]]
id = "b"
title = "B"
person = "ann"
due = 2027-03-18
estimate = 60
[[tasks]]
id = "c"
title = "Cannot be done"
person = "ann"
due = 2027-03-19
waits_for = "the glue"
[[tasks]]
id = "bo"
title = "Of another"
person = "bo"
due = 2027-03-18
"""


def after_flu(tmp_path: Path) -> Path:
    """Ann was ill last week."""
    folder = household(tmp_path, PILED)
    (folder / "weeks" / "2027-W11.toml").write_text(LIGHTER)
    return folder


def test_what_piled_up_is_spread_over_the_days_to_come(tmp_path: Path) -> None:
    """One a day, the earliest first; what waits for something stays."""
    folder = after_flu(tmp_path)
    [piled] = carry.to_spread(at(folder))
    days = [(one.id, day) for one, day in piled.days]
    assert (piled.person, days) == ("ann", [("a", date(2027, 3, 24)), ("b", THURSDAY)])
    assert [one.id for one in piled.left] == ["c"]
    assert not (folder / "weeks" / "2027-W12.toml").exists()
    carry.spread_out(at(folder), [piled])
    placed = at(folder).files.weeks[THIS].placed
    assert [(one.task, one.date) for one in placed] == days
    assert [(task(folder, n).carried, task(folder, n).carried_until) for n in ("a", "b")] == [
        (1, date(2027, 3, 24)),
        (1, THURSDAY),
    ]
    assert [one.id for pile in carry.to_spread(at(folder)) for one in pile.left] == ["c"]


def test_nothing_is_spread_over_days_that_are_lighter_again(tmp_path: Path) -> None:
    """The next lighter days of the person are left out."""
    folder = after_flu(tmp_path)
    again = '[[lighter]]\nperson = "ann"\nstart = 2027-03-24\nend = 2027-03-28\n'
    (folder / "weeks" / "2027-W12.toml").write_text(f"format = 1\n{again}")
    [piled] = carry.to_spread(at(folder))
    assert [day for _, day in piled.days] == [date(2027, 3, 29), date(2027, 3, 30)]


def test_what_piled_up_is_parked(tmp_path: Path) -> None:
    """It cannot be begun before that day, and until then nobody asks about it."""
    folder = after_flu(tmp_path)
    until = date(2027, 4, 5)
    piled = carry.to_park(at(folder), until)
    assert carry.park_all(at(folder), piled) == ()
    assert [task(folder, name).not_before for name in ("a", "b", "c", "bo")] == [
        until,
        until,
        until,
        None,
    ]
    assert [one.task.id for one in carry.waiting(at(folder), THIS).tasks] == ["bo"]
    assert carry.to_spread(at(folder)) == carry.to_park(at(folder), until) == ()
    with pytest.raises(UsageError, match="is not to come"):
        carry.to_park(at(folder), date(2027, 3, 24))


def test_now_is_the_context_s(tmp_path: Path) -> None:
    """Reading again keeps the instant: a sitting over midnight stays the same sitting."""
    context = at(household(tmp_path))
    again = carry.again(context)
    assert (again.now, again.folder) == (datetime(2027, 3, 24, 6, 40, tzinfo=UTC), context.folder)


OURS = '\n[[tasks]]\nid = "ours"\ntitle = "Of us all"\ncarried = 2\n'


def test_what_names_nobody_is_theirs_who_takes_it(tmp_path: Path) -> None:
    """The place names them, its minutes are theirs that day, and stay theirs on another."""
    folder = household(tmp_path, TASKS + OURS)
    one = left(at(folder), "ours")
    assert one.proposed is not None
    who = one.proposed.person
    carry.do_as_proposed(at(folder), one)
    places = [place for place in at(folder).files.weeks[THIS].placed if place.task == "ours"]
    assert {place.person for place in places} == {who}
    assert open_task(at(folder), "ours").persons == (who,)
    loads = carry.waiting(at(folder), THIS).loads
    assert loads[who, places[0].date].planned >= sum(place.minutes or 0 for place in places) > 0
    later = carry.waiting(at(folder, 7), THIS.shifted(1)).tasks
    carry.do(at(folder, 7), next(one for one in later if one.task.id == "ours"), date(2027, 4, 1))
    [again] = at(folder).files.weeks[THIS.shifted(1)].placed
    assert again.person == who
