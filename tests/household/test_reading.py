"""A household folder into records, with every problem of every file in one run."""

from __future__ import annotations

import hashlib
import os
from datetime import date
from pathlib import Path
from shutil import copytree

import pytest

from tests.support.readings import CONFIG
from tests.support.unprivileged import give_away, shared_folder, unprivileged
from weeksync.errors import HouseholdError
from weeksync.household import read_household, write_missing_ids
from weeksync.model.problem import ProblemKind
from weeksync.model.week import IsoWeek

HERE = Path(__file__).parent
MARKS = "id,date,person,value,recorded_at,received_at,device\n"

FILES = {
    "config.toml": CONFIG,
    "appointments.toml": 'format = 1\n[[appointments]]\nid = "a"\ntitle = "A"\n'
    "start = 2027-03-22\n",
    "routines.toml": 'format = 1\n[[routines]]\nid = "r"\ntitle = "R"\nperson = "dov"\n'
    'hours = "07:00-08:00"\n',
    "tasks.toml": 'format = 1\n[[tasks]]\nid = "t"\ntitle = "T"\n',
    "tasks-2025.toml": 'format = 1\n[[tasks]]\nid = "t5"\ntitle = "T"\ndone = 2025-03-01\n',
    "tasks-2026.toml": 'format = 1\n[[tasks]]\nid = "t6"\ntitle = "T"\ndone = 2026-03-01\n',
    "habits.toml": 'format = 1\n[[habits]]\nid = "h"\ntitle = "H"\nperson = "dov"\n',
    "money.toml": 'format = 1\ncurrency = "GBP"\n[[bills]]\nid = "b"\ntitle = "B"\n'
    'first = 2027-03-24\n[[pay_days]]\nid = "p"\ntitle = "P"\nfirst = 2027-03-26\n'
    '[[goals]]\nid = "g"\ntitle = "G"\namount = 5\npay_day = "p"\n'
    "start = 2027-03-26\nend = 2027-03-26\n",
    "terms.toml": 'format = 1\n[[terms]]\nid = "s"\nname = "S"\nstart = 2027-01-06\n'
    'end = 2027-03-25\n[[breaks]]\nname = "B"\nstart = 2027-02-15\nend = 2027-02-19\n'
    '[[lessons]]\nid = "l"\nchild = "dov"\nsubject = "L"\ndays = ["monday"]\n',
    "weeks/2027-W11.toml": 'format = 1\nnotes = "eleven"\n',
    "weeks/2027-W12.toml": 'format = 1\nnotes = "twelve"\n[[breaks]]\nid = "pause"\n'
    "date = 2027-03-23\nstart = 10:30:00\n",
    "marks/2027-W11.csv": MARKS
    + "h,2027-03-20,dov,no,2027-03-20T08:00:00Z,2027-03-20T08:00:00Z,x\n",
    "marks/2027-W12.csv": MARKS
    + "h,2027-03-22,dov,yes,2027-03-22T08:00:00Z,2027-03-22T08:00:00Z,x\n",
    "check-ins/2027-03-22.md": "+++\nformat = 1\n+++\nFine.\n",
    "check-ins/2027-03-22-dov.md": "+++\nformat = 1\n+++\nTired.\n",
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A household folder with every kind of file."""
    return fill(tmp_path, FILES)


def fill(folder: Path, files: dict[str, str]) -> Path:
    """Writes the files into the folder."""
    for name, text in files.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text)
    return folder


def test_every_file_of_the_folder_is_read(folder: Path) -> None:
    """All of them, the files of years, weeks and days too, in the order of their names."""
    files = read_household(folder)
    assert files.problems == ()
    assert files.config.household.name == "Marlowick"
    assert [files.appointments[0].id, files.routines[0].id, files.habits[0].id] == ["a", "r", "h"]
    assert [one.id for one in files.tasks] == ["t", "t5", "t6"]
    assert [files.bills[0].id, files.pay_days[0].id, files.goals[0].id] == ["b", "p", "g"]
    assert files.currency == "GBP"
    assert [files.terms[0].id, files.lessons[0].id] == ["s", "l"]
    assert [one.start for one in files.term_breaks] == [date(2027, 2, 15)]
    assert {str(week): file.notes for week, file in files.weeks.items()} == {
        "2027-W11": "eleven",
        "2027-W12": "twelve",
    }
    assert len(files.weeks[IsoWeek(2027, 12)].breaks) == 1
    assert [(mark.day.day, mark.value) for mark in files.marks] == [(20, "no"), (22, "yes")]
    assert [(one.person, one.text) for one in files.check_ins] == [
        ("dov", "Tired."),
        ("ines", "Fine."),
    ]


def test_digests_are_of_the_bytes_of_each_file(folder: Path) -> None:
    """What did not change need not be computed again."""
    assert read_household(folder).digests == {
        name: hashlib.sha256(text.encode()).hexdigest() for name, text in FILES.items()
    }


def test_a_config_is_all_that_is_needed(tmp_path: Path) -> None:
    """Every other file and folder may be missing."""
    files = read_household(fill(tmp_path, {"config.toml": CONFIG}))
    assert (files.problems, files.tasks, files.currency, files.weeks) == ((), (), None, {})


def test_every_mistake_of_every_file_comes_in_one_run(tmp_path: Path) -> None:
    """A folder full of mistakes against the list that a person went through line by line."""
    folder = copytree(HERE / "mistakes", tmp_path / "household")
    with pytest.raises(HouseholdError) as caught:
        read_household(folder)
    assert str(caught.value) == f"config.toml of {folder} cannot be used; correct its mistakes"
    said = [str(problem) for problem in caught.value.problems]
    assert said == (HERE / "mistakes.txt").read_text().splitlines()
    assert "hunter2" not in "".join(said)
    assert all(problem.remedy is not None for problem in caught.value.problems)


def test_without_a_config_the_other_files_are_still_checked(tmp_path: Path) -> None:
    """The message says how to begin; the mistakes come along."""
    fill(tmp_path, {"tasks.toml": "format = 1\ntaks = 1\n"})
    with pytest.raises(HouseholdError) as caught:
        read_household(tmp_path)
    assert str(caught.value) == (
        f'there is no config.toml in {tmp_path}; "weeksync new" makes a household folder'
    )
    assert [str(problem) for problem in caught.value.problems] == [
        "tasks.toml:2: taks is no setting of tasks.toml; did you mean tasks?"
    ]


def test_without_a_folder_there_is_no_config_either(tmp_path: Path) -> None:
    """A slip in the name of the folder."""
    with pytest.raises(HouseholdError) as caught:
        read_household(tmp_path / "gone")
    assert caught.value.problems == ()


def test_a_mistake_in_one_calendar_leaves_the_rest(folder: Path) -> None:
    """The other calendars are there, and the problem says what is missing."""
    calendars = '[[calendars]]\nid = "x"\n[[calendars]]\nid = "y"\npath = "y.ics"\n'
    (folder / "config.toml").write_text(CONFIG + calendars)
    files = read_household(folder)
    assert [calendar.id for calendar in files.config.calendars] == ["y"]
    assert [str(problem.place) for problem in files.problems] == ["config.toml:16"]


def test_what_cannot_be_read_is_a_problem_and_nothing_else(folder: Path) -> None:
    """A folder in a file's place, a file in a folder's, a picture; the other files count."""
    for name in ("habits.toml", "weeks/2027-W11.toml", "weeks/2027-W12.toml"):
        (folder / name).unlink()
    (folder / "habits.toml").mkdir()
    (folder / "weeks").rmdir()
    (folder / "weeks").write_text("")
    (folder / "money.toml").write_bytes(b"\x89PNG" + bytes(100))
    files = read_household(folder)
    assert [str(problem.place) for problem in files.problems] == [
        "habits.toml",
        "money.toml:1",
        "weeks",
    ]
    assert (files.habits, files.weeks, files.bills) == ((), {}, ())
    assert len(files.tasks) == 3


def test_files_of_editors_and_others_are_left_alone(folder: Path) -> None:
    """Hidden files, copies with other endings, folders of other tools."""
    for name in ("weeks/.2027-W12.toml.swp", "weeks/2027-W12.toml~", ".tasks.toml", "notes.txt"):
        (folder / name).write_text("no TOML")
    (folder / "state").mkdir()
    assert read_household(folder).problems == ()


def test_a_name_a_little_off_is_worth_knowing(folder: Path) -> None:
    """What stands in it would be missed without a word."""
    (folder / "task.toml").write_text("format = 1\n")
    (folder / "tasks (copy of Dov).toml").write_text("format = 1\n")
    problems = read_household(folder).problems
    assert {problem.kind for problem in problems} == {ProblemKind.NOTICE}
    assert [str(problem) for problem in problems] == [
        "task.toml: weeksync reads no file of that name; did you mean tasks.toml?",
        "tasks (copy of Dov).toml: weeksync reads no file of that name; did you mean tasks.toml?",
    ]


def test_names_that_are_no_utf_8_are_told(folder: Path) -> None:
    """They could be put on no page."""
    Path(os.fsdecode(os.fsencode(folder / "weeks") + b"/2027-\xe9.toml")).write_text("")
    (problem,) = read_household(folder).problems
    assert str(problem) == (
        "weeks/2027-?.toml: the name of the file is no UTF-8; give it another name"
    )


IDLESS = {
    "config.toml": CONFIG,
    "tasks.toml": '# mine\nformat = 1\n[[tasks]]\ntitle = "Mend the gate"\n',
    "tasks-2026.toml": 'format = 1\n[[tasks]]\ntitle = "Mend the gate"\ndone = 2026-03-01\n',
    "habits.toml": 'format = 1\n[[habits]]\nid = "kept"\ntitle = "H"\nperson = "dov"\n',
    "weeks/2027-W12.toml": 'format = 1\n[[rows]]\ntitle = "Meals"\n',
}


def test_missing_ids_are_written_once(tmp_path: Path) -> None:
    """Only into the files that need some; then there is nothing more to do."""
    fill(tmp_path, IDLESS)
    assert write_missing_ids(tmp_path) == ("tasks.toml", "tasks-2026.toml")
    written = (tmp_path / "tasks.toml").read_text().splitlines()
    assert [*written[:3], *written[4:]] == IDLESS["tasks.toml"].splitlines()
    assert write_missing_ids(tmp_path) == ()
    files = read_household(tmp_path)
    assert files.problems == ()
    ids = [task.id for task in files.tasks]
    assert all(one.startswith("mend-the-gate-") for one in ids)
    assert len(set(ids)) == 2
    assert written[3] == f'id = "{ids[0]}"'


def test_a_file_with_broken_syntax_is_not_written_to(tmp_path: Path) -> None:
    """The user is about to edit it; entries get ids for the run."""
    fill(tmp_path, {**IDLESS, "tasks.toml": IDLESS["tasks.toml"] + "[[tasks]]\ntitle = x\n"})
    assert write_missing_ids(tmp_path) == ("tasks-2026.toml",)
    files = read_household(tmp_path)
    assert all(task.id for task in files.tasks)


def test_a_folder_that_cannot_be_written_to_is_a_notice() -> None:
    """Every entry has an id all the same, the same in every run."""
    with shared_folder() as folder:
        fill(folder, IDLESS)
        give_away(*folder.rglob("*"), folder)
        folder.chmod(0o555)

        def check() -> None:
            assert write_missing_ids(folder) == ()
            first, second = read_household(folder), read_household(folder)
            assert [task.id for task in first.tasks] == [task.id for task in second.tasks]
            assert all(task.id for task in first.tasks)
            assert len({task.id for task in first.tasks}) == 2
            assert {problem.kind for problem in first.problems} == {ProblemKind.NOTICE}
            assert [str(problem) for problem in first.problems] == [
                f"{name}: 1 entry has no id yet, and one made from its title for now; "
                "let weeksync write to the file, and it puts them in"
                for name in ("tasks-2026.toml", "tasks.toml")
            ]

        unprivileged(check)
        assert (folder / "tasks.toml").read_text() == IDLESS["tasks.toml"]


def test_without_people_a_check_in_is_no_further_mistake(tmp_path: Path) -> None:
    """One message for one thing that is missing."""
    config = CONFIG.split("[[people]]")[0]
    fill(tmp_path, {"config.toml": config, "check-ins/2027-03-22.md": "+++\nformat = 1\n+++\n"})
    with pytest.raises(HouseholdError) as caught:
        read_household(tmp_path)
    assert [str(problem) for problem in caught.value.problems] == [
        "config.toml:1: [[people]] is missing; add it; config.example.toml shows how"
    ]
