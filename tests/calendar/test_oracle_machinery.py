"""The oracles' own machinery: processes, the literal reading, classes, verdicts."""

from __future__ import annotations

import sys
import tomllib
from dataclasses import replace
from datetime import date, datetime, time
from pathlib import Path

import pytest

from tests.calendar.oracles import asking
from tests.calendar.oracles.comparing import pairs
from tests.calendar.oracles.drawing import calendar
from tests.calendar.oracles.explained import CLASSES
from tests.calendar.oracles.explained_rules import RULES
from tests.calendar.oracles.literal import Reading
from tests.calendar.oracles.minimal import minimal
from tests.calendar.oracles.process import Process
from tests.calendar.oracles.question import Question
from tests.calendar.oracles.tally import Tally
from tests.calendar.oracles.verdicts import verdicts
from tests.calendar.rfc_examples import Example, examples

CASES = Path(__file__).parent / "data" / "cases"
ECHO = """
import json, os, sys, time
for line in sys.stdin:
    word = json.loads(line)["word"]
    if word == "die": os._exit(1)
    while word == "hang": pass
    if word == "sleep": time.sleep(60)
    print(json.dumps({"refused": word}), flush=True)
"""


def test_a_process_that_hangs_or_dies_is_started_anew() -> None:
    """The question that did it counts as refused, the next one is answered."""
    process = Process((sys.executable, "-c", ECHO), deadline=0.2)
    answers = [
        process.ask({"word": word}).refused for word in ["a", "die", "b", "hang", "c", "sleep", "d"]
    ]
    process.close()
    assert answers[::2] == ["a", "b", "c", "d"]
    assert all("no answer" in answer for answer in answers[1::2])


def test_a_missing_oracle_names_the_command(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Where an oracle is not installed the tests fail, and say how it is."""
    monkeypatch.setattr(asking, "PACKAGES", tmp_path)
    with pytest.raises(asking.OracleMissing, match="npm ci --prefix tests"):
        asking.require()
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(asking.OracleMissing, match="apt-get install"):
        asking.require()


@pytest.mark.parametrize(
    "example",
    [one for one in examples() if "UNTIL" not in one.rule and not one.excepted],
    ids=lambda one: one.name,
)
def test_the_literal_reading_gives_the_examples(example: Example) -> None:
    """What judges rules gives itself what RFC 5545 section 3.8.5.3 prints."""
    high = datetime.combine(example.window[1], time())
    found = Reading(example.rule, datetime.fromisoformat(example.start)).instances(high)
    assert found == [moment for moment, _ in example.wanted]


@pytest.mark.parametrize("one", [*CLASSES, *RULES], ids=lambda one: one.name)
def test_every_class_has_its_case_and_its_words(one: object) -> None:
    """A class of differences shows our answer in a case, and the words that decide it."""
    case, words = getattr(one, "case", ""), getattr(one, "words", "")
    told = tomllib.loads((CASES / f"{case}.toml").read_text("utf-8"))
    assert told["says"]
    assert (CASES / f"{case}.ics").exists()
    assert len(words) > 30


def test_items_are_paired_by_title_and_start() -> None:
    """What starts alike belongs together, then what starts near; the rest stands alone."""
    ours = [("2027-03-01T10:00:00Z", "2027-03-01T11:00:00Z", False, "a")]
    later = [("2027-03-01T11:00:00Z", "2027-03-01T12:00:00Z", False, "a")]
    other = [("2027-03-01T10:00:00Z", "2027-03-01T11:00:00Z", False, "b")]
    assert pairs(ours, ours) == []
    assert [one.differences() for one in pairs(ours, later)] == [["start"]]
    assert [one.differences() for one in pairs(ours, other)] == [["presence"], ["presence"]]


def _question(*lines: str) -> Question:
    text = calendar((), [[*lines, "SUMMARY:series"]])
    return Question(text, date(2027, 3, 1), date(2027, 4, 1), "Europe/London")


def test_a_wrong_answer_of_ours_is_seen() -> None:
    """Were our answer another one, all oracles would contradict it and no class explain it."""
    question = _question("DTSTART:20270302T100000Z", "RRULE:FREQ=WEEKLY", "DURATION:PT1H")
    with asking.Oracles() as oracles:
        assert Tally(oracles).ask(question) == []
        answers = {name: oracles.ask(name, question) for name in asking.COMMANDS}
        off = replace(question, text=question.text.replace("T100000", "T103000"))
        tally = Tally(oracles)
        found = [tally.judge(question, name, off, one) for name, one in answers.items()]
    assert [len(left) for left in found] == [5, 5, 5, 5]


def test_the_smallest_calendar_keeps_the_difference() -> None:
    """Lines and parts that do not matter are left out."""
    question = _question(
        "DTSTART:20270302T100000Z", "RRULE:FREQ=WEEKLY;COUNT=3;WKST=SU", "EXDATE:20270309T100000Z"
    )
    found = minimal(question, lambda one: "COUNT=3" in one.text)
    assert "RRULE:FREQ=WEEKLY;COUNT=3\r\n" in found.text
    assert "EXDATE" not in found.text
    assert "SUMMARY" not in found.text


def test_verdicts_of_a_case() -> None:
    """Each oracle agrees, differs or refuses, by name."""
    content = (CASES / "rdate-with-period.ics").read_bytes()
    told = tomllib.loads((CASES / "rdate-with-period.toml").read_text("utf-8"))
    found = verdicts(content, told["start"], told["end"], told["zone"])
    assert found == {
        "ical.js": "refuses", "libical": "refuses", "RIE": "agrees", "dateutil": "agrees",
    }  # fmt: skip
    assert set(verdicts(b"", date(2027, 1, 1), date(2027, 2, 1), "UTC").values()) == {"refuses"}
