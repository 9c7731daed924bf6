"""Check-ins written: the fields of the head, and nothing else of the file."""

from __future__ import annotations

import stat
import tomllib
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.households import write_household
from weeksync.errors import EditRefused, HouseholdError, UsageError
from weeksync.household import Written, held_check_in, write_check_in
from weeksync.household.check_in_writing import MOST_BYTES
from weeksync.model.check_in import MOST_SIGNS, CheckInFields, fields_of
from weeksync.model.household import CheckIn
from weeksync.read import HEAD, parse_check_in

DAY = date(2027, 3, 22)
NAME = "check-ins/2027-03-22.md"
FLAT = CheckInFields("a little flat", 2, "short night", "three things", "tea")
ODD = """\
+++
# how it was
gratitude = 'the "step"'   # outside
format = 1

energy = 3
person = "ann"
+++

Four pages to *sort*.

+++ is no head here
"""


def home(folder: Path, **check_ins: str) -> Path:
    """A household of Ann and Bo, with check-ins as `d22=text` or `d22_bo=text`."""
    write_household(folder)
    (folder / "check-ins").mkdir()
    for name, text in check_ins.items():
        day, _, person = name.partition("_")
        ending = f"-{person}.md" if person else ".md"
        (folder / f"check-ins/2027-03-{day[1:]}{ending}").write_text(text, newline="")
    return folder


def write(
    folder: Path, fields: CheckInFields, seen: str | None = None, who: str = "ann"
) -> Written:
    """Write what was seen as the file is now, unless said otherwise."""
    now = held_check_in(folder, who, "ann", DAY).seen
    return write_check_in(folder, who, "ann", DAY, fields, now if seen is None else seen)


def read(folder: Path, name: str = NAME) -> CheckIn:
    """The check-in as it is read; without a mistake."""
    check_in, problems = parse_check_in(name, (folder / name).read_bytes(), "ann")
    assert not problems
    assert check_in is not None
    return check_in


def said(check_in: CheckIn) -> CheckInFields:
    """The five fields."""
    return CheckInFields(**{key: getattr(check_in, key) for key in CheckInFields().said()})


def test_the_first_of_a_day_makes_its_file(tmp_path: Path) -> None:
    """Readable by its writer alone; of another person under their name; empty fields are not."""
    write_household(tmp_path)
    answer = write(tmp_path, FLAT)
    assert (answer.saved, answer.name, answer.held) == (True, NAME, FLAT)
    assert said(read(tmp_path)) == FLAT
    assert stat.S_IMODE((tmp_path / NAME).stat().st_mode) == 0o600
    bo = write(tmp_path, CheckInFields(energy=4), who="bo")
    assert bo.name == "check-ins/2027-03-22-bo.md"
    assert (tmp_path / bo.name).read_text() == '+++\nformat = 1\nperson = "bo"\nenergy = 4\n+++\n'
    assert answer.seen == held_check_in(tmp_path, "ann", "ann", DAY).seen


def test_nothing_said_makes_no_file(tmp_path: Path) -> None:
    """Five empty fields of a day without a check-in leave it without one."""
    write_household(tmp_path)
    assert write(tmp_path, CheckInFields()).saved
    assert not (tmp_path / "check-ins").exists()


def test_what_stood_there_stays(tmp_path: Path) -> None:
    """Comments, order, spaces, the text below; a field left empty is taken out."""
    home(tmp_path, d22=ODD)
    assert write(tmp_path, CheckInFields(feeling="light", energy=4)).saved
    wanted = ODD.replace("gratitude = 'the \"step\"'   # outside\n", "# outside\n")
    wanted = wanted.replace("energy = 3", "energy = 4")
    wanted = wanted.replace('person = "ann"\n', 'person = "ann"\nfeeling = "light"\n')
    assert (tmp_path / NAME).read_text() == wanted
    assert write(tmp_path, CheckInFields()).saved
    assert read(tmp_path).text == "Four pages to *sort*.\n\n+++ is no head here"


