"""`weeksync review` over the demo household: each figure was counted by hand from its files."""

from __future__ import annotations

import json
import shutil
from importlib import resources
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from tests.plan.test_record import FORMATS, closed
from tests.support.households import write_household
from tests.support.keyboard import Keyboard
from weeksync.cli import main
from weeksync.workflow import Status

INSTANT = "2027-03-24T05:40:00+00:00"
SCHEMA: dict[str, Any] = json.loads(
    resources.files("weeksync").joinpath("schema/review-1.schema.json").read_text("utf-8")
)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household, pulled and built."""
    folder = tmp_path_factory.mktemp("demo")
    words = ["demo", "--to", str(folder / "out"), "--household", str(folder / "home")]
    assert main([*words, "--now", INSTANT]) == Status.FINE
    return folder / "home"


def run(folder: Path, *words: str) -> int:
    """The command at that instant; its exit status."""
    return main(["review", *words, "--household", str(folder), "--now", INSTANT])


def said(folder: Path, capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, Any]:
    """Its JSON, valid by the schema with every object closed."""
    capsys.readouterr()
    run(folder, "--json", *words)
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    validator = jsonschema.Draft202012Validator(closed(SCHEMA), format_checker=FORMATS)
    assert [error.message for error in validator.iter_errors(found)] == []
    return found


def by_id(things: list[dict[str, Any]], ident: str) -> dict[str, Any]:
    """The one with that id."""
    (found,) = (one for one in things if one["id"] == ident)
    return found


def test_last_week_as_counted_by_hand(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On a Wednesday the last week: tasks, habits, figures, minutes and energy of 2027-W11."""
    found = said(home, capsys)
    assert (found["span"]["id"], found["over"], len(found["days"])) == ("2027-W11", 7, 7)
    tasks = {key: [one["id"] for one in several] for key, several in found["tasks"].items()}
    assert tasks == {
        "done": ["library-list", "bicycle-bell"],
        "carried": ["gutter-brush"],
        "dropped": [],
        "open": [],
    }
    water = by_id(found["habits"], "water")  # 7 7 7 7 6 8 6, target 7
    assert (water["rate"]["times"], water["rate"]["days"]) == (5, 7)
    # Wilson for 5 of 7: .359 to .918, as the formula gives.
    assert water["rate"]["low"] == pytest.approx(0.359, abs=5e-4)
    assert water["rate"]["high"] == pytest.approx(0.918, abs=5e-4)
    assert water["figures"]["mean"] == pytest.approx(48 / 7)
    sleep = by_id(found["habits"], "sleep-ines")  # 8 7 - 7 6 8 7, target 7.5; Wednesday unmarked
    assert (sleep["rate"]["times"], sleep["rate"]["days"], sleep["not_recorded"]) == (2, 6, 1)
    assert sleep["figures"]["values"] == [8, 7, None, 7, 6, 8, 7]
    dov = by_id(found["habits"], "sleep-dov")  # Friday and Saturday are lighter days
    assert (dov["rate"]["times"], dov["rate"]["days"], dov["paused"]) == (2, 3, 2)
    minutes = {
        (one["activity"], one["person"], one["area"]): (one["planned"], one["done"])
        for one in found["minutes"]
    }
    assert minutes["tasks", "ines", "learning"] == (45, 45)
    assert minutes["tasks", "dov", "home"] == (40, 0)
    assert minutes["lessons", "juno", None] == (3 * 45 + 40 + 60, 235)
    assert minutes["lessons", "pell", None] == (2 * 50 + 2 * 45 + 60 + 60, 310)
    (energy,) = found["energy"]  # 2 3 4 3 4 4
    assert (energy["person"], energy["count"], energy["mean"]) == ("ines", 6, pytest.approx(20 / 6))
    assert [one["day"][-2:] for one in found["check_ins"]] == ["15", "16", "17", "18", "19", "21"]
    assert found["pairs"] == []
    taken = {one["area"]: (one["estimated"], one["actual"], one["factor"])
             for one in found["estimates"] if one["count"]}  # fmt: skip
    assert taken == {"learning": (45, 50, None), "family": (20, 35, None)}
    assert [one["answer"][:8] for one in found["answers"]] == ["All four", "The phot"]


