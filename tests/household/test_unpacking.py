"""Zips from anywhere: nothing outside the folder, nothing too large, all or nothing."""

from __future__ import annotations

import io
import os
import stat
import struct
import zipfile
from pathlib import Path

import pytest

from tests.support.households import CONFIG
from weeksync.errors import HouseholdError, UsageError
from weeksync.household import packing, unpacking
from weeksync.household.packing import household_of, packed
from weeksync.household.unpacking import unpack
from weeksync.model.config import Config
from weeksync.read import parse_toml

FIRST = (1980, 1, 1, 0, 0, 0)


def zip_of(*entries: tuple[str, bytes], config: str = CONFIG) -> bytes:
    """A zip of `config.toml` and these files, their names as they are."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in (("config.toml", config.encode()), *entries):
            archive.writestr(zipfile.ZipInfo(name, FIRST), content, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()


def refused(content: bytes, tmp_path: Path) -> str:
    """What is said about a zip that is refused; nothing is written then."""
    place = tmp_path / "in.zip"
    place.write_bytes(content)
    with pytest.raises(HouseholdError) as caught:
        unpack(place, tmp_path / "deep" / "home")
    assert sorted(os.listdir(tmp_path)) == ["in.zip"]
    return " ".join([str(caught.value), *(str(one) for one in caught.value.problems)])


@pytest.mark.parametrize(
    "name",
    [
        "../tasks.toml",
        "weeks/../../tasks.toml",
        "/tasks.toml",
        "~/tasks.toml",
        "weeks//2027-W12.toml",
        "./tasks.toml",
        "C:tasks.toml",
        "weeks\\2027-W12.toml",
        "tasks.toml\x00.ics",
        "tasks\n.toml",
        "weeks/" + "x" * 300 + ".toml",
    ],
)
def test_a_name_that_is_no_plain_path_is_refused(name: str, tmp_path: Path) -> None:
    """Whatever program it was made for."""
    content = zip_of((name.replace("\x00", "!"), b"format = 1"))
    content = content.replace(name.replace("\x00", "!").encode(), name.encode())
    assert "cannot be trusted" in refused(content, tmp_path)


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR, stat.S_IFDIR])
def test_links_and_devices_are_refused(kind: int, tmp_path: Path) -> None:
    """Also a folder whose name is that of a file."""
    buffer = io.BytesIO(zip_of())
    info = zipfile.ZipInfo("tasks.toml", FIRST)
    info.create_system, info.external_attr = 3, (kind | 0o777) << 16
    with zipfile.ZipFile(buffer, "a") as archive:
        archive.writestr(info, "/etc/hostname")
    assert "no plain file" in refused(buffer.getvalue(), tmp_path)


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("tasks.toml", "tasks.toml"),
        ("tasks.toml", "Tasks.toml"),
        ("check-ins/2027-03-24-\u00e9.md", "check-ins/2027-03-24-e\u0301.md"),
        ("weeks/2027-W12.toml", "Weeks/2027-W13.toml"),
        ("weeks", "weeks/2027-W13.toml"),
        ("marks", "marks/"),
    ],
)
def test_names_that_are_one_file_somewhere_are_refused(
    first: str, second: str, tmp_path: Path
) -> None:
    """Written twice, in capitals, with another accent, or as file and folder."""
    assert "have one name" in refused(zip_of((first, b""), (second, b"")), tmp_path)


def test_a_bomb_is_refused_before_anything_is_unpacked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By the ratio of one file, by the sum of all, by their number."""
    assert "200 times" in refused(zip_of(("tasks.toml", b"#" * 10_000_000)), tmp_path)
    several = zip_of(("tasks.toml", b"#" * 2_000), ("habits.toml", b"#" * 2_000))
    monkeypatch.setattr(unpacking, "MOST_BYTES", 4_200)
    assert "more than" in refused(several, tmp_path)
    monkeypatch.setattr(unpacking, "MOST_FILES", 2)
    assert "more than" in refused(several, tmp_path)


def test_a_list_that_would_fill_the_memory_is_not_read(tmp_path: Path) -> None:
    """The end of the zip says how long its list is; that is looked at first."""
    content = bytearray(zip_of())
    at = content.rfind(b"PK\x05\x06")
    struct.pack_into("<L", content, at + 12, 0x7FFFFFFF)
    assert "more than" in refused(bytes(content), tmp_path)
    second = b"PK\x06\x07" + bytes(16)  # the record that a longer list has
    content = bytearray(zip_of())
    assert "more than" in refused(bytes(content[:at] + second + content[at:]), tmp_path)


@pytest.mark.parametrize("cut", [0, 10, 200, -30])
def test_what_is_no_zip_or_is_cut_off_is_told(cut: int, tmp_path: Path) -> None:
    """Nothing is written."""
    assert "no zip that can be read" in refused(zip_of()[:cut], tmp_path)