def test_a_file_of_other_line_ends_keeps_them(tmp_path: Path) -> None:
    """CR LF, and a byte order mark in front."""
    text = "\ufeff" + ODD.replace("\n", "\r\n")
    home(tmp_path, d22=text)
    assert write(tmp_path, FLAT).saved
    content = (tmp_path / NAME).read_bytes()
    assert content.startswith(b"\xef\xbb\xbf+++\r\n")
    assert content.count(b"\n") == content.count(b"\r\n")
    assert said(read(tmp_path)) == FLAT


def test_a_text_without_a_head_gets_one(tmp_path: Path) -> None:
    """What was written stands below it as it was."""
    home(tmp_path, d22="Only *words*.\n")
    assert write(tmp_path, FLAT).saved
    assert (tmp_path / NAME).read_text().endswith("+++\n\nOnly *words*.\n")
    assert said(read(tmp_path)) == FLAT


def test_of_two_devices_both_are_kept(tmp_path: Path) -> None:
    """The second saw no file: what it says stands below the first, once, and is told."""
    write_household(tmp_path)
    first = write(tmp_path, FLAT, seen="")
    other = CheckInFields("*wide* awake", 5, "1. coffee\n- and <rain>", "", "a & b")
    for _ in range(2):
        second = write(tmp_path, other, seen="")
        assert not second.saved
        assert second.held == FLAT
        assert "both are kept" in str(second.why)
    found = read(tmp_path)
    assert said(found) == FLAT
    assert found.text == (
        "**Written at the same time elsewhere**\n\n- Feeling: \\*wide\\* awake\n- Energy: 5\n"
        "- Why: 1\\. coffee  \n  \\- and &lt;rain&gt;\n- Grateful for: a &amp; b"
    )
    assert first.seen != second.seen
    assert write(tmp_path, other, seen=second.seen).saved
    assert said(read(tmp_path)) == other


def test_what_loses_nothing_is_no_quarrel(tmp_path: Path) -> None:
    """The same words twice, and words that only add to what the other device wrote, are saved."""
    write_household(tmp_path)
    write(tmp_path, CheckInFields(energy=3), seen="")
    assert write(tmp_path, CheckInFields(energy=3), seen="").saved
    assert write(tmp_path, CheckInFields("glad", 3), seen="").saved
    assert said(read(tmp_path)) == CheckInFields("glad", 3)


@pytest.mark.parametrize(
    "text",
    ["+++\nformat = 1\nenergy = 9\n+++\nBelow.\n", "+++\nformat = 1\nenergy = 3\nBelow.\n"],
    ids=["a wrong value", "no end"],
)
def test_a_head_with_a_mistake_is_left_as_it_is(tmp_path: Path, text: str) -> None:
    """The words stand below, and the answer says why."""
    home(tmp_path, d22_ann=text)
    (tmp_path / NAME).write_text('+++\nformat = 1\nperson = "bo"\n+++\n')
    answer = write(tmp_path, FLAT)
    assert not answer.saved
    assert "has a mistake" in str(answer.why)
    after = (tmp_path / answer.name).read_text()
    assert after.startswith(text)
    assert "- Feeling: a little flat\n" in after


def test_a_file_that_is_another_persons_is_not_touched(tmp_path: Path) -> None:
    """A head may name somebody else: then this person's stands beside it, under their name."""
    bos = '+++\nformat = 1\nperson = "bo"\nfeeling = "hm"\n+++\n'
    home(tmp_path, d22=bos)
    assert write(tmp_path, FLAT).name == "check-ins/2027-03-22-ann.md"
    assert write(tmp_path, CheckInFields("better"), who="bo").name == NAME
    assert (tmp_path / NAME).read_text() == bos.replace("hm", "better")
    assert said(read(tmp_path, "check-ins/2027-03-22-ann.md")) == FLAT


