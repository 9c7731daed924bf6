"""Putting the demo household down: where it may go and what is left alone."""

from __future__ import annotations

import hashlib
import tomllib
from pathlib import Path

import pytest

from weeksync import demo
from weeksync.errors import BuildError

FEEDS = {
    "home.ics": "a867e626b12522747b0f0ef196c7606319419992206ed4b1aa364a467c8a56a4",
    "lessons.ics": "91e729787ff1a6fdffccd9abf19ca5e9f349173e055aadb01004e89f60f3197d",
    "rota.ics": "affc2d907857420582ff8de9acfa8dfd09d8a16f5ca7b65af4c26186c6cc5412",
    "stall.ics": "bfb8a4113adb26b447a1c8915d84f970f86eb921de84213c51603174c037e3a8",
}
"""SHA-256 of the calendars that `expected.json` was worked out from."""


def contents(folder: Path) -> dict[str, bytes]:
    """POSIX path → bytes of every file below a folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }


def test_the_whole_folder_is_copied(tmp_path: Path) -> None:
    """Every file of the package's household arrives with the same bytes."""
    folder = demo.copy_to(tmp_path / "deep" / "household")
    assert folder == tmp_path / "deep" / "household"
    assert contents(folder) == contents(Path(demo.__file__).parent / "household")


def test_the_demo_can_have_another_locale(tmp_path: Path) -> None:
    """Its locale is replaced, nothing else; a run without it brings the own one back."""
    config = demo.copy_to(tmp_path / "demo", "ar_EG") / "config.toml"
    spoken = config.read_text("utf-8")
    plain = (demo.copy_to(tmp_path / "demo") / "config.toml").read_text("utf-8")
    assert tomllib.loads(spoken)["household"]["locale"] == "ar_EG"
    assert spoken.replace("ar_EG", "en_GB") == plain


def test_the_calendars_are_those_of_the_expected_figures(tmp_path: Path) -> None:
    """The feeds are byte for byte the ones that the expected figures were worked out from."""
    folder = demo.copy_to(tmp_path / "household")
    found = {
        path.name: hashlib.sha256(path.read_bytes()).hexdigest()
        for path in (folder / "calendars").iterdir()
    }
    assert found == FEEDS


def test_a_demo_that_is_there_starts_afresh(tmp_path: Path) -> None:
    """A second copy puts changed and lost files back and keeps what the demo does not have."""
    folder = demo.copy_to(tmp_path)
    before = contents(folder)
    (folder / "tasks.toml").write_text("format = 1\n")
    (folder / "money.toml").unlink()
    (folder / "state").mkdir()
    (folder / "state" / "store.sqlite3").write_bytes(b"kept")
    demo.copy_to(folder)
    assert contents(folder) == before | {"state/store.sqlite3": b"kept"}


def test_a_copy_that_was_cut_short_can_be_repeated(tmp_path: Path) -> None:
    """The first file written marks the folder as the demo's, so a broken copy is no obstacle."""
    whole = demo.copy_to(tmp_path / "whole")
    cut = tmp_path / "cut"
    cut.mkdir()
    (cut / "config.toml").write_bytes((whole / "config.toml").read_bytes())
    assert contents(demo.copy_to(cut)) == contents(whole)


@pytest.mark.parametrize(
    "config",
    [
        pytest.param(b'format = 1\n[household]\nname = "Ours"\n', id="renamed"),
        pytest.param(b"format = ", id="broken"),
        pytest.param(b"\xff\xfe", id="no-text"),
        pytest.param(b'household = "The Marlowicks"\n', id="another-shape"),
        pytest.param(None, id="no-config"),
    ],
)
def test_anything_else_is_left_alone(tmp_path: Path, config: bytes | None) -> None:
    """A folder that is no demo household is refused with its name, and nothing in it changes."""
    folder = tmp_path / "household"
    folder.mkdir()
    (folder / "tasks.toml").write_bytes(b"format = 1\n")
    if config is not None:
        (folder / "config.toml").write_bytes(config)
    before = contents(folder)
    with pytest.raises(BuildError) as caught:
        demo.copy_to(folder)
    assert str(folder) in str(caught.value)
    assert contents(folder) == before


def test_a_file_in_the_way_is_refused(tmp_path: Path) -> None:
    """A file where the folder should be, or above it, is an error that names the place."""
    (tmp_path / "file").write_bytes(b"mine")
    for folder in (tmp_path / "file", tmp_path / "file" / "household"):
        with pytest.raises(BuildError, match="file"):
            demo.copy_to(folder)
    assert (tmp_path / "file").read_bytes() == b"mine"
