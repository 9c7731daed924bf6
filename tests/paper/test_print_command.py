"""`weeksync print`: what it makes, and when a week counts as printed."""

from __future__ import annotations

import json
import os
import pty
import re
import shutil
import stat
import subprocess
import sys
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

from weeksync import demo
from weeksync.cli import main
from weeksync.model.snapshot import Snapshot
from weeksync.model.week import IsoWeek
from weeksync.workflow import Context
from weeksync.workflow.nightly import nightly
from weeksync.workflow.printing_names import KINDS
from weeksync.workflow.printing_waiting import waiting

NOW = "2027-03-24T06:40:00Z"
W12, W13 = IsoWeek(2027, 12), IsoWeek(2027, 13)


@pytest.fixture(scope="module")
def pulled(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household with its calendars pulled and the pages of a few weeks."""
    home = demo.copy_to(tmp_path_factory.mktemp("demo") / "household")
    config = home / "config.toml"
    text = config.read_text().replace("weeks_back = 10", "weeks_back = 1")
    config.write_text(text.replace("weeks_ahead = 14", "weeks_ahead = 1"))
    nightly(Context.read(home, demo.NOW), wait=0)
    return home


@pytest.fixture
def home(pulled: Path, tmp_path: Path) -> Path:
    """A copy of it for one test."""
    return Path(shutil.copytree(pulled, tmp_path / "household", symlinks=True))


def run(home: Path, *words: str) -> int:
    """The command on that household, at the moment of the demo."""
    return main(["print", *words, "--household", str(home), "--now", NOW])


def reader(path: Path) -> PdfReader:
    """A finished PDF."""
    return PdfReader(BytesIO(path.read_bytes()))


def said(path: Path) -> str:
    """All its text."""
    text = " ".join(page.extract_text() for page in reader(path).pages)
    return re.sub(r"\s+", " ", text)


def snapshots(home: Path) -> dict[IsoWeek, Snapshot]:
    """What the weeks showed when they were last printed."""
    return dict(Context.read(home, demo.NOW).files.snapshots)


def test_a_week_counts_as_printed_only_when_it_came_out(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Not by making the sheets, not by a no; by a yes, with what the sheets show."""
    before = snapshots(home)
    assert run(home, "next") == 0
    assert "does not count as printed yet; say so with --came-out yes" in capsys.readouterr().out
    assert run(home, "next", "--came-out", "no") == 0
    assert snapshots(home) == before
    assert W13 not in before
    assert run(home, "next", "--came-out", "yes") == 0
    out = capsys.readouterr().out
    assert "2027-W13 counts as printed" in out
    kept = snapshots(home)[W13]
    assert any("Dov" in line.title for line in kept.lines)
    assert (home / "output" / "paper" / "2027-W13-spread.pdf").is_file()


def test_what_counts_is_what_is_on_the_paper(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An answer given later is to the sheets that were made: what changed meanwhile is a change."""
    assert run(home, "next") == 0
    sheets = home / "output" / "paper" / "2027-W13-spread.pdf"
    before = sheets.read_bytes()
    tasks = home / "tasks.toml"
    tasks.write_text(
        tasks.read_text()
        + '\n[[tasks]]\nid = "kite-string"\ntitle = "Buy kite string"\ndue = 2027-03-31\n'
    )
    assert run(home, "next", "--came-out", "yes") == 0
    assert "counts as printed" in capsys.readouterr().out
    assert sheets.read_bytes() == before
    assert "Buy kite string" not in {line.title for line in snapshots(home)[W13].lines}
    assert run(home, "next", "--changes") == 0
    assert "Buy kite string: new" in said(home / "output" / "paper" / "2027-W13-changes.pdf")
    assert run(home, "next", "--changes", "--came-out", "no") == 0
    assert "does not count" in capsys.readouterr().out
    assert "Buy kite string" not in {line.title for line in snapshots(home)[W13].lines}


def test_what_waits_and_cannot_be_read_counts_as_none(home: Path) -> None:
    """The answer is then to sheets that are made anew."""
    (home / "state" / "printed" / f"{W13}.json").mkdir(parents=True)
    assert waiting(Context.read(home, demo.NOW), (W13,)) == ()


def test_numbers_of_the_printer_in_another_encoding_are_said_to_be_unreadable(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the file's name."""
    (home / "state" / "printer.json").write_bytes(b"\xff\xfe{")
    assert run(home, "next") == 2
    assert "printer.json cannot be read" in capsys.readouterr().err


def at_a_terminal(home: Path, *words: str, answer: str, lengths: tuple[str, ...] = ()) -> str:
    """What the command writes to a real terminal.

    `answer` is typed where it asks yes or no; lengths one by one where it asks for them, and then
    Enter alone.
    """
    left = iter(lengths)
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [sys.executable, "-m", "weeksync", "print", *words, "--household", str(home), "--now", NOW],
        stdin=theirs, stdout=theirs, stderr=theirs,
        env={**os.environ, "TERM": "xterm", "COLUMNS": "200"},
    )  # fmt: skip
    os.close(theirs)
    seen = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # Linux says so when the last writer has closed the terminal
            break
        if not part:
            break
        seen += part
        if seen.endswith((b"> ", b"[mm] ")):
            typed = answer if seen.endswith(b"> ") else next(left, "")
            os.write(ours, f"{typed}\n".encode())
    os.close(ours)
    assert process.wait() == 0, seen.decode()
    return seen.decode()


def test_at_a_terminal_it_is_asked(home: Path) -> None:
    """After the sheets are made; Enter and letters work as everywhere."""
    text = at_a_terminal(home, "next", answer="y")
    assert "Did it come out as it should?" in text
    assert text.index("The sheets are in") < text.index("Did it come out")
    assert "counts as printed" in text
    assert W13 in snapshots(home)


def test_the_test_sheet_is_read_off_at_the_keyboard(home: Path) -> None:
    """A number that is none is asked for again; what was measured holds for what is printed."""
    text = at_a_terminal(
        home, "--kind", "test", answer="n", lengths=("wide", "98,5", "9", "", "4.5", "4")
    )
    assert '"wide" is no length' in text
    kept = json.loads((home / "state" / "printer.json").read_text())
    assert (kept["percent"], kept["top"], kept["bottom"]) == (98.5, 9.0, 4.5)
    said_then = at_a_terminal(home, "next", answer="n")
    assert "the printer makes 100 mm 98.5 mm long" in said_then
    assert "write margin_mm = 9" in said_then


def test_changes_are_counted_from_the_print_and_make_a_strip(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A task added after the print stands on the strip; printed and stuck on, it is no change."""
    assert run(home, "next", "--changes") == 2
    assert "print it first" in capsys.readouterr().err
    assert run(home, "next", "--came-out", "yes") == 0
    tasks = home / "tasks.toml"
    tasks.write_text(
        tasks.read_text()
        + '\n[[tasks]]\nid = "kite-string"\ntitle = "Buy kite string"\ndue = 2027-03-31\n'
    )
    strip = home / "output" / "paper" / "2027-W13-changes.pdf"
    assert run(home, "next", "--changes") == 0
    assert "Buy kite string: new" in said(strip)
    assert run(home, "next", "--changes", "--came-out", "yes") == 0
    assert run(home, "next", "--changes") == 0
    assert "Buy kite string" not in said(strip)
    assert "Nothing has changed." in said(strip)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_printed(
    pulled: Path, tmp_path: Path, kind: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each name that --kind takes gives a PDF with fonts in it; private ones are for one alone."""
    span = {"month": "2027-03", "bills": "2027-03", "year": "2027"}.get(kind, "this")
    target = tmp_path / f"{kind}.pdf"
    assert run(pulled, span, "--kind", kind, "--to", str(target)) == 0, capsys.readouterr().err
    assert reader(target).pages
    open_to_others = stat.S_IMODE(target.stat().st_mode) & 0o077
    assert (open_to_others == 0) == (kind in {"own", "check-in", "bills"})
    if kind == "habits":
        cells = json.loads(target.with_suffix(".json").read_text())
        assert cells["pages"][0]["week"] == "2027-W12"
    if kind in {"spread", "week", "days", "fridge", "person", "month", "year"}:
        for private in ("£", "a bit wound up"):  # an amount, a check-in of the demo
            assert private not in said(target)


def test_options_stand_in_place_of_the_settings(home: Path) -> None:
    """The size, large print, two pages on a larger sheet, a run of weeks both sides."""
    target = home / "sheets.pdf"
    to = ("--to", str(target))
    assert run(home, "--size", "A5", *to) == 0
    assert [round(float(one) / 72 * 25.4) for one in reader(target).pages[0].mediabox[2:]] == [
        148,
        210,
    ]
    assert run(home, "--size", "A5", "--paper", "A4", "--way", "two-up", *to) == 0
    page = reader(target).pages[0]
    assert sorted(round(float(one) / 72 * 25.4) for one in page.mediabox[2:]) == [210, 297]
    assert run(home, "next", "--weeks", "2", "--way", "duplex", *to) == 0
    assert len(reader(target).pages) % 2 == 0
    assert run(home, "--landscape", "--kind", "week", *to) == 0
    box = reader(target).pages[0].mediabox
    assert box.width > box.height


@pytest.mark.parametrize(("span", "year"), [("next", "2027"), ("2026-W53", "2026")])
def test_a_year_is_the_one_that_holds_the_week(
    pulled: Path, tmp_path: Path, span: str, year: str
) -> None:
    """The year of its Thursday, as the month is; a week of two years belongs to one (ISO 8601)."""
    target = tmp_path / "year.pdf"
    assert run(pulled, span, "--kind", "year", "--to", str(target)) == 0
    made = reader(target).metadata
    assert made is not None
    assert made.title == year


def test_the_report_says_how_much_ink_a_page_takes(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Under 8 % on every page of the demo (common practice: half as much again as test pages)."""
    assert run(home, "--report") == 0
    shares = re.findall(r"page \d+, .*: ([\d.]+) % ink", capsys.readouterr().out)
    assert len(shares) >= 2
    assert all(0 < float(one) < 8 for one in shares)


def test_weeks_that_are_over_are_printed_and_do_not_count(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nobody can tell what they would have shown: nothing is asked, nothing kept."""
    before = snapshots(home)
    assert run(home, "last", "--came-out", "yes") == 0
    assert "counts as printed" not in capsys.readouterr().out
    assert snapshots(home) == before


@pytest.mark.parametrize(
    ("words", "wrong"),
    [
        (("2027-03",), '"2027-03" is no week'),
        (("--kind", "year", "soon"), '"soon" is no year'),
        (("--kind", "person", "--person", "nobody"), "nobody"),
        (("--weeks", "0"), "from 1 to"),
        (("--kind", "fridge", "--way", "booklet"), "single sides"),
        (("--changes", "--kind", "month"), "leave out --kind"),
        (("--with", "browser", "--way", "duplex"), "single sides only"),
    ],
)
def test_what_cannot_be_printed_gets_a_clear_word(
    pulled: Path, words: tuple[str, ...], wrong: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the value and what to write instead; exit status 2, and nothing is written."""
    assert run(pulled, *words) == 2
    assert wrong in capsys.readouterr().err
    assert not (pulled / "output" / "paper").exists()


def browser(tmp_path: Path) -> tuple[Path, dict[str, str]]:
    """A program that stands for a browser and writes down the address it is given."""
    seen, program = tmp_path / "seen", tmp_path / "browser"
    program.write_text(f'#!/bin/sh\necho "$1" > {seen}\n')
    program.chmod(0o755)
    return seen, {"BROWSER": f"{program} %s"}


def without(tmp_path: Path, *modules: str) -> dict[str, str]:
    """An environment whose Python does not have those libraries."""
    folder = tmp_path / "site"
    folder.mkdir()
    names = ", ".join(f'"{one}": None' for one in modules)
    (folder / "sitecustomize.py").write_text(f"import sys\nsys.modules.update({{{names}}})\n")
    return {"PYTHONPATH": str(folder)}


@pytest.mark.parametrize(
    ("missing", "page"),
    [
        (("weasyprint",), "output/paper/2027-W12-spread.html"),
        (("weasyprint", "uharfbuzz"), "output/site/2027-W12.html"),
    ],
)
def test_without_an_engine_the_browser_prints(
    home: Path, tmp_path: Path, missing: tuple[str, ...], page: str
) -> None:
    """The sheets as a page; where text cannot be measured, the week's own page of the site."""
    seen, with_browser = browser(tmp_path)
    done = subprocess.run(
        [sys.executable, "-m", "weeksync", "print", "--household", str(home), "--now", NOW],
        env={**os.environ, **with_browser, **without(tmp_path, *missing)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "browser" in done.stdout
    assert seen.read_text().strip() == (home / page).absolute().as_uri()
    if "paper" in page:
        text = (home / page).read_text()
        assert "default-src 'none'" in text
        assert "<script" not in text
        assert "style=" not in text
        assert not re.search(r"(?:src|href)\s*=\s*[\"']?https?:", text)


def test_an_engine_that_is_not_there_is_named(
    home: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """With what to do instead; nothing is written."""
    monkeypatch.setenv("PATH", str(home))
    assert run(home, "--with", "chromium") == 2
    assert "there is no Chromium on the path" in capsys.readouterr().err
    assert not (home / "output" / "paper").exists()


def test_a_template_of_the_households_own_is_used_and_its_faults_are_found(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Another colour is printed; letters set apart run out of their places, and are not."""
    folder = home / "templates" / "paper"
    folder.mkdir(parents=True)
    config = home / "config.toml"
    config.write_text(config.read_text().replace("[site]", '[site]\ntemplates = "templates"', 1))
    css = folder / "paper.css"
    css.write_text('{% include "weeksync/paper/paper.css" %}\nh1 { font-style: oblique }\n')
    assert run(home) == 0
    css.write_text('{% include "weeksync/paper/paper.css" %}\nbody { letter-spacing: 1mm }\n')
    target = home / "wide.pdf"
    assert run(home, "--to", str(target)) == 3
    assert "does not stand whole where it was laid out" in capsys.readouterr().err
    assert not target.exists()
