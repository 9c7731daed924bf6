"""A form knows from which files it was made, and is told when they are others by now."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from tests.support.households import NOW, write_household
from weeksync.workflow.context import Context
from weeksync.workflow.versions import digests, stale

TASKS = "format = 1\n"
NAMES = ("tasks.toml", "weeks/2027-W12.toml")


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A household with one file besides its settings."""
    return write_household(tmp_path, tasks_toml=TASKS)


def fields(context: Context) -> dict[str, tuple[str, ...]]:
    """The hidden fields as a browser sends them."""
    return {name: (digest,) for name, digest in digests(context, NAMES).items()}


def test_a_digest_stands_for_the_bytes_and_none_for_no_file(home: Path) -> None:
    """SHA-256 in hexadecimal."""
    made = digests(Context.read(home, NOW), NAMES)
    wanted = hashlib.sha256(TASKS.encode()).hexdigest()
    assert made == {"seen.tasks.toml": wanted, "seen.weeks/2027-W12.toml": ""}


def test_nothing_is_stale_while_the_files_are_the_same(home: Path) -> None:
    """A file that was not there and still is not, is the same."""
    context = Context.read(home, NOW)
    assert stale(context, fields(context), NAMES) == ()


def test_a_file_changed_made_or_taken_away_is_told(home: Path) -> None:
    """One after the other, by name."""
    sent = fields(Context.read(home, NOW))
    (home / "tasks.toml").write_text(TASKS + "# by hand\n")
    assert stale(Context.read(home, NOW), sent) == ("tasks.toml",)
    (home / "weeks").mkdir()
    (home / "weeks" / "2027-W12.toml").write_text("format = 1\n")
    assert stale(Context.read(home, NOW), sent) == NAMES
    (home / "tasks.toml").unlink()
    assert stale(Context.read(home, NOW), sent, NAMES) == NAMES


def test_a_form_that_leaves_a_file_out_is_not_taken_for_fresh(home: Path) -> None:
    """Somebody who sends no digest has seen nothing."""
    assert stale(Context.read(home, NOW), {}, ("tasks.toml",)) == ("tasks.toml",)


@pytest.mark.parametrize("name", ["../config.toml", "/etc/passwd", "state/undo.json", "x.toml"])
def test_only_files_of_the_household_are_asked_after(home: Path, name: str) -> None:
    """Any other name says nothing about any other file."""
    assert stale(Context.read(home, NOW), {f"seen.{name}": ("0" * 64,)}) == ()
