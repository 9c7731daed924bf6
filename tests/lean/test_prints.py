"""Fingerprints: what has been read is not read again while nothing can have changed it."""

from __future__ import annotations

import os
import sys
import time
from importlib import metadata
from pathlib import Path

import pytest

from weeksync.lean import code_print, content_print, installed_in, prints


class Reads(list[str]):
    """The files that are opened, in order."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        super().__init__()
        monkeypatch.setattr(prints, "open", self._open, raising=False)

    def _open(self, path: str, mode: str, buffering: int) -> object:
        self.append(Path(path).name)
        return open(path, mode, buffering)


@pytest.fixture
def reads(monkeypatch: pytest.MonkeyPatch) -> Reads:
    """What is read from now on."""
    return Reads(monkeypatch)


@pytest.fixture
def later(monkeypatch: pytest.MonkeyPatch) -> None:
    """A clock that is a minute on: what has just been written is long written."""
    ahead = time.time() + 60
    monkeypatch.setattr(time, "time", lambda: ahead)


@pytest.mark.usefixtures("later")
def test_a_file_is_read_once_while_it_stays(tmp_path: Path, reads: Reads) -> None:
    """The second look takes the digest of the first; one that was edited is read again."""
    for name in "abc":
        (tmp_path / name).write_text(f"this is {name}")
    first = content_print([str(tmp_path)])
    assert content_print([str(tmp_path)]) == first
    assert reads == ["a", "b", "c"]
    (tmp_path / "b").write_text("this is d")
    second = content_print([str(tmp_path)])
    assert second != first
    assert reads == ["a", "b", "c", "b"]
    prints._read.clear()
    assert content_print([str(tmp_path)]) == second


@pytest.mark.usefixtures("later")
def test_a_file_with_the_times_of_before_is_read_again(tmp_path: Path, reads: Reads) -> None:
    """Another file under its name, of the same size and date: a restored copy."""
    (tmp_path / "a").write_text("one")
    first, about = content_print([str(tmp_path)]), (tmp_path / "a").stat()
    (tmp_path / "new").write_text("two")
    os.utime(tmp_path / "new", ns=(about.st_atime_ns, about.st_mtime_ns))
    (tmp_path / "new").replace(tmp_path / "a")
    assert content_print([str(tmp_path)]) != first
    assert reads == ["a", "a"]


def test_what_was_written_a_moment_ago_is_read_each_time(tmp_path: Path, reads: Reads) -> None:
    """It may be written once more without a new time."""
    (tmp_path / "a").write_text("one")
    content_print([str(tmp_path)])
    content_print([str(tmp_path)])
    assert reads == ["a", "a"]


def test_the_folders_of_distributions_are_those_that_python_knows() -> None:
    """Found by their names alone; one that is not there is an error."""
    names = ("tzdata", "babel", "jinja2", "pydantic")
    known = {str(metadata.distribution(one).locate_file("")) for one in names}
    assert installed_in(names) == sorted(known)
    with pytest.raises(metadata.PackageNotFoundError):
        installed_in(("no-such-distribution",))


def test_what_a_linux_distribution_has_installed_tells_its_version_as_well(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its packages have `.egg-info` in place of `.dist-info`."""
    (tmp_path / "Babel-2.10.3.egg-info").mkdir()
    monkeypatch.setattr(sys, "path", [str(tmp_path), *sys.path])
    assert installed_in(("babel",)) == [str(tmp_path)]
    monkeypatch.setattr(prints, "_code", {})
    first = code_print((), [str(tmp_path)])
    (tmp_path / "Babel-2.10.3.egg-info").rename(tmp_path / "Babel-2.12.1.egg-info")
    monkeypatch.setattr(prints, "_code", {})
    assert code_print((), [str(tmp_path)]) != first
