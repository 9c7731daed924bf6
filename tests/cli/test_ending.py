"""How the command ends as a process: at once, and to everybody outside as Python would end it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.households import event, with_calendar

AT_ONCE = "weeksync.cli.command()"
BY_PYTHON = "sys.exit(weeksync.cli.main())"

Ended = tuple[int, bytes, bytes]


def ended(code: str, *words: str, into: str = "") -> Ended:
    """Exit status, output and errors of a process that runs the code with the words typed."""
    command = [sys.executable, "-c", f"import sys, weeksync.cli\n{code}", *words]
    if into:
        command = ["sh", "-c", f'"$@" {into}', "sh", *command]
    buffered = os.environ | {"PYTHONUNBUFFERED": ""}
    done = subprocess.run(command, capture_output=True, check=False, env=buffered)
    return done.returncode, done.stdout, done.stderr


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The options that name a household with pages, and a moment."""
    folder = with_calendar(
        tmp_path_factory.mktemp("home"), event("dentist", "20270323T113000", "Dentist")
    )
    options = ["--household", str(folder), "--now", "2027-03-24T06:40:00Z"]
    assert ended(BY_PYTHON, "nightly", *options)[0] == 0
    return options


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (["nightly"], 0),
        (["show", "this", "--json"], 0),
        (["mark", "nothing", "yes"], 2),
        (["check", "--now", "yesterday"], 2),
    ],
    ids=lambda words: words[0] if isinstance(words, list) else None,
)
def test_status_and_words_are_those_of_the_command(
    home: list[str], words: list[str], status: int
) -> None:
    """All of them come out through a pipe, however much it is."""
    typed = [words[0], *home, *words[1:]]
    assert ended(AT_ONCE, *typed) == ended(BY_PYTHON, *typed)
    assert ended(AT_ONCE, *typed)[0] == status


@pytest.mark.parametrize(("word", "status"), [("--help", 0), ("--version", 0), ("--none", 2)])
def test_what_argparse_ends_is_ended_the_same(word: str, status: int) -> None:
    """Help, version and wrong use leave by SystemExit."""
    assert ended(AT_ONCE, word) == ended(BY_PYTHON, word)
    assert ended(AT_ONCE, word)[0] == status


@pytest.mark.parametrize("into", [">/dev/full", ">&-", ">&- 2>&-"])
def test_an_output_that_cannot_be_written_is_said_as_python_says_it(into: str) -> None:
    """A full disk is status 120 and a line; a closed output is nothing."""
    assert ended(AT_ONCE, "--help", into=into) == ended(BY_PYTHON, "--help", into=into)


def test_a_full_disk_is_no_success() -> None:
    """What was said is lost, and the status says so (Python's own, 120)."""
    assert ended(AT_ONCE, "--version", into=">/dev/full")[0] == 120


def test_what_was_asked_for_at_the_end_is_done() -> None:
    """In the order of Python: the last one first, and what it writes comes out."""
    code = "import atexit\natexit.register(print, 'last')\natexit.register(print, 'first')\n"
    status, out, err = ended(code + AT_ONCE, "--version")
    assert (status, err) == (0, b"")
    assert out.split()[-2:] == [b"first", b"last"]


def test_a_thread_is_waited_for() -> None:
    """As at the end of every Python process."""
    code = (
        "import threading\n"
        "def late(): threading.main_thread().join(); print('done')\n"
        "threading.Thread(target=late).start()\n"
    )
    status, out, _ = ended(code + AT_ONCE, "--version")
    assert (status, out.split()[-1]) == (0, b"done")


def test_a_profiler_gets_its_figures(tmp_path: Path) -> None:
    """It writes them after us, so it must have an after."""
    figures = tmp_path / "figures"
    words = ["-m", "cProfile", "-o", str(figures), "-m", "weeksync", "--version"]
    subprocess.run([sys.executable, *words], check=True, capture_output=True)
    assert figures.stat().st_size > 0


def test_nothing_of_python_is_taken_apart() -> None:
    """What would be freed last of all is not freed: that is the time that is saved."""
    code = (
        "class Held:\n"
        "    def __del__(self): print('freed', flush=True)\n"
        "sys.modules['held'] = Held()\n"
    )
    assert b"freed" in ended(code + BY_PYTHON, "--version")[1]
    assert b"freed" not in ended(code + AT_ONCE, "--version")[1]