def test_a_full_file_and_one_that_may_not_be_written_are_left(tmp_path: Path) -> None:
    """EditRefused; nothing is cut off."""
    text = '+++\nformat = 1\nperson = "ann"\n+++\n' + "x" * MOST_BYTES
    home(tmp_path, d22=text)
    with pytest.raises(EditRefused, match="is full"):
        write(tmp_path, FLAT)
    assert (tmp_path / NAME).read_text() == text
    (tmp_path / NAME).unlink()
    (tmp_path / NAME).mkdir()
    with pytest.raises(HouseholdError):
        write(tmp_path, FLAT)


WORDS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=60).map(str.strip)
FIELDS = st.builds(CheckInFields, WORDS, st.none() | st.integers(1, 5), WORDS, WORDS, WORDS)


@settings(max_examples=60, deadline=None)
@given(FIELDS, FIELDS, FIELDS, WORDS, st.sampled_from(["\n", "\r\n"]), st.permutations(range(4)))
def test_whatever_is_written_the_rest_of_the_file_stays(
    tmp_path_factory: pytest.TempPathFactory,
    first: CheckInFields,
    second: CheckInFields,
    third: CheckInFields,
    below: str,
    newline: str,
    order: list[int],
) -> None:
    """Written, written again, and once by a device that saw neither: all that was said is there."""
    folder = home(tmp_path_factory.mktemp("home"))
    lines = ["# before", "format = 1", 'person = "ann" # me', "why = '''old", "words'''"]
    head = [lines[at] for at in order if at != 3] + ["why = 'old'", "# last"]
    body = f"\n{below}\n"
    text = "\n".join(["+++", *head, "+++", body]).replace("\n", newline)
    (folder / NAME).write_bytes(text.encode())
    for fields in (first, second):
        assert write(folder, fields).saved
        after = (folder / NAME).read_bytes().decode()
        assert said(read(folder)) == fields
        ending = ("+++\n" + body).replace("\n", newline)
        assert after.endswith(ending)
        kept = [line for line in after.removesuffix(ending).split(newline) if line in head]
        assert kept == [line for line in head if not line.startswith("why")]
    told = write(folder, third, seen="0" * 64)
    content = (folder / NAME).read_bytes()
    assert said(read(folder)) == (third if told.saved else second)
    found = HEAD.match(content)
    assert found is not None
    assert tomllib.loads(found[1].decode())["format"] == 1
    if not told.saved:
        assert third.loses(second)
        assert below in content.decode()


REFUSED = {
    "no text": ({"feeling": 3}, "feeling is no text"),
    "too long": ({"why": "x" * 1001}, "why has 1001 signs, and at most 1000 are taken"),
    "control": ({"help": "a\x07b"}, "help has control signs"),
    "half a sign": ({"help": "a\ud800b"}, "help has control signs"),
    "no step": ({"energy": 6}, 'energy = "6" is no step'),
    "half": ({"energy": 2.0}, 'energy = "2.0" is no step'),
    "truth": ({"energy": True}, 'energy = "True" is no step'),
}


@pytest.mark.parametrize(("given_", "told"), REFUSED.values(), ids=REFUSED.keys())
def test_what_cannot_be_said_is_refused(given_: dict[str, object], told: str) -> None:
    """With the field, its value or length, and what to write."""
    with pytest.raises(UsageError) as error:
        fields_of(given_)
    assert str(error.value).startswith(told)


def test_words_are_cleaned_and_may_be_as_long_as_the_bound() -> None:
    """Line ends, tabs, blanks at the ends; digits of a form are steps."""
    found = fields_of({"feeling": " up \r\n\tand away  \n", "energy": "4", "why": None or ""})
    assert found == replace(CheckInFields(), feeling="up\n and away", energy=4)
    assert fields_of({"energy": "٣"}).energy == 3
    longest = {key: "ä" * most for key, most in MOST_SIGNS.items()}
    assert fields_of(longest).said() == {**longest, "energy": None}
