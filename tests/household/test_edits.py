"""Household files edited on disk: what was decided about is what is changed, or nothing is."""

from __future__ import annotations

import multiprocessing
import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import date, time
from pathlib import Path

import pytest

from tests.support.households import write_household
from tests.support.unprivileged import give_away, shared_folder, unprivileged
from weeksync.errors import EditRefused, HouseholdError
from weeksync.household import Choice, TaskChange, change_tasks, choose, read_household
from weeksync.household.editing import edit_file
from weeksync.household.toml_edits import Value, with_value
from weeksync.model.chosen import PlacedTask, PlannedBreak
from weeksync.model.fields import DayPart
from weeksync.model.files import Task, TasksFile
from weeksync.model.week import IsoWeek

TASKS = """\
format = 1 # tasks

[[tasks]]
id = "gate"
title = "Mend the gate" # soon
due = 2027-03-25

# --- Later ---
[[tasks]]
id = "kite"
title = "Build the kite"
"""
WEEK = IsoWeek(2027, 12)
FRIDAY = date(2027, 3, 26)


def tasks(folder: Path) -> dict[str, Task]:
    """The tasks of a household, by id."""
    return {task.id: task for task in read_household(folder).tasks}


def test_decisions_are_written_and_nothing_else(tmp_path: Path) -> None:
    """Several tasks of one file at once; parts stand behind the task they came from."""
    folder = write_household(tmp_path, tasks_toml=TASKS)
    seen = tasks(folder)
    parts: list[dict[str, Value]] = [
        {"title": "Find the dowels", "estimate": 20},
        {"title": "Glue it"},
    ]
    made = change_tasks(
        folder,
        [
            TaskChange(seen["gate"], {"due": date(2027, 4, 1)}),
            TaskChange(seen["kite"], {"dropped": date(2027, 3, 24)}, parts),
        ],
    )
    assert [one[:-5] for one in made] == ["find-the-dowels", "glue-it"]
    put = f'dropped = 2027-03-24\n\n[[tasks]]\nid = "{made[0]}"\ntitle = "Find the dowels"\n'
    put += f'estimate = 20\n\n[[tasks]]\nid = "{made[1]}"\ntitle = "Glue it"\n'
    assert (folder / "tasks.toml").read_text() == TASKS.replace("03-25", "04-01") + put


def test_a_task_of_a_year_file_is_changed_there(tmp_path: Path) -> None:
    """A task is found by its id, whichever file holds it."""
    folder = write_household(tmp_path, tasks_toml="format = 1\n")
    (folder / "tasks-2026.toml").write_text(TASKS)
    change_tasks(folder, [TaskChange(tasks(folder)["gate"], {"carried": 2})])
    assert "carried = 2" in (folder / "tasks-2026.toml").read_text()
    assert (folder / "tasks.toml").read_text() == "format = 1\n"


@pytest.mark.parametrize(
    "meanwhile",
    [
        lambda text: text.replace("03-25", "03-26"),
        lambda text: text.replace('"gate"', '"gates"'),
        lambda text: text + '[[tasks]]\nid = "gate"\ntitle = "Mend the gate"\n',
        lambda text: text + "[[tasks\n",
        lambda text: text + "due = 1\n\n\x00",
    ],
    ids=["another date", "gone", "twice", "broken", "no text"],
)
def test_what_has_changed_meanwhile_is_left_alone(
    tmp_path: Path, meanwhile: Callable[[str], str]
) -> None:
    """Somebody else's edit of the task, or a file that cannot be understood now."""
    folder = write_household(tmp_path, tasks_toml=TASKS)
    seen = tasks(folder)["gate"]
    (folder / "tasks.toml").write_text(meanwhile(TASKS))
    with pytest.raises(EditRefused):
        change_tasks(folder, [TaskChange(seen, {"dropped": FRIDAY})])
    assert (folder / "tasks.toml").read_text() == meanwhile(TASKS)


