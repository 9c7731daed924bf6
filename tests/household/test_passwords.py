"""Passwords by environment, file or command, and never in anything that is shown."""

from __future__ import annotations

import sys
import time
import traceback
from pathlib import Path

import pytest

from weeksync.errors import SourceRefused
from weeksync.household import password, password_problems
from weeksync.model.config import CalendarSource
from weeksync.model.problem import ProblemKind
from weeksync.read.checked import checked

SECRET = "hünter 2 "
VARIABLE = "WEEKSYNC_TEST_PASSWORD"


def source(**ways: object) -> CalendarSource:
    """A calendar with that way to its password."""
    return checked(
        CalendarSource,
        {"id": "family", "caldav": "https://dav.example.org/", "user": "ines", **ways},
    )


def command(*code: str) -> CalendarSource:
    """A calendar whose password a line of Python prints."""
    return source(password_command=(sys.executable, "-c", *code))


def refused(calendar: CalendarSource, folder: Path, seconds: float = 30.0) -> str:
    """What is said where there is no password; the secret is in no part of the traceback."""
    with pytest.raises(SourceRefused) as caught:
        password(calendar, folder, command_seconds=seconds)
    shown = "".join(traceback.format_exception(caught.value))
    assert "hunter2" not in shown
    assert "hunter2" not in repr(caught.value)
    assert caught.value.source == "family"
    return str(caught.value)


def test_a_calendar_without_a_password_has_none(tmp_path: Path) -> None:
    """Most calendars on the web need none."""
    assert password(source(), tmp_path) is None


def test_from_the_environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As it stands there, spaces and all."""
    monkeypatch.setenv(VARIABLE, SECRET)
    assert password(source(password_env=VARIABLE), tmp_path) == SECRET


@pytest.mark.parametrize("value", [None, ""])
def test_an_environment_without_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, value: str | None
) -> None:
    """Cron has an environment of its own."""
    monkeypatch.delenv(VARIABLE, raising=False)
    if value is not None:
        monkeypatch.setenv(VARIABLE, value)
    assert refused(source(password_env=VARIABLE), tmp_path) == (
        "the environment variable that password_env names is not set; set it, in cron too"
    )


@pytest.mark.parametrize("ending", ["", "\n", "\r\n", "\nsecond line\n"])
def test_from_the_first_line_of_a_file(tmp_path: Path, ending: str) -> None:
    """From the household folder on; spaces may belong to it, the end of the line does not."""
    (tmp_path / "pw").write_bytes(f"{SECRET}{ending}".encode())
    assert password(source(password_file="pw"), tmp_path) == SECRET
    assert password(source(password_file=str(tmp_path / "pw")), Path("/")) == SECRET


def test_from_a_file_in_the_home_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """As one writes it in a shell."""
    monkeypatch.setenv("HOME", str(tmp_path))
    (tmp_path / "pw").write_text(SECRET)
    assert password(source(password_file="~/pw"), Path("/")) == SECRET


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "the password file pw cannot be read (No such file or directory); "),
        (b"", "the first line of the password file pw is no text; "),
        (b"\nhunter2", "the first line of the password file pw is no text; "),
        (b"hunter2\xff", "the first line of the password file pw is no text; "),
    ],
)
def test_a_file_without_a_password(tmp_path: Path, content: bytes | None, said: str) -> None:
    """Missing, empty, or in another encoding: nothing of it is shown."""
    if content is not None:
        (tmp_path / "pw").write_bytes(content)
    assert refused(source(password_file="pw"), tmp_path).startswith(said)


@pytest.mark.parametrize("name", [".", "~nobody-of-that-name/pw", "a\0b"])
def test_a_path_that_is_none(tmp_path: Path, name: str) -> None:
    """A folder, a home that does not exist, a sign no path has."""
    assert "cannot be read" in refused(source(password_file=name), tmp_path)


def test_from_a_command(tmp_path: Path) -> None:
    """The first line it prints; it runs in the household folder."""
    (tmp_path / "pw").write_text("from here\nnot this\n")
    assert password(command("print(open('pw').read())"), tmp_path) == "from here"


def test_a_command_is_a_list_of_words_and_no_shell(tmp_path: Path) -> None:
    """What a shell would read as another command is a word like others."""
    calendar = source(password_command=("echo", "a;", "touch", "$HOME", "`id`"))
    assert password(calendar, tmp_path) == "a; touch $HOME `id`"


BAD_COMMANDS = {
    "fails": ("print('hunter2'); raise SystemExit(3)", "gave no password (status 3)"),
    "prints nothing": ("", "gave no password (status 0)"),
    "prints an empty line": ("print()", "gave no password (status 0)"),
    "prints no text": (
        "import sys; sys.stdout.buffer.write(b'hunter2\\xff')",
        "gave no password (status 0)",
    ),
    "fails loudly": ("raise ValueError('hunter2')", "gave no password (status 1)"),
}


@pytest.mark.parametrize(("code", "said"), BAD_COMMANDS.values(), ids=BAD_COMMANDS.keys())
def test_a_command_that_gives_none(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], code: str, said: str
) -> None:
    """Neither its output nor its arguments are shown, nor what it writes to standard error."""
    program = Path(sys.executable).name
    assert refused(command(code), tmp_path) == (
        f"the password command {program} {said}; try it in the household folder"
    )
    assert capfd.readouterr() == ("", "")


def test_a_command_that_is_not_there(tmp_path: Path) -> None:
    """Cron has another PATH."""
    calendar = source(password_command=("/no/such/program", "hunter2"))
    assert refused(calendar, tmp_path) == (
        "the password command program cannot be run; write its whole path"
    )


@pytest.mark.parametrize(
    "code",
    [
        "import time; print('hunter2', flush=True); time.sleep(60)",
        "import subprocess as s; s.Popen(['sleep', '60']); print('hunter2')",
        "input()\nimport time; time.sleep(60)",
    ],
    ids=["slow", "leaves a child behind", "asks"],
)
def test_a_command_that_takes_too_long(tmp_path: Path, code: str) -> None:
    """It is ended with its children; nobody is asked anything."""
    begun = time.monotonic()
    said = refused(command(code), tmp_path, seconds=1.0)
    assert time.monotonic() - begun < 20
    assert "more than 1 s;" in said or "gave no password" in said


def test_a_command_that_prints_without_end(tmp_path: Path) -> None:
    """It is stopped at the bound, and what it is worth shows in its status."""
    code = "while True: print('hunter2' * 1000)"
    assert "gave no password" in refused(command(code), tmp_path)


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o644])
def test_a_file_that_others_can_read_is_worth_knowing(tmp_path: Path, mode: int) -> None:
    """With the command that changes it."""
    (tmp_path / "pw").write_text(SECRET)
    (tmp_path / "pw").chmod(mode)
    (problem,) = password_problems(source(password_file="pw"), tmp_path)
    assert problem.kind is ProblemKind.NOTICE
    assert str(problem) == (
        "family: others can read the password file pw; chmod 600 pw takes that away"
    )


def test_a_private_file_or_none_is_no_problem(tmp_path: Path) -> None:
    """A missing one is told when the password is needed."""
    (tmp_path / "pw").write_text(SECRET)
    (tmp_path / "pw").chmod(0o600)
    assert password_problems(source(password_file="pw"), tmp_path) == ()
    assert password_problems(source(password_file="gone"), tmp_path) == ()
    assert password_problems(source(password_file="~nobody-of-that-name/x"), tmp_path) == ()
    assert password_problems(source(), tmp_path) == ()