def test_one_person_sees_nothing_that_is_another_s(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Dov: his habits, no check-in of Ines, none of her lines."""
    found = said(home, capsys, "2027-W11", "--person", "dov")
    assert {one["person"] for one in found["habits"]} == {"dov"}
    assert found["check_ins"] == found["energy"] == []
    assert {one["person"] for one in found["minutes"]} == {"dov"}


@pytest.mark.parametrize(
    ("named", "kind", "first", "last"),
    [
        ("2027-03", "month", "2027-03-01", "2027-03-31"),
        ("spring-2027", "term", "2027-01-05", "2027-03-25"),
        ("Spring term", "term", "2027-01-05", "2027-03-25"),
        ("2027", "year", "2027-01-01", "2027-12-31"),
        ("2027-03-08/2027-03-21", "days", "2027-03-08", "2027-03-21"),
        ("this", "week", "2027-03-22", "2027-03-28"),
    ],
)
def test_months_terms_and_years(
    home: Path, capsys: pytest.CaptureFixture[str], named: str, kind: str, first: str, last: str
) -> None:
    """Each as people name it."""
    span = said(home, capsys, named)["span"]
    assert (span["kind"], span["first"], span["last"]) == (kind, first, last)


def test_a_term_tells_what_goes_together(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """From 28 days with both on, with an interval; below that nothing; never why."""
    pairs = said(home, capsys, "spring-2027")["pairs"]
    assert {one["together"]["rho"] is not None for one in pairs} == {True, False}
    for one in pairs:
        together = one["together"]
        if together["days"] < 28:
            assert together["rho"] is together["low"] is together["high"] is None
        elif together["rho"] is not None:
            assert together["low"] <= together["rho"] <= together["high"]
    capsys.readouterr()
    run(home, "spring-2027")
    text = capsys.readouterr().out
    assert "pairs were looked at" in text
    assert "because" not in text


def test_what_has_not_begun_cannot_be_looked_back_on(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The next week, a term to come, and no week at all."""
    for named in ("next", "summer-2027", "2028", "once"):
        capsys.readouterr()
        assert run(home, named) == Status.WRONG_USE
        assert named in capsys.readouterr().err or named == "next"


def test_every_property_of_the_schema_is_described() -> None:
    """Nobody has to guess what a property means, and each is there every time."""
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    for one in (SCHEMA, *SCHEMA["$defs"].values()):
        assert one["description"]
        assert one["required"] == list(one["properties"])
        assert all(about["description"] for about in one["properties"].values())


QUESTIONS = '\n[review]\nquestions = ["What was good?", "What next?"]\n'


def answering(folder: Path, *words: str) -> Keyboard:
    """Somebody who types `weeksync review --answer`."""
    return Keyboard("review", "--answer", *words, folder=folder, now=INSTANT)


def test_own_questions_are_answered_and_come_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Two answers of a week, one left as it is, one taken out; the text below stays."""
    write_household(tmp_path, QUESTIONS)
    with answering(tmp_path, "this") as person:
        person.types('the "leek" pie', after="good?")
        person.types("less", after="next?")
        person.until("reviews/2027-W12.md")
        assert person.end() == Status.FINE
    file = tmp_path / "reviews/2027-W12.md"
    assert file.stat().st_mode & 0o777 == 0o600
    file.write_text(file.read_text() + "Our own words.\n")
    with answering(tmp_path, "this") as person:
        person.types("", after='good? [the "leek" pie]')
        person.types("-", after="next? [less]")
        assert person.end() == Status.FINE
    assert file.read_text().endswith("+++\nOur own words.\n")
    assert main(["build", "--household", str(tmp_path), "--now", INSTANT]) == Status.FINE
    found = said(tmp_path, capsys, "this")
    assert found["questions"] == ["What was good?", "What next?"]
    assert [(one["question"], one["answer"], one["person"]) for one in found["answers"]] == [
        ("What was good?", 'the "leek" pie', "ann")
    ]


def test_without_questions_or_for_a_month_there_is_nothing_to_answer(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It says where to write them, and what to name."""
    write_household(tmp_path)
    assert run(tmp_path, "this", "--answer") == Status.WRONG_USE
    assert "[review]" in capsys.readouterr().err
    assert run(tmp_path, "2027-03", "--answer") == Status.WRONG_USE
    assert "2027-W12" in capsys.readouterr().err


def test_a_closed_week_is_looked_back_on_as_it_was(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is marked, changed or done after the week was closed is in no review of it; a month
    takes the closed week as it was, and the days around it as they are."""
    folder = tmp_path / "home"
    shutil.copytree(home, folder)
    assert main(["close", "2027-W11", "--household", str(folder), "--now", INSTANT]) == Status.FINE
    before = said(folder, capsys, "2027-W11")
    month = by_id(said(folder, capsys, "2027-03")["habits"], "water")["rate"]
    for name in ("2027-W11", "2027-W12"):
        marks = folder / f"marks/{name}.csv"
        lines = [
            line for line in marks.read_text("utf-8").splitlines() if not line.startswith("water,")
        ]
        marks.write_text("\n".join(lines) + "\n", "utf-8")
    after = said(folder, capsys, "2027-W11")
    assert {key: one for key, one in after.items() if key != "now"} == {
        key: one for key, one in before.items() if key != "now"
    }
    assert by_id(after["habits"], "water")["rate"]["days"] == 7
    # Monday and Tuesday of 2027-W12 are no longer known; the seven days of 2027-W11 still are.
    left = by_id(said(folder, capsys, "2027-03")["habits"], "water")["rate"]
    assert month["days"] - left["days"] == 2
