"""`weeksync share` over the demo household: its week after it is over, with one title allowed."""

from __future__ import annotations

import json
import re
import shutil
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.sharing.conftest import read_by_machine, squeezed
from weeksync.cli import main
from weeksync.sharing.outputs import NAMES
from weeksync.sharing.reading import texts
from weeksync.workflow import Status

DURING, AFTER = "2027-03-24T05:40:00+00:00", "2027-03-30T08:00:00+00:00"

FORBIDDEN = (
    "marlowick", "saltmere", "lantern", "ferrier", "ines", "dov", "pell", "juno", "brice",
    "tamsin", "dentist", "optician", "nana", "cousin", "shift", "rota", "swimming", "piano",
    "boiler", "dough", "traders", "815", "142.00", "28.50", "34.20", "24.00", "2027",
)  # fmt: skip
"""The words that facts on the demo say must be in no output, more titles of its, and sums."""


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household, pulled and built."""
    folder = tmp_path_factory.mktemp("demo")
    words = ["demo", "--to", str(folder / "out"), "--household", str(folder / "home")]
    assert main([*words, "--now", DURING]) == Status.FINE
    return folder / "home"


@pytest.fixture
def copy(home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of it, on a machine without the extra for pictures: they are slow to make."""
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    return shutil.copytree(home, tmp_path / "home", symlinks=True)


def run(folder: Path, *words: str, now: str = AFTER) -> int:
    """The command; its exit status."""
    return main(["share", *words, "--household", str(folder), "--now", now])


def said(folder: Path, capsys: pytest.CaptureFixture[str], *words: str) -> Any:
    """What it says as JSON."""
    capsys.readouterr()
    run(folder, "--json", *words)
    return json.loads(capsys.readouterr().out)


def test_the_demo_is_shared_with_one_title_and_no_false_alarm(home: Path, tmp_path: Path) -> None:
    """Page, sheet and pictures: the title is there, and none of the forbidden words."""
    copy = shutil.copytree(home, tmp_path / "home", symlinks=True)
    assert run(copy, "2027-W12") == Status.FINE
    (folder,) = (copy / "output" / "shared").iterdir()
    files = {one.name: one.read_bytes() for one in folder.iterdir()}
    assert set(files) == set(NAMES) - {"busy.ics"}
    looked_at = ("week-portrait-light.png", "week-square-dark.png")
    pictures = [read_by_machine(files[name], tmp_path) for name in looked_at]
    assert all("marketstall" in squeezed(text) for text in pictures)
    assert b"Market stall" in files["week.html"]
    # Where times are day parts and the week is not named, nothing has a figure: no amount, no
    # date, and not the days from 26 to 29 March.
    assert [one for one in texts(files) if one.seen and re.search(r"\d", one.text)] == []
    read = [*pictures, *(one.text for one in texts(files))]
    for word in FORBIDDEN:
        assert not [text for text in read if word in re.findall(r"[\w.]+", text.casefold())], word
        if len(word) > 4:
            assert not [text for text in read if word in squeezed(text)], word


def test_explain_lists_what_is_shown_and_what_is_left_out(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Item by item, as what and by which rule; nothing is written."""
    assert run(copy, "2027-W12", "--explain") == Status.FINE
    out = capsys.readouterr().out
    shown, hidden = out.split("Left out:")
    assert "Sat: Market stall → Market stall\n      the calendar “Market stall” says title" in shown
    assert "Dentist - Juno" in hidden
    assert "Dentist - Juno" not in shown
    assert not (copy / "output" / "shared").exists()
    entries = said(copy, capsys, "2027-W12", "--explain")
    (stall,) = (one for one in entries if one["title"] == "Market stall")
    assert (stall["shown_as"], stall["days"]) == ("title", ["2027-03-27"])
    assert {one["shown_as"] for one in entries} >= {"nothing", "area", "title"}


def test_what_is_released_is_shown_from_then_on(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A habit by its id, written into its entry; one of health is refused."""
    assert run(copy, "2027-W12", "--release", "gate-latch") == Status.FINE
    assert "released" in capsys.readouterr().out
    text = (copy / "tasks.toml").read_text("utf-8")
    assert "share = true" in text.split('id = "gate-latch"')[1].split("[[tasks]]")[0]
    assert run(copy, "2027-W12", "--release", "water") == Status.WRONG_USE


def test_the_whole_way_from_looking_to_withdrawing(
    copy: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Made, published, listed, withdrawn; each step says where things lie."""
    config = copy / "config.toml"
    text = config.read_text("utf-8")
    place = f'[sharing]\npublish_folder = "{tmp_path}/public"\n'
    config.write_text(text.replace("[sharing]\n", place), "utf-8")
    made = said(copy, capsys, "2027-W12")
    assert (made["week"], made["decide"], made["problems"]) == ("2027-W12", [], [])
    assert Path(made["preview"]).is_file()
    assert run(copy, "2027-W12", "--publish") == Status.FINE
    assert str(tmp_path / "public") in capsys.readouterr().out
    (entry,) = said(copy, capsys, "--list")
    assert (entry["week"], entry["withdrawn_at"]) == ("2027-W12", None)
    assert (tmp_path / "public" / entry["name"] / "week.html").is_file()
    assert run(copy, "--list") == Status.FINE
    assert "published Tue, 30 Mar 2027" in capsys.readouterr().out
    assert run(copy, "2027-W12", "--withdraw") == Status.FINE
    assert not list((tmp_path / "public").iterdir())
    assert run(copy, "--list") == Status.FINE
    assert "withdrawn Tue, 30 Mar 2027" in capsys.readouterr().out
    assert run(copy, "2027-W12", "--withdraw") == Status.WRONG_USE


def test_a_stop_says_where_and_what_to_do(copy: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A name in a word that a rule puts in place of titles; exit status 3, and nothing written."""
    config = copy / "config.toml"
    text = config.read_text("utf-8")
    config.write_text(
        text.replace('area = "learning"\nshare = "area"', 'share = "word"\nshare_as = "With Juno"'),
        "utf-8",
    )
    assert run(copy, "2027-W12") == Status.NOTHING_DONE
    heard = capsys.readouterr()
    assert "Nothing was written for 2027-W12." in heard.out + heard.err
    assert "juno" in heard.out + heard.err
    assert "--explain" in heard.out + heard.err
    assert not (copy / "output" / "shared").exists()


def test_a_week_that_is_not_over_is_wrong_use(
    copy: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the Wednesday of the week."""
    assert run(copy, "2027-W12", now=DURING) == Status.WRONG_USE
    assert "over" in capsys.readouterr().err
