"""Fingerprints: what has been read is not read again while nothing can have changed it."""

from __future__ import annotations

import os
import sys
import time
from importlib import metadata
from pathlib import Path

import pytest

from weeksync.lean import code_print, content_print, installed_in, newest, prints


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
    assert known <= set(installed_in(names))
    with pytest.raises(metadata.PackageNotFoundError):
        installed_in(("no-such-distribution",))


def test_what_a_linux_distribution_has_installed_tells_its_version_as_well(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its packages have `.egg-info` in place of `.dist-info`."""
    (tmp_path / "Babel-2.10.3.egg-info").mkdir()
    monkeypatch.setattr(sys, "path", [str(tmp_path), *sys.path])
    assert str(tmp_path) in installed_in(("babel",))
    monkeypatch.setattr(prints, "_code", {})
    first = code_print((), [str(tmp_path)])
    (tmp_path / "Babel-2.10.3.egg-info").rename(tmp_path / "Babel-2.12.1.egg-info")
    monkeypatch.setattr(prints, "_code", {})
    assert code_print((), [str(tmp_path)]) != first


def test_a_second_folder_of_distributions_counts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A virtual environment may see what the machine has besides, and pages are made of both."""
    (tmp_path / "holidays-0.100.dist-info").mkdir()
    assert str(tmp_path) not in installed_in(("babel",))
    monkeypatch.setattr(sys, "path", [*sys.path, str(tmp_path)])
    assert str(tmp_path) in installed_in(("babel",))


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    """Nobody may ever write into it; what cannot be told is an error, as of any other file."""
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(OSError, match="no file"):
        content_print([str(tmp_path)])


def _aged(*places: Path) -> None:
    """Wait until none of them has been changed within the second, by the clock of the disk."""
    until = max(place.lstat().st_ctime for place in places) + 0.05
    while time.time() < until:
        time.sleep(0.01)


def test_a_file_that_is_taken_out_of_a_folder_is_a_change(tmp_path: Path) -> None:
    """What was read of it is on the pages: the next night has to look."""
    weeks = tmp_path / "household" / "weeks"
    weeks.mkdir(parents=True)
    (weeks / "one.md").write_text("one")
    _aged(weeks, weeks / "one.md")
    before = newest([str(weeks.parent)])
    (weeks / "one.md").unlink()
    assert newest([str(weeks.parent)]) > before


def test_a_link_that_leads_somewhere_else_is_a_change(tmp_path: Path) -> None:
    """Even to a file that is older than the one before."""
    folder, old, new = tmp_path / "household", tmp_path / "old.ics", tmp_path / "new.ics"
    folder.mkdir()
    for file in (old, new):
        file.write_text("BEGIN:VCALENDAR")
    link, other = folder / "school.ics", tmp_path / "other"
    link.symlink_to(new)
    other.symlink_to(old)
    _aged(link, other, old, new, folder)
    before = newest([str(link)])
    os.replace(other, link)  # which changes no file
    assert newest([str(link)]) > before


def test_what_a_night_makes_beside_the_files_is_no_change(tmp_path: Path) -> None:
    """Else no night would ever be quiet."""
    state = tmp_path / "state"
    (tmp_path / "tasks.toml").write_text("")
    _aged(tmp_path, tmp_path / "tasks.toml")
    before = newest([str(tmp_path)], skip=[str(state)])
    state.mkdir()
    (state / "night.json").write_text("{}")
    assert newest([str(tmp_path)], skip=[str(state)]) == before
