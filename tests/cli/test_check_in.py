"""`weeksync check-in`: five questions at a real keyboard, and a file a tablet has saved."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.support.households import write_household
from tests.support.keyboard import Keyboard
from weeksync.cli import main
from weeksync.workflow import Status

INSTANT = "2027-03-24T06:40:00Z"
TODAY = "check-ins/2027-03-24.md"


def at(folder: Path, *words: str) -> Keyboard:
    """Somebody who types `weeksync check-in`."""
    return Keyboard("check-in", *words, folder=folder, now=INSTANT)


def run(folder: Path, *words: str) -> int:
    """The command without a keyboard; its exit status."""
    return main(["check-in", *words, "--household", str(folder), "--now", INSTANT])


def test_five_questions_and_enter_leaves_out(tmp_path: Path) -> None:
    """An answer that cannot be is asked for again; what is left out is not in the file."""
    write_household(tmp_path)
    with at(tmp_path) as person:
        person.types("a *little* flat", after="words?")
        person.types("6", after="5, full")
        person.until("energy = ")
        person.types("2", after="5, full")
        person.types("", after="Why?")
        person.types("tea", after="today?")
        person.types("", after="grateful for?")
        person.until("The check-in was written.")
        assert person.end() == Status.FINE
    assert (tmp_path / TODAY).read_text() == (
        '+++\nformat = 1\nperson = "ann"\nfeeling = "a *little* flat"\nenergy = 2\n'
        'help = "tea"\n+++\n'
    )


def test_what_stands_there_stays_or_is_taken_out(tmp_path: Path) -> None:
    """Each question shows it; Enter leaves it, a hyphen takes it out; of another day and person."""
    write_household(tmp_path)
    file = tmp_path / "check-ins/2027-03-23-bo.md"
    file.parent.mkdir()
    file.write_text('+++\nformat = 1\nwhy = "rain" # still\nfeeling = "hm"\n+++\nBelow.\n')
    with at(tmp_path, "--day", "yesterday", "--person", "bo") as person:
        for question, answer in {
            "[hm]": "-", "full": "", "[rain]": "", "today?": "", "for?": "boots"
        }.items():  # fmt: skip
            person.types(answer, after=question)
        assert person.end() == Status.FINE
    assert file.read_text() == (
        '+++\nformat = 1\nwhy = "rain" # still\ngratitude = "boots"\n+++\nBelow.\n'
    )


def test_an_end_in_the_middle_writes_nothing(tmp_path: Path) -> None:
    """Ctrl-D at the second question."""
    write_household(tmp_path)
    with at(tmp_path) as person:
        person.types("glad", after="words?")
        person.ends_input(after="full")
        person.until("nothing was written")
        assert person.end() == Status.WRONG_USE
    assert not (tmp_path / "check-ins").exists()


LINES = [
    {"day": "2027-03-24", "person": "ann", "feeling": "light", "energy": "4", "seen": ""},
    {"day": "2027-03-25", "person": "ann", "feeling": "too early"},
    {"day": "2027-03-23", "person": "bo", "why": "rain\nall day"},
]


def test_a_saved_file_is_taken_as_often_as_one_likes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One that cannot be is told with its line, and the others are taken; twice is once."""
    write_household(tmp_path / "home")
    saved = tmp_path / "saved.jsonl"
    text = [*map(json.dumps, LINES), "", "no check-in"]
    saved.write_text("\n".join(text))
    for _ in range(2):
        assert run(tmp_path / "home", "--from", str(saved)) == Status.PROBLEMS
        written = {one.name: one.read_text() for one in (tmp_path / "home/check-ins").iterdir()}
        assert written == {
            "2027-03-24.md": '+++\nformat = 1\nperson = "ann"\nfeeling = "light"\nenergy = 4\n'
            "+++\n",
            "2027-03-23-bo.md": '+++\nformat = 1\nperson = "bo"\nwhy = "rain\\nall day"\n+++\n',
        }
        out, err = capsys.readouterr()
        assert "2 check-ins were taken." in out
        assert f"{saved}:2: day = 2027-03-25 has not come yet" in err
        assert f"{saved}:5: the line is no check-in" in err


def test_words_of_two_devices_are_both_kept(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The file's stand below those that were written here, and that is said."""
    write_household(tmp_path / "home")
    saved = tmp_path / "saved.jsonl"
    for feeling in ("light", "heavy"):
        saved.write_text(json.dumps(LINES[0] | {"feeling": feeling}))
        status = run(tmp_path / "home", "--from", str(saved))
    assert status == Status.PROBLEMS
    assert "both are kept" in capsys.readouterr().err
    text = (tmp_path / "home" / TODAY).read_text()
    assert 'feeling = "light"' in text
    assert "- Feeling: heavy" in text


@pytest.mark.parametrize(
    "words",
    [["--from", "none.jsonl"], ["--from", "x", "--day", "Mon"], ["--person", "zed"],
     ["--day", "2027-01-02"]],
)  # fmt: skip
def test_wrong_use_is_told(
    tmp_path: Path, words: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """No such file, a file and a day, nobody, a day too far back: nothing is written."""
    write_household(tmp_path)
    assert run(tmp_path, *words) == Status.WRONG_USE
    assert capsys.readouterr().err
    assert not (tmp_path / "check-ins").exists()
