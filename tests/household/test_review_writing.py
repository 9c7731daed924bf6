"""Answers in `reviews/2027-W12.md`: whose they are, written in place, and nothing lost."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from weeksync.errors import EditRefused
from weeksync.household.answers import read_all_answers
from weeksync.household.disk import Disk
from weeksync.household.review_writing import held_answers, write_answers
from weeksync.model.week import IsoWeek
from weeksync.read.reviews import read_answers

W12 = IsoWeek(2027, 12)
HEAD = (
    '+++\nformat = 1\n\n[[answers]]\nquestion = "What next?"\nanswer = "rest" # still\n+++\nOur.\n'
)


def write(folder: Path, seen: str, person: str = "ann", **answers: str) -> str:
    """Writes answers as a household of Ann; the digest afterwards."""
    questions = {key.replace("_", " ") + "?": one for key, one in answers.items()}
    return write_answers(folder, person, "ann", W12, questions, seen).seen


def said(folder: Path) -> list[tuple[str, str, str]]:
    """(person, question, answer) of what stands there."""
    found, problems = read_all_answers(Disk(folder), "ann")
    assert problems == []
    return [(one.person, one.question, one.answer) for one in found]


def test_an_answer_is_changed_in_place(tmp_path: Path) -> None:
    """The comment and the text below stay; a further question comes behind."""
    file = tmp_path / "reviews/2027-W12.md"
    file.parent.mkdir()
    file.write_text(HEAD)
    seen = held_answers(tmp_path, "ann", "ann", W12).seen
    write(tmp_path, seen, What_next="sleep", What_else="tea")
    text = file.read_text()
    assert 'answer = "sleep" # still' in text
    assert text.endswith("+++\nOur.\n")
    assert said(tmp_path) == [("ann", "What next?", "sleep"), ("ann", "What else?", "tea")]


def test_two_at_once_keep_both_answers(tmp_path: Path) -> None:
    """Who saw an older file changes nothing of the newer one: the answer stands below it."""
    first = write(tmp_path, "", What_next="rest")
    write(tmp_path, first, What_next="sleep")
    write(tmp_path, first, What_next="walk")
    assert [answer for _, _, answer in said(tmp_path)] == ["sleep", "walk"]
    assert held_answers(tmp_path, "ann", "ann", W12).to("What next?") == "walk"


def test_another_person_has_a_file_of_their_own(tmp_path: Path) -> None:
    """Bo's answers never stand in Ann's file."""
    write(tmp_path, "", What_next="rest")
    write(tmp_path, "", "bo", What_next="boats")
    assert sorted(path.name for path in (tmp_path / "reviews").iterdir()) == [
        "2027-W12-bo.md",
        "2027-W12.md",
    ]
    assert said(tmp_path) == [("bo", "What next?", "boats"), ("ann", "What next?", "rest")]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("2027-W12.md", "What next? Rest."),  # no head
        ("2027-W12.md", "+++\nformat = 1\nperson = 7\n+++\n"),  # whose is not to be read
        ("2027-W12-bo.md", '+++\nformat = 1\nperson = "ann"\n+++\n'),  # two names
        ("2027-W12.md", "+++\nformat = \n+++\n"),  # no TOML
    ],
)
def test_what_is_nobody_s_is_told_and_left(tmp_path: Path, name: str, text: str) -> None:
    """One person's words are not shown to another, and nothing is written over them."""
    read = read_answers(f"reviews/{name}", text.encode(), "ann")
    assert (read.person, read.answers) == ("", ())
    assert read.problems
    (tmp_path / "reviews").mkdir()
    (tmp_path / "reviews" / name).write_text(text)
    person = "bo" if "bo" in name else "ann"
    with pytest.raises(EditRefused):
        write(tmp_path, "", person, What_next="rest")
    assert (tmp_path / "reviews" / name).read_text() == text


def test_a_name_that_is_no_week_is_told() -> None:
    """There is no week 54."""
    (problem,) = read_answers("reviews/2027-W54.md", b"", "ann").problems
    assert "2027-W12.md" in str(problem.remedy)


@given(
    st.text(st.characters(exclude_categories=("Cs", "Cc")) | st.just("\n"), min_size=1, max_size=80)
)
def test_whatever_is_answered_comes_back(
    tmp_path_factory: pytest.TempPathFactory, text: str
) -> None:
    """Quotes, backslashes, lines of +++ and every script."""
    folder = tmp_path_factory.mktemp("any")
    write(folder, "", What_next=text.strip())
    assert held_answers(folder, "ann", "ann", W12).to("What next?") == text.strip()