def test_edits_elsewhere_in_the_file_are_no_hindrance(tmp_path: Path) -> None:
    """Another task was changed in an editor while this one was decided about."""
    folder = write_household(tmp_path, tasks_toml=TASKS)
    seen = tasks(folder)["gate"]
    longer = TASKS.replace("kite", "big kite").replace('"big kite"', '"kite"') + "estimate = 20\n"
    (folder / "tasks.toml").write_text(longer)
    change_tasks(folder, [TaskChange(seen, {"due": FRIDAY})])
    assert (folder / "tasks.toml").read_text() == longer.replace("03-25", "03-26")


def test_a_value_the_record_does_not_take_is_not_written(tmp_path: Path) -> None:
    """A decision never makes a file that has more mistakes than before."""
    folder = write_household(tmp_path, tasks_toml=TASKS)
    with pytest.raises(EditRefused):
        change_tasks(folder, [TaskChange(tasks(folder)["gate"], {"estimate": -1})])
    assert (folder / "tasks.toml").read_text() == TASKS


def test_a_write_by_somebody_else_at_the_last_moment_is_seen(tmp_path: Path) -> None:
    """Between reading and writing the file changed: it stays as the other left it."""
    folder = write_household(tmp_path, tasks_toml=TASKS)

    def edit(text: str, _: TasksFile) -> str:
        (folder / "tasks.toml").write_text(f"{text}# theirs\n")
        return with_value(text, ("tasks", 0), "due", FRIDAY)

    with pytest.raises(EditRefused) as refused:
        edit_file(folder, "tasks.toml", TasksFile, edit)
    assert "has changed meanwhile" in str(refused.value)
    assert (folder / "tasks.toml").read_text() == f"{TASKS}# theirs\n"


def test_a_byte_order_mark_and_windows_line_ends_stay(tmp_path: Path) -> None:
    """As an editor on Windows left them."""
    folder = write_household(tmp_path)
    before = b"\xef\xbb\xbf" + TASKS.replace("\n", "\r\n").encode()
    (folder / "tasks.toml").write_bytes(before)
    change_tasks(folder, [TaskChange(tasks(folder)["gate"], {"carried": 1})])
    wanted = before.replace(b"due = 2027-03-25\r\n", b"due = 2027-03-25\r\ncarried = 1\r\n")
    assert (folder / "tasks.toml").read_bytes() == wanted


def test_a_choice_makes_the_file_of_its_week(tmp_path: Path) -> None:
    """With its format, and a folder for it; what is chosen again is not written twice.

    A break gets a permanent id: it can be ticked.
    """
    folder = write_household(tmp_path, tasks_toml=TASKS)
    placed = PlacedTask(task="gate", date=FRIDAY, start=time(14, 30), minutes=45)
    pause = PlannedBreak(date=FRIDAY, start=time(10, 30), what="Tea", person="ann")
    chosen = Choice(FRIDAY, {"gate": [placed]}, {}, [(FRIDAY, "gate")], [pause])
    choose(folder, WEEK, chosen)
    files = read_household(folder)
    (given,) = files.weeks[WEEK].breaks
    assert given.id.startswith("tea-")
    assert (folder / "weeks" / "2027-W12.toml").read_text() == (
        'format = 1\n\n[[placed]]\ntask = "gate"\ndate = 2027-03-26\nstart = 14:30:00\n'
        'minutes = 45\n\n[[days]]\ndate = 2027-03-26\npriorities = ["gate"]\n\n'
        f'[[breaks]]\nid = "{given.id}"\ndate = 2027-03-26\nstart = 10:30:00\nminutes = 10\n'
        'what = "Tea"\nperson = "ann"\n'
    )
    assert not files.problems
    assert files.weeks[WEEK].placed == (placed,)
    before = (folder / "weeks" / "2027-W12.toml").read_bytes()
    choose(folder, WEEK, replace(chosen, seen={"gate": [placed]}))
    assert (folder / "weeks" / "2027-W12.toml").read_bytes() == before


