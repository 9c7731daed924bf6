"""Files and folders of them: what counts as one, what is a problem, what is read again."""

from __future__ import annotations

import gzip
import os
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from tests.fetch.kit import LIMITS, PIANO, SWIM, Copy, changed, gone, source
from weeksync.errors import SourceMissing, SourceRefused, SourceUnusable
from weeksync.fetch import files
from weeksync.model.problem import ProblemKind
from weeksync.model.pulled import KnownCollection

BROKEN = [
    pytest.param(b"", "is empty", id="empty"),
    pytest.param(b"\xef\xbb\xbf\r\n", "is empty", id="blank"),
    pytest.param(b"<!DOCTYPE html><p>Sign in", "web page", id="HTML"),
    pytest.param(b"name,date\r\nPiano,2027-03-22\r\n", "BEGIN:VCALENDAR", id="no calendar"),
    pytest.param(b" BEGIN:VCALENDAR\r\n", "BEGIN:VCALENDAR", id="only in a folded line"),
    pytest.param(PIANO[:-20], "cut off", id="cut"),
    pytest.param(PIANO + SWIM[:-20], "cut off", id="second one cut"),
    pytest.param(gzip.compress(PIANO), "gzip", id="packed"),
]


@pytest.mark.parametrize(("content", "says"), BROKEN)
def test_a_single_file_that_is_no_calendar_is_refused(
    tmp_path: Path, content: bytes, says: str
) -> None:
    """The sentence names the file and what is wrong with it."""
    (tmp_path / "family.ics").write_bytes(content)
    with pytest.raises(SourceUnusable, match=says) as caught:
        source(tmp_path, path="family.ics").pull({}, LIMITS)
    assert "family.ics" in str(caught.value)


@pytest.mark.parametrize(("content", "says"), BROKEN)
def test_a_broken_file_in_a_folder_keeps_its_last_good_copy(
    tmp_path: Path, content: bytes, says: str
) -> None:
    """It is neither changed nor gone, it is named, and the others are pulled."""
    (tmp_path / "piano.ics").write_bytes(PIANO)
    copy = Copy()
    copy.pull(source(tmp_path.parent, path=tmp_path.name))
    (tmp_path / "piano.ics").write_bytes(content)
    (tmp_path / "swim.ics").write_bytes(SWIM)
    pulled = copy.pull(source(tmp_path.parent, path=tmp_path.name))
    (problem,) = pulled.problems
    assert problem.kind is ProblemKind.OBJECT
    assert says in str(problem)
    assert "piano.ics" in str(problem)
    assert copy.objects["files"] == {"piano.ics": PIANO, "swim.ics": SWIM}