def test_a_zip_with_damage_inside_leaves_nothing_behind(tmp_path: Path) -> None:
    """The damage shows in the last file but one; what was written before is taken away again."""
    content = bytearray(zip_of(("weeks/2027-W12.toml", os.urandom(500))))
    content[content.find(b"weeks/2027-W12.toml") + 100] ^= 0xFF
    assert "damaged" in refused(bytes(content), tmp_path)


def test_an_encrypted_file_is_refused(tmp_path: Path) -> None:
    """Bit 0 of the flags, in the list at the end."""
    content = bytearray(zip_of())
    content[content.rfind(b"PK\x01\x02") + 8] |= 1
    assert "encrypted" in refused(bytes(content), tmp_path)


def test_a_zip_without_a_household_is_refused(tmp_path: Path) -> None:
    """No config.toml at its top, or one that cannot be used: the mistake is told."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("home/config.toml", CONFIG)
    assert "no config.toml in the zip" in refused(buffer.getvalue(), tmp_path)
    wrong = CONFIG.replace("time_zone", "timezone")
    assert "Europe/Lundun" in refused(
        zip_of(config=CONFIG.replace("Europe/London", "Europe/Lundun")), tmp_path
    )
    assert "qq_QQ" in refused(zip_of(config=CONFIG.replace("en_GB", "qq_QQ")), tmp_path)
    assert "time_zone" in refused(zip_of(config=wrong), tmp_path)


def test_foreign_files_are_listed_and_left_out(tmp_path: Path) -> None:
    """Among them what would let a device in, hidden files, and calendars nobody names."""
    names = ["state/access.json", ".profile", "run.sh", "other.ics", "weeks/sub/2027-W12.toml"]
    place = tmp_path / "in.zip"
    place.write_bytes(zip_of(("tasks.toml", b"format = 1\n"), *((name, b"x") for name in names)))
    home = tmp_path / "home"
    home.mkdir()  # an empty folder will do
    found = unpack(place, home)
    assert found.taken == ("config.toml", "tasks.toml")
    assert found.foreign == tuple(sorted(names))
    assert sorted(os.listdir(home)) == ["config.toml", "tasks.toml"]


def test_a_folder_that_holds_something_is_left_alone(tmp_path: Path) -> None:
    """Also a file, or a link that leads nowhere, in its place."""
    place = tmp_path / "in.zip"
    place.write_bytes(zip_of())
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / ".kept").write_text("mine")
    (tmp_path / "lost").symlink_to(tmp_path / "nowhere")
    for folder in (tmp_path / "full", tmp_path / "lost", place):
        with pytest.raises(UsageError, match="not empty"):
            unpack(place, folder)
    assert os.listdir(tmp_path / "full") == [".kept"]
    assert not (tmp_path / "nowhere").exists()


def config_of(text: str = CONFIG) -> Config:
    """The record of a config.toml."""
    config, _ = parse_toml("config.toml", text.encode(), Config)
    assert config is not None
    return config


def test_what_shrinks_like_a_bomb_is_packed_as_it_is(tmp_path: Path) -> None:
    """A zip of ours is never refused by us."""
    home = tmp_path / "home"
    home.mkdir()
    (home / "config.toml").write_text(CONFIG)
    (home / "tasks.toml").write_text("format = 1\n" + "#" * 1_000_000 + "\n")
    (tmp_path / "a.zip").write_bytes(packed(household_of(home, config_of()), {}))
    assert unpack(tmp_path / "a.zip", tmp_path / "b").taken == ("config.toml", "tasks.toml")


@pytest.mark.parametrize(
    ("names", "said"),
    [
        (["weeks/2027-W12.toml", "weeks/2027-w12.toml"], "would be one file elsewhere"),
        (["weeks/a\\b.toml"], "no zip can carry"),
    ],
)
def test_files_that_could_not_be_unpacked_elsewhere_are_told(
    names: list[str], said: str, tmp_path: Path
) -> None:
    """Before the zip is written."""
    (tmp_path / "weeks").mkdir()
    for name in ("config.toml", *names):
        (tmp_path / name).write_text(CONFIG)
    with pytest.raises(HouseholdError, match=said):
        household_of(tmp_path, config_of())


def test_half_a_household_is_not_packed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A pipe or a link that leads nowhere in the place of a file; too much of everything."""
    (tmp_path / "config.toml").write_text(CONFIG)
    os.mkfifo(tmp_path / "tasks.toml")
    with pytest.raises(HouseholdError, match=r"tasks\.toml is no file"):
        household_of(tmp_path, config_of())
    (tmp_path / "tasks.toml").unlink()
    (tmp_path / "tasks.toml").symlink_to("nowhere")
    with pytest.raises(HouseholdError, match="nothing was packed"):
        household_of(tmp_path, config_of())
    (tmp_path / "tasks.toml").unlink()
    monkeypatch.setattr(packing, "MOST_BYTES", 100)
    with pytest.raises(HouseholdError, match="more than"):
        household_of(tmp_path, config_of())