CHOSEN = """\
format = 1
[[days]]
date = 2027-03-22
priorities = ["gate"]
[[days]]
date = 2027-03-28
[[placed]] # Monday
task = "gate"
date = 2027-03-22
[[placed]]
task = "kite" # other
date = 2027-03-25
[[placed]]
task = "gate"
date = 2027-03-25
start = 09:00:00
minutes = 30 # half of it
[[placed]]
task = "gate"
date = 2027-03-27
"""


def test_new_places_of_a_task_take_the_room_of_its_old_ones(tmp_path: Path) -> None:
    """From the day on; what stands before it, and what is another's, stays."""
    folder = write_household(tmp_path, tasks_toml=TASKS)
    (folder / "weeks").mkdir()
    (folder / "weeks" / "2027-W12.toml").write_text(CHOSEN)
    seen = [one for one in read_household(folder).weeks[WEEK].placed if one.task == "gate"][1:]
    place = PlacedTask(task="gate", date=FRIDAY, part=DayPart.EVENING)
    choose(
        folder,
        WEEK,
        Choice(date(2027, 3, 24), {"gate": [place]}, {"gate": seen}, [(FRIDAY, "kite")]),
    )
    new = (folder / "weeks" / "2027-W12.toml").read_text()
    wanted = CHOSEN.replace('\n[[placed]]\ntask = "gate"\ndate = 2027-03-27', "").replace(
        "date = 2027-03-25\nstart = 09:00:00\nminutes = 30 # half of it",
        'date = 2027-03-26\n# half of it\npart = "evening"',
    )
    wanted = wanted.replace(
        '["gate"]\n', '["gate"]\n\n[[days]]\ndate = 2027-03-26\npriorities = ["kite"]\n'
    )
    assert tomllib.loads(new) == tomllib.loads(wanted)
    assert "# half of it" in new
    with pytest.raises(EditRefused):
        choose(folder, WEEK, Choice(date(2027, 3, 24), {"gate": [place]}, {"gate": seen}))


def test_a_folder_that_cannot_be_written_loses_nothing() -> None:
    """The error says which file; it is as it was."""
    with shared_folder() as folder:
        write_household(folder, tasks_toml=TASKS)
        seen = tasks(folder)["gate"]
        for one in folder.iterdir():
            give_away(one)
        give_away(folder)
        folder.chmod(0o555)

        def check() -> None:
            with pytest.raises(HouseholdError) as refused:
                change_tasks(folder, [TaskChange(seen, {"due": FRIDAY})])
            assert "tasks.toml could not be written" in str(refused.value)
            with pytest.raises(HouseholdError):
                choose(folder, WEEK, Choice(FRIDAY, priorities=[(FRIDAY, "gate")]))

        unprivileged(check)
        assert (folder / "tasks.toml").read_text() == TASKS
        assert not (folder / "weeks").exists()


def decide(folder: Path, first: int) -> None:
    """Decide about three tasks, one after the other."""
    seen = tasks(folder)
    for n in range(first, first + 3):
        change_tasks(folder, [TaskChange(seen[f"t{n}"], {"carried": n + 1})])


def test_two_at_once_lose_no_decision(tmp_path: Path) -> None:
    """Four processes decide about tasks of the same file at the same time; all of it is there."""
    entries = "".join(f'[[tasks]]\nid = "t{n}"\ntitle = "T{n}"\n' for n in range(12))
    folder = write_household(tmp_path, tasks_toml=f"format = 1\n{entries}")
    spawn = multiprocessing.get_context("spawn")
    children = [spawn.Process(target=decide, args=(folder, 3 * n)) for n in range(4)]
    for child in children:
        child.start()
    for child in children:
        child.join()
        assert child.exitcode == 0
    assert [task.carried for task in tasks(folder).values()] == list(range(1, 13))