def test_names_are_paths_from_the_folder_on(tmp_path: Path) -> None:
    """In the order of names, folders below included; other files and hidden ones are left out."""
    for name in ("b.ics", "a.ICS", "school/terms.ics", "school/2027/spring.ics"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(PIANO)
    for name in ("notes.txt", "b.ics.bak", ".hidden.ics", ".git/a.ics"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(b"not for us")
    pulled = source(tmp_path.parent, path=tmp_path.name).pull({}, LIMITS)
    names = [raw.name for raw in pulled.collections[0].changed]
    assert names == ["a.ICS", "b.ics", "school/2027/spring.ics", "school/terms.ics"]
    assert pulled.problems == ()


def test_links_are_followed_and_circles_end(tmp_path: Path) -> None:
    """A file or a folder may lie elsewhere; a link back up is not followed for ever."""
    elsewhere = tmp_path / "elsewhere"
    folder = tmp_path / "family"
    elsewhere.mkdir()
    folder.mkdir()
    (elsewhere / "piano.ics").write_bytes(PIANO)
    (folder / "linked.ics").symlink_to(elsewhere / "piano.ics")
    (folder / "there").symlink_to(elsewhere)
    (elsewhere / "back").symlink_to(folder)
    (folder / "loop").symlink_to(folder / "loop")
    pulled = source(tmp_path, path="family").pull({}, LIMITS)
    names = [raw.name for raw in pulled.collections[0].changed]
    assert names == ["linked.ics", "there/piano.ics"]


def test_a_link_that_leads_nowhere_is_a_problem(tmp_path: Path) -> None:
    """What was behind it before stays: the disk it leads to may only be away."""
    (tmp_path / "piano.ics").write_bytes(PIANO)
    (tmp_path / "swim.ics").write_bytes(SWIM)
    copy = Copy()
    copy.pull(source(tmp_path.parent, path=tmp_path.name))
    (tmp_path / "piano.ics").unlink()
    (tmp_path / "piano.ics").symlink_to(tmp_path / "away.ics")
    pulled = copy.pull(source(tmp_path.parent, path=tmp_path.name))
    assert len(pulled.problems) == 1
    assert gone(pulled) == []


def test_pipes_and_folders_with_such_a_name_are_no_files(tmp_path: Path) -> None:
    """A pipe that nobody writes to would be waited for without end."""
    (tmp_path / "piano.ics").write_bytes(PIANO)
    os.mkfifo(tmp_path / "pipe.ics")
    (tmp_path / "folder.ics").mkdir()
    (tmp_path / "folder.ics" / "swim.ics").write_bytes(SWIM)
    pulled = source(tmp_path.parent, path=tmp_path.name).pull({}, LIMITS)
    assert len(changed(pulled)) == 2
    (problem,) = pulled.problems
    assert "pipe.ics" in str(problem)
    with pytest.raises(SourceUnusable):
        source(tmp_path, path="pipe.ics").pull({}, LIMITS)


def test_a_folder_without_any_calendar_is_refused(tmp_path: Path) -> None:
    """It may be the mount point of a disk that is away: nothing is said to be gone."""
    (tmp_path / "piano.ics").write_bytes(PIANO)
    copy = Copy()
    copy.pull(source(tmp_path.parent, path=tmp_path.name))
    (tmp_path / "piano.ics").unlink()
    with pytest.raises(SourceUnusable, match="mounted"):
        copy.pull(source(tmp_path.parent, path=tmp_path.name))


def test_a_path_through_a_file_is_missing(tmp_path: Path) -> None:
    """As is one that does not exist; the sentence has the path."""
    (tmp_path / "piano.ics").write_bytes(PIANO)
    for path in ("piano.ics/more.ics", "none.ics", "none/"):
        with pytest.raises(SourceMissing, match="does not exist"):
            source(tmp_path, path=path).pull({}, LIMITS)


def test_a_link_in_a_circle_is_unusable(tmp_path: Path) -> None:
    """Whatever else the system says is told in its words."""
    (tmp_path / "a.ics").symlink_to(tmp_path / "a.ics")
    with pytest.raises(SourceUnusable, match="cannot be read"):
        source(tmp_path, path="a.ics").pull({}, LIMITS)


def test_an_unchanged_file_is_not_read_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the disk says of it is enough once the file is some seconds old."""
    file, copy = tmp_path / "piano.ics", Copy()
    file.write_bytes(PIANO)
    copy.pull(source(tmp_path, path="piano.ics"))
    assert copy.known["files"].tags["piano.ics"].startswith("?-")  # may be written again unseen
    later = time.time_ns() + 3_600_000_000_000
    monkeypatch.setattr(time, "time_ns", lambda: later)
    assert not copy.pull(source(tmp_path, path="piano.ics")).moved
    assert not copy.known["files"].tags["piano.ics"].startswith("?-")
    monkeypatch.setattr(files, "flaw", unread)
    assert not copy.pull(source(tmp_path, path="piano.ics")).moved
    folder = Copy()
    with pytest.raises(AssertionError, match="it was read"):
        folder.pull(source(tmp_path.parent, path=tmp_path.name))
    monkeypatch.undo()
    folder.pull(source(tmp_path.parent, path=tmp_path.name))
    monkeypatch.setattr(time, "time_ns", lambda: later)
    folder.pull(source(tmp_path.parent, path=tmp_path.name))
    monkeypatch.setattr(files, "flaw", unread)
    assert not folder.pull(source(tmp_path.parent, path=tmp_path.name)).moved


def unread(content: bytes) -> None:
    """In the place of what looks at the bytes of a file."""
    raise AssertionError("it was read")


def test_a_change_whose_time_was_set_back_is_seen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As programs do that bring a file from elsewhere with its time, size and all."""
    file, copy = tmp_path / "piano.ics", Copy()
    file.write_bytes(PIANO)
    os.utime(file, (1_700_000_000, 1_700_000_000))
    later = time.time_ns() + 3_600_000_000_000
    monkeypatch.setattr(time, "time_ns", lambda: later)
    copy.pull(source(tmp_path, path="piano.ics"))
    file.write_bytes(PIANO.replace(b"Nora", b"Dora"))
    os.utime(file, (1_700_000_000, 1_700_000_000))
    assert len(changed(copy.pull(source(tmp_path, path="piano.ics")))) == 1


def test_a_file_touched_without_a_change_brings_nothing(tmp_path: Path) -> None:
    """The bytes decide, not the time."""
    file = tmp_path / "piano.ics"
    file.write_bytes(PIANO)
    copy = Copy()
    copy.pull(source(tmp_path, path="piano.ics"))
    os.utime(file, (1_700_000_000, 1_700_000_000))
    assert not copy.pull(source(tmp_path, path="piano.ics")).moved


def test_a_change_in_the_same_moment_and_of_the_same_size_is_seen(tmp_path: Path) -> None:
    """A file written just before the pull may be written again with the same time stamp."""
    file = tmp_path / "piano.ics"
    file.write_bytes(PIANO)
    stamp = file.stat().st_mtime_ns
    copy = Copy()
    copy.pull(source(tmp_path, path="piano.ics"))
    file.write_bytes(PIANO.replace(b"Nora", b"Dora"))
    os.utime(file, ns=(stamp, stamp))
    assert len(changed(copy.pull(source(tmp_path, path="piano.ics")))) == 1


def test_a_name_that_is_no_text_can_be_stored(tmp_path: Path) -> None:
    """File names are bytes; what is no UTF-8 in them is written as \\xNN."""
    with open(os.fsencode(tmp_path) + b"/gr\xfcn.ics", "wb") as file:
        file.write(PIANO)
    copy = Copy()
    copy.pull(source(tmp_path.parent, path=tmp_path.name))
    assert list(copy.objects["files"]) == ["gr\\xfcn.ics"]
    assert not copy.pull(source(tmp_path.parent, path=tmp_path.name)).moved


def test_a_path_may_begin_at_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """`~` is the user's home folder, and an absolute path stays one."""
    monkeypatch.setenv("HOME", str(tmp_path))
    (tmp_path / "piano.ics").write_bytes(PIANO)
    assert source(Path("/nowhere"), path="~/piano.ics").pull({}, LIMITS).moved
    assert source(Path("/nowhere"), path=str(tmp_path / "piano.ics")).pull({}, LIMITS).moved


def test_a_file_in_place_of_a_folder_takes_its_names_away(tmp_path: Path) -> None:
    """A path that was a folder and is a file now: the old names are gone, the new one is there."""
    folder = tmp_path / "family"
    folder.mkdir()
    (folder / "piano.ics").write_bytes(PIANO)
    copy = Copy()
    copy.pull(source(tmp_path, path="family"))
    (folder / "piano.ics").unlink()
    folder.rmdir()
    folder.write_bytes(SWIM)
    pulled = copy.pull(source(tmp_path, path="family"))
    assert gone(pulled) == ["piano.ics"]
    assert copy.objects["files"] == {"family": SWIM}


@contextmanager
def _as_nobody() -> Iterator[None]:
    """Without root's right to read everything; a user who is not root stays who it is."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


def test_what_may_not_be_read_is_refused_or_a_problem() -> None:
    """A single file: refused. In a folder: a problem, and what lies in a closed folder stays."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        folder.chmod(0o755)
        closed = folder / "closed"
        closed.mkdir()
        for path in (folder / "one.ics", folder / "two.ics", closed / "three.ics"):
            path.write_bytes(PIANO)
        copy = Copy()
        copy.pull(source(folder.parent, path=folder.name))
        assert len(copy.objects["files"]) == 3
        os.utime(folder / "one.ics", (1, 1))
        (folder / "one.ics").chmod(0)
        closed.chmod(0)
        with _as_nobody():
            with pytest.raises(SourceRefused):
                source(folder, path="one.ics").pull({}, LIMITS)
            pulled = copy.pull(source(folder.parent, path=folder.name))
        closed.chmod(0o700)
        assert gone(pulled) == []
        assert {"closed", "one.ics"} == {str(one.what).split()[0] for one in pulled.problems}


def test_a_folder_of_more_than_a_source_may_bring_comes_in_several_pulls(tmp_path: Path) -> None:
    """The first pull stops past its megabytes and says where; the next one goes on from there."""
    for name in "abc":
        (tmp_path / f"{name}.ics").write_bytes(PIANO)
        os.utime(tmp_path / f"{name}.ics", (1e9, 1e9))
    limits = replace(LIMITS, source_bytes=len(PIANO))
    where = source(tmp_path.parent, path=tmp_path.name)
    first = where.pull({}, limits)
    taken = first.collections[0].changed
    assert [raw.name for raw in taken] == ["a.ics", "b.ics"]
    assert "c.ics" in str(first.problems[0])
    assert "max_megabytes_per_source" in str(first.problems[0])
    tags = {raw.name: raw.tag for raw in taken}
    second = where.pull({"files": KnownCollection("", tags)}, limits)
    assert [raw.name for raw in second.collections[0].changed] == ["c.ics"]
    assert second.problems == ()


def test_a_link_to_a_folder_that_is_not_there_takes_nothing_away(tmp_path: Path) -> None:
    """A stick that is not plugged in: what it had stays, and that is said."""
    home, stick = tmp_path / "calendars", tmp_path / "stick"
    home.mkdir()
    stick.mkdir()
    (home / "piano.ics").write_bytes(PIANO)
    (stick / "swim.ics").write_bytes(SWIM)
    (home / "phone").symlink_to(stick)
    copy = Copy()
    copy.pull(source(tmp_path, path="calendars"))
    assert set(copy.objects["files"]) == {"piano.ics", "phone/swim.ics"}
    stick.rename(tmp_path / "away")
    pulled = copy.pull(source(tmp_path, path="calendars"))
    assert set(copy.objects["files"]) == {"piano.ics", "phone/swim.ics"}
    assert [str(one.what).split()[0] for one in pulled.problems] == ["phone"]
    (home / "phone").unlink()
    assert gone(copy.pull(source(tmp_path, path="calendars"))) == ["phone/swim.ics"]


@pytest.mark.parametrize("end", [b"\r", b"\n", b"\r\n"], ids=["CR", "LF", "CRLF"])
def test_lines_may_end_as_they_like(tmp_path: Path, end: bytes) -> None:
    """RFC 5545 wants CRLF; what reads the texts takes each of them."""
    (tmp_path / "piano.ics").write_bytes(PIANO.replace(b"\r\n", end))
    assert len(changed(source(tmp_path, path="piano.ics").pull({}, LIMITS))) == 1
    (tmp_path / "piano.ics").write_bytes(PIANO.replace(b"\r\n", end)[:-20])
    with pytest.raises(SourceUnusable, match="cut off"):
        source(tmp_path, path="piano.ics").pull({}, LIMITS)
