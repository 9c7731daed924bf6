"""Locks between processes: one at a time, and none outlives the process that held it."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from weeksync.locks import Lock

HOLDER = """
import sys
from pathlib import Path
from weeksync.locks import Lock

lock = Lock(Path(sys.argv[1]), 0)
print("held", flush=True)
sys.stdin.read()
lock.release()
"""
ROOT = Path(__file__).parents[1]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Where the lock is; there is nothing yet."""
    return tmp_path / "lock"


@contextmanager
def another(file: Path) -> Iterator[subprocess.Popen[str]]:
    """Another process that holds the lock until its input ends."""
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, str(file)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    ) as holder:
        assert holder.stdout is not None
        try:
            assert holder.stdout.readline() == "held\n"
            yield holder
        finally:
            holder.kill()


def test_the_file_is_made_for_its_owner_and_stays(file: Path) -> None:
    """Nobody else may open it; a name that comes and goes would be no lock."""
    before = os.umask(0)
    try:
        lock = Lock(file, 0)
    finally:
        os.umask(before)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    lock.release()
    assert file.exists()


def test_another_process_waits_as_long_as_it_is_told(file: Path) -> None:
    """No wait at all, or a while; then it is said, and the file is no more open than before."""
    with another(file):
        open_before = len(os.listdir("/proc/self/fd"))
        for wait in (0, 0.3):
            began = time.monotonic()
            with pytest.raises(TimeoutError):
                Lock(file, wait)
            assert wait <= time.monotonic() - began < wait + 0.2
        assert len(os.listdir("/proc/self/fd")) == open_before


def test_who_waits_gets_it_when_it_is_let_go(file: Path) -> None:
    """Soon after, not at the end of the wait."""
    with another(file) as holder:
        assert holder.stdin is not None
        holder.stdin.close()
        began = time.monotonic()
        Lock(file, 30).release()
        assert time.monotonic() - began < 10


def test_a_killed_process_holds_nothing(file: Path) -> None:
    """After kill -9 nothing has to be cleared away."""
    with another(file) as holder:
        holder.kill()
        holder.wait()
        Lock(file, 0).release()


def test_two_in_one_process_are_two(file: Path) -> None:
    """Threads of the served pages keep each other out, too."""
    first = Lock(file, 0)
    with pytest.raises(TimeoutError):
        Lock(file, 0)
    first.release()
    second = Lock(file, 0)
    first.release()  # again: that is not the second one's
    with pytest.raises(TimeoutError):
        Lock(file, 0)
    second.release()


def test_a_file_that_was_taken_away_is_no_lock(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who waited for a file that is removed must not hold what nobody else can see."""
    taken: list[Path] = []
    real = os.open

    def open_and_lose(path: Path, flags: int, mode: int) -> int:
        number = real(path, flags, mode)
        if not taken:
            taken.append(path)
            file.unlink()
        return number

    monkeypatch.setattr(os, "open", open_and_lose)
    lock = Lock(file, 5)
    assert taken
    with pytest.raises(TimeoutError):
        Lock(file, 0)
    lock.release()


def test_what_cannot_be_locked_is_an_error_of_the_system(tmp_path: Path) -> None:
    """At once, however long one would have waited: no folder, a folder, a link to elsewhere."""
    (tmp_path / "link").symlink_to(tmp_path / "elsewhere")
    for place in (tmp_path / "none" / "lock", tmp_path, tmp_path / "link"):
        with pytest.raises(OSError, match=r"No such file|Is a directory|symbolic links") as told:
            Lock(place, 30)
        assert not isinstance(told.value, TimeoutError)
    assert not (tmp_path / "elsewhere").exists()
