"""Files replaced whole or not at all, and read only within bounds."""

from __future__ import annotations

import os
import resource
import signal
import stat
from pathlib import Path

import pytest

from tests.support.unprivileged import give_away, shared_folder, unprivileged
from weeksync.errors import HouseholdError
from weeksync.household import replace_file
from weeksync.household.files import MOST_BYTES, clear_left_over, read_file
from weeksync.model.problem import Problem


def test_a_file_is_made_with_the_usual_mode(tmp_path: Path) -> None:
    """As any program makes one: 0666 less the umask; nothing else is left in the folder."""
    path = tmp_path / "tasks.toml"
    replace_file(path, b"format = 1\n")
    (tmp_path / "other").write_bytes(b"")
    assert path.read_bytes() == b"format = 1\n"
    assert path.stat().st_mode == (tmp_path / "other").stat().st_mode
    assert sorted(one.name for one in tmp_path.iterdir()) == ["other", "tasks.toml"]


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664])
def test_the_mode_is_kept(tmp_path: Path, mode: int) -> None:
    """A private file stays private, one shared with a group stays shared."""
    path = tmp_path / "tasks.toml"
    path.write_bytes(b"old")
    path.chmod(mode)
    replace_file(path, b"new")
    assert stat.S_IMODE(path.stat().st_mode) == mode
    assert path.read_bytes() == b"new"


def test_what_takes_the_place_of_a_private_file_is_private_from_the_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not only when it has got the mode of the file before: it could be opened until then."""
    place = tmp_path / "secret"
    place.write_bytes(b"one")
    place.chmod(0o600)
    made: list[int] = []
    real = os.fchmod

    def noted(number: int, mode: int) -> None:
        made.append(stat.S_IMODE(os.fstat(number).st_mode))
        real(number, mode)

    monkeypatch.setattr(os, "fchmod", noted)
    replace_file(place, b"two")
    assert made == [0o600]
    assert stat.S_IMODE(place.stat().st_mode) == 0o600


def test_it_is_another_file_under_the_same_name(tmp_path: Path) -> None:
    """Who has the old one open reads it to its end; it is never seen half written."""
    path = tmp_path / "tasks.toml"
    path.write_bytes(b"old")
    with path.open("rb") as file:
        replace_file(path, b"new")
        assert file.read() == b"old"


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Files kept elsewhere, as under version control, are replaced there."""
    real = tmp_path / "real"
    real.mkdir()
    (real / "tasks.toml").write_bytes(b"old")
    link = tmp_path / "tasks.toml"
    link.symlink_to(real / "tasks.toml")
    replace_file(link, b"new")
    assert link.is_symlink()
    assert (real / "tasks.toml").read_bytes() == b"new"


def test_a_folder_that_cannot_be_written_keeps_the_file() -> None:
    """The error names the file and the reason; the file is as it was."""
    with shared_folder() as folder:
        path = folder / "tasks.toml"
        path.write_bytes(b"old")
        give_away(path, folder)
        folder.chmod(0o555)

        def check() -> None:
            with pytest.raises(HouseholdError) as caught:
                replace_file(path, b"new")
            assert str(caught.value) == (
                f"{path} could not be written (Permission denied); the file is as it was"
            )

        unprivileged(check)
        assert path.read_bytes() == b"old"
        assert os.listdir(folder) == ["tasks.toml"]


def test_a_file_marked_read_only_is_left_alone() -> None:
    """A rename would go through; that is not what read-only says."""
    with shared_folder() as folder:
        path = folder / "tasks.toml"
        path.write_bytes(b"old")
        path.chmod(0o444)
        give_away(path, folder)

        def check() -> None:
            with pytest.raises(HouseholdError):
                replace_file(path, b"new")

        unprivileged(check)
        assert path.read_bytes() == b"old"


def test_a_write_that_fails_half_way_keeps_the_file() -> None:
    """A disk that is full (here: a limit on the size of files) loses nothing."""
    with shared_folder() as folder:
        path = folder / "tasks.toml"
        path.write_bytes(b"old")
        give_away(path, folder)

        def check() -> None:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (10, 10))
            with pytest.raises(HouseholdError) as caught:
                replace_file(path, b"new" * 100)
            assert "File too large" in str(caught.value)

        unprivileged(check)
        assert path.read_bytes() == b"old"
        assert os.listdir(folder) == ["tasks.toml"]


@pytest.mark.parametrize("name", ["missing/tasks.toml", "folder"])
def test_a_place_for_no_file(tmp_path: Path, name: str) -> None:
    """A folder that is missing, or one that stands where the file should."""
    (tmp_path / "folder").mkdir()
    with pytest.raises(HouseholdError):
        replace_file(tmp_path / name, b"new")
    assert os.listdir(tmp_path) == ["folder"]


def why(folder: Path, name: str) -> str:
    """Why a file cannot be read."""
    found = read_file(folder, name)
    assert isinstance(found, Problem)
    return str(found)


def test_reading_what_is_there_and_what_is_not(tmp_path: Path) -> None:
    """A missing file is no problem."""
    (tmp_path / "a").write_bytes(b"\x00\xff")
    assert read_file(tmp_path, "a") == b"\x00\xff"
    assert read_file(tmp_path, "b") is None


def test_what_is_no_file_is_not_opened(tmp_path: Path) -> None:
    """A folder, a pipe that nobody writes to, a link to nothing, a link to itself."""
    (tmp_path / "folder").mkdir()
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "nowhere").symlink_to(tmp_path / "gone")
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    remedy = "put a file there that you may read, or take it away"
    assert why(tmp_path, "folder") == f"folder: the file cannot be read (it is no file); {remedy}"
    assert why(tmp_path, "pipe") == f"pipe: the file cannot be read (it is no file); {remedy}"
    assert "leads nowhere" in why(tmp_path, "nowhere")
    assert "symbolic links" in why(tmp_path, "loop")


def test_a_file_over_the_bound_is_not_read(tmp_path: Path) -> None:
    """Sixteen megabytes; a sparse file of that size takes no room."""
    with (tmp_path / "big").open("wb") as file:
        file.truncate(MOST_BYTES + 1)
    assert why(tmp_path, "big") == (
        "big: the file is larger than 16 MB; put the right file there, or take it away"
    )


def test_a_file_one_may_not_read() -> None:
    """The reason is the system's."""
    with shared_folder() as folder:
        (folder / "a").write_bytes(b"")
        (folder / "a").chmod(0o000)
        unprivileged(lambda: _assert_denied(folder))


def _assert_denied(folder: Path) -> None:
    assert "Permission denied" in why(folder, "a")


def test_what_killed_runs_have_left_is_cleared_away(tmp_path: Path) -> None:
    """Temporary files of ours, an hour old; neither fresh ones nor anybody else's."""
    (tmp_path / "weeks").mkdir()
    names = [
        ".tasks.toml.0a1b2c3d.tmp",
        "weeks/.2027-W12.toml.0a1b2c3d.tmp",
        ".notes.tmp",
        "weeks/.of-another-program.tmp",
        "tasks.toml.0a1b2c3d.tmp",
    ]
    for name in names:
        (tmp_path / name).write_text("half")
        os.utime(tmp_path / name, (0, 0))
    fresh = tmp_path / ".tasks.toml.11111111.tmp"
    fresh.write_text("being written")
    clear_left_over(tmp_path)
    assert [name for name in names if (tmp_path / name).exists()] == names[2:]
    assert fresh.exists()
