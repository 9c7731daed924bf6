"""A new household folder: complete, commented, and without a problem when it is read back."""

from __future__ import annotations

import re
import stat
from pathlib import Path

import pytest

from tests.support.unprivileged import give_away, shared_folder, unprivileged
from weeksync.errors import HouseholdError
from weeksync.household import (
    NewHousehold,
    create_household,
    people_named,
    read_household,
    write_missing_ids,
)
from weeksync.model.config import Area, CalendarSource, Person
from weeksync.model.fields import MarkKind, Weekday

ANSWERS = NewHousehold(
    "Marlowick",
    "Europe/London",
    people_named(["Ines", "Dov", "Juno"], children=["Juno"]),
    currency="GBP",
)


def test_it_reads_back_without_a_problem(tmp_path: Path) -> None:
    """Every file and folder there is, the config last."""
    made = create_household(tmp_path / "new" / "home", ANSWERS)
    assert sorted(str(path.relative_to(tmp_path / "new" / "home")) for path in made) == [
        "appointments.toml",
        "archive",
        "check-ins",
        "config.toml",
        "habits.toml",
        "marks",
        "money.toml",
        "routines.toml",
        "snapshots",
        "tasks.toml",
        "terms.toml",
        "weeks",
    ]
    assert made[-1].name == "config.toml"
    files = read_household(tmp_path / "new" / "home")
    assert files.problems == ()
    assert (files.config.people, files.config.household.time_zone, files.currency) == (
        ANSWERS.people,
        "Europe/London",
        "GBP",
    )
    assert [area.letter for area in files.config.areas] == ["H", "F", "He", "W", "L"]


def test_check_ins_are_nobody_else_s_business(tmp_path: Path) -> None:
    """Not for other users of the machine."""
    create_household(tmp_path, ANSWERS)
    assert stat.S_IMODE((tmp_path / "check-ins").stat().st_mode) & 0o077 == 0


def test_its_examples_can_be_used_as_they_stand(tmp_path: Path) -> None:
    """With the # taken away from every example, there is still no problem."""
    create_household(tmp_path, ANSWERS)
    for path in tmp_path.glob("*.toml"):
        text = path.read_text()
        assert "\n#" in text
        path.write_text(re.sub(r"^#(?! |$)", "", text, flags=re.MULTILINE))
    write_missing_ids(tmp_path)
    files = read_household(tmp_path)
    assert files.problems == ()
    assert len(files.config.calendars) == 1
    assert (len(files.appointments), len(files.routines), len(files.tasks)) == (1, 1, 1)
    assert [habit.kind for habit in files.habits] == [MarkKind.YES_NO, MarkKind.HOURS]
    assert (len(files.bills), len(files.pay_days), len(files.goals)) == (1, 1, 1)
    assert (len(files.terms), len(files.term_breaks), len(files.lessons)) == (1, 1, 1)


def test_every_answer_is_in_it(tmp_path: Path) -> None:
    """Signs that mean something in TOML, people with zones, calendars with all they have."""
    answers = NewHousehold(
        'The "M\\arlowicks" #1\t🏡',
        "America/St_Johns",
        (
            Person(id="ines", name="Inês"),
            Person(id="nana", name="Nana", time_zone="Europe/Lisbon", letter="N'"),
        ),
        locale="ar_EG",
        region="CA-NL",
        first_weekday=Weekday.SATURDAY,
        areas=(Area(id="sea", name="Sea", colour="harbour", letter="S"),),
        calendars=(
            CalendarSource(id="rota", path="rota.ics", person=("ines", "nana"), area="sea"),
            CalendarSource(
                id="dav",
                caldav="https://dav.example.org/",
                choose=("Home", "Work"),
                user="ines",
                password_command=("pass", "x y"),
            ),
        ),
    )
    create_household(tmp_path, answers)
    files = read_household(tmp_path)
    assert files.problems == ()
    household = files.config.household
    assert (household.name, household.locale, household.region) == (
        answers.name,
        "ar_EG",
        "CA-NL",
    )
    assert household.first_weekday is Weekday.SATURDAY
    assert files.config.people == answers.people
    assert files.config.areas == answers.areas
    assert files.config.calendars == answers.calendars
    assert files.currency is None


def test_a_household_that_is_there_is_not_touched(tmp_path: Path) -> None:
    """Not even one whose config is a link to nowhere."""
    (tmp_path / "config.toml").symlink_to(tmp_path / "gone")
    with pytest.raises(HouseholdError, match="already; choose another folder"):
        create_household(tmp_path, ANSWERS)
    assert [path.name for path in tmp_path.iterdir()] == ["config.toml"]


def test_files_that_are_there_stay(tmp_path: Path) -> None:
    """A run that was cut off before the config was written can be repeated."""
    (tmp_path / "tasks.toml").write_text('format = 1\n[[tasks]]\nid = "a"\ntitle = "A"\n')
    (tmp_path / "weeks").mkdir()
    made = create_household(tmp_path, ANSWERS)
    assert {"tasks.toml", "weeks"}.isdisjoint(path.name for path in made)
    assert [task.id for task in read_household(tmp_path).tasks] == ["a"]


BAD = {
    "zone": (
        NewHousehold("M", "Europe/Londn", ANSWERS.people),
        'config.toml: time_zone = "Europe/Londn" is no time zone; did you mean Europe/London?',
    ),
    "nobody": (
        NewHousehold("M", "Europe/London", ()),
        "config.toml: [[people]] is missing; add it; config.example.toml shows how",
    ),
    "no name": (
        NewHousehold(" ", "Europe/London", ANSWERS.people),
        "config.toml: name is empty; write something between the quotes",
    ),
    "currency": (
        NewHousehold("M", "Europe/London", ANSWERS.people, currency="£"),
        'money.toml: currency = "£" is no currency; '
        "write the three capital letters of ISO 4217, as GBP",
    ),
}


@pytest.mark.parametrize(("answers", "said"), BAD.values(), ids=BAD.keys())
def test_answers_that_cannot_be_used(tmp_path: Path, answers: NewHousehold, said: str) -> None:
    """Each is told, and nothing is written."""
    with pytest.raises(HouseholdError) as caught:
        create_household(tmp_path / "home", answers)
    assert [str(problem) for problem in caught.value.problems] == [said]
    assert not (tmp_path / "home").exists()


def test_a_place_that_cannot_be_written() -> None:
    """The reason is the system's."""
    with shared_folder() as folder:
        give_away(folder)
        folder.chmod(0o555)

        def check() -> None:
            with pytest.raises(HouseholdError, match=r"could not be written \(Permission denied\)"):
                create_household(folder / "home", ANSWERS)

        unprivileged(check)


def test_people_have_ids_and_letters_unlike_each_other() -> None:
    """Names as people have them, in any script."""
    people = people_named(["Ines", "Ivo", "Iva", "ines", "Ödön", "幸子", "I"])
    assert len({person.id for person in people}) == 7
    assert [person.id for person in people[:5]] == ["ines", "ivo", "iva", "ines-2", "odon"]
    assert people[5].id == "person"
    marks = [person.mark.casefold() for person in people]
    assert len(set(marks)) == 7
    assert marks[:3] == ["i", "iv", "ia"]
