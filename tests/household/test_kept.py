"""The household as it was read last: the same as reading its files, or nothing."""

from __future__ import annotations

import hashlib
import os
import pickle
import random
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.support.unprivileged import give_away, shared_folder, unprivileged
from weeksync import demo
from weeksync.household import read_household
from weeksync.household.disk import Disk
from weeksync.household.kept import PLACE, keep_household, kept_household
from weeksync.household.listing import BESIDE, CONFIG, FOLDERS, all_names
from weeksync.household.reading import MODELS

CODE = "this program"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """The demo household with files of every kind, as a night has kept it."""
    folder = demo.copy_to(tmp_path / "home")
    (folder / "state").mkdir()
    keep(folder)
    return folder


def keep(folder: Path) -> None:
    """What a night does when it has read the household."""
    keep_household(read_household(folder), folder, folder / "state", CODE)


def kept(folder: Path, code: str = CODE) -> object:
    """What the next night finds."""
    return kept_household(folder, folder / "state", code)


def test_it_is_what_reading_gives(home: Path) -> None:
    """Every record of every file, and the digests of the files."""
    read = read_household(home)
    assert read.marks
    assert read.check_ins
    assert read.weeks
    assert kept(home) == read


def test_what_is_looked_at_is_what_is_read(home: Path) -> None:
    """A file that is read and not looked at could change unseen."""
    disk = Disk(home)
    there = {name for name in all_names(disk) if (home / name).exists()}
    assert there == set(read_household(home).digests)
    assert {CONFIG, *BESIDE} == {CONFIG, *MODELS}
    assert {Path(name).parent.name for name in there} - {""} <= {folder for folder, _ in FOLDERS}


CHANGES: dict[str, Callable[[Path], object]] = {
    "another byte": lambda home: _edit(home / "habits.toml"),
    "another config": lambda home: _edit(home / CONFIG),
    "another mark": lambda home: _edit(next((home / "marks").glob("*.csv"))),
    "a file that is gone": lambda home: (home / "money.toml").unlink(),
    "a new file": lambda home: (home / "weeks" / "2027-W40.toml").write_text("format = 1\n"),
    "a year of tasks": lambda home: (home / "tasks-2019.toml").write_text("format = 1\n"),
    "another name": lambda home: (home / "habits.toml").rename(home / "tasks-2018.toml"),
    "a name a little off": lambda home: (home / "habit.toml").write_text("format = 1\n"),
    "a folder in its place": lambda home: _folder(home / "terms.toml"),
    "nothing kept": lambda home: (home / "state" / PLACE).unlink(),
    "half of what was kept": lambda home: os.truncate(home / "state" / PLACE, 2_000),
}


def _edit(place: Path) -> None:
    place.write_bytes(place.read_bytes() + b"\n")


def _folder(place: Path) -> None:
    place.unlink(missing_ok=True)
    place.mkdir()


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES.keys())
def test_after_a_change_the_files_are_read(home: Path, change: Callable[[Path], object]) -> None:
    """Whatever it is, and also where it is about what was kept."""
    change(home)
    assert kept(home) is None


def test_another_program_reads_the_files(home: Path) -> None:
    """It may read them otherwise."""
    assert kept(home, "another program") is None


def test_a_file_that_may_not_be_read_is_asked_for_again() -> None:
    """It may hold anything by now."""
    with shared_folder() as place:
        folder = demo.copy_to(place / "home")
        (folder / "state").mkdir()
        keep(folder)
        give_away(folder, *folder.rglob("*"))
        (folder / "habits.toml").chmod(0)

        def asked() -> None:
            assert kept(folder) is None

        unprivileged(asked)


def test_what_is_wrong_is_looked_at_every_night(home: Path) -> None:
    """A mistake is told each time, and what was kept before it is taken away."""
    (home / "tasks.toml").write_text("format = 1\n[[tasks]]\ntitle = 5\n")
    keep(home)
    assert not (home / "state" / PLACE).exists()


def test_it_is_for_its_owner_alone(home: Path) -> None:
    """There are check-ins in it."""
    assert stat.S_IMODE((home / "state" / PLACE).stat().st_mode) == 0o600


SECRETS = """
[[calendars]]
id = "office"
url = " https://files.home.arpa/qz-token-51/office.ics "

[[calendars]]
id = "choir"
caldav = "https://dav.home.arpa/qz-account-52/"
user = "qz-user-53"
password_command = ["keeper", "--key=qz-argument-54"]

[notify]
well_url = "https://monitor.home.arpa/qz-ping-55"
failed_command = ["ring", "qz-\\"bell\\"-56"]
"""


def test_no_secret_of_the_config_is_written_a_second_time(home: Path) -> None:
    """Addresses and words of commands may be secret, and `config.toml` is where they stand."""
    with (home / CONFIG).open("a") as file:
        file.write(SECRETS)
    keep(home)
    read = read_household(home)
    assert not read.problems
    assert kept(home) == read
    assert read.config.notify.failed_command == ("ring", 'qz-"bell"-56')  # written with escapes
    written = (home / "state" / PLACE).read_bytes()
    assert written.count(b"dentist") > 1  # what other files say is there to be found
    assert b"qz-" not in written
    assert b"home.arpa" not in written


def test_a_config_that_changed_meanwhile_is_not_kept(home: Path) -> None:
    """Its texts would be taken for those that were read; the night goes on whatever is in it."""
    read = read_household(home)
    (home / "state" / PLACE).unlink()
    for content in ((home / CONFIG).read_bytes() + b"\n", b"[[calend", b"", b"\xff"):
        (home / CONFIG).write_bytes(content)
        keep_household(read, home, home / "state", CODE)
        assert not (home / "state" / PLACE).exists()
    (home / CONFIG).unlink()
    keep_household(read, home, home / "state", CODE)
    assert not (home / "state" / PLACE).exists()


@pytest.mark.parametrize(
    "slip", [b"\xef\xbb\xbf%b", b"%b\n[[holidays]]\ndate = 2027-02-30\n"], ids=["BOM", "no day"]
)
def test_a_night_ends_well_with_what_only_our_reader_forgives(home: Path, slip: bytes) -> None:
    """What is wrong is said, and that is all."""
    (home / CONFIG).write_bytes(slip % (home / CONFIG).read_bytes())
    read = read_household(home)
    assert read.problems
    keep(home)
    assert not (home / "state" / PLACE).exists()


def test_without_a_folder_for_it_nothing_is_kept(tmp_path: Path) -> None:
    """And the night goes on."""
    folder = demo.copy_to(tmp_path / "home")
    keep(folder)
    assert not (folder / "state").exists()


def test_damage_never_gives_another_household(home: Path) -> None:
    """A bit here and there: the files are read, or it is the same household all the same."""
    place, read, dice = home / "state" / PLACE, read_household(home), random.Random(4)
    whole = place.read_bytes()
    for _ in range(300):
        spoilt = bytearray(whole)
        spoilt[dice.randrange(len(spoilt))] ^= 1 << dice.randrange(8)
        place.write_bytes(spoilt)
        assert kept(home) in (None, read)


class _Runs:
    """What a stranger would have run."""

    def __init__(self, what: object, *words: object) -> None:
        self.what, self.words = what, words

    def __reduce__(self) -> tuple[object, tuple[object, ...]]:
        return self.what, self.words


@pytest.mark.parametrize("what", [os.system, eval, print, Path, read_household])
def test_nothing_in_it_is_run(home: Path, what: object) -> None:
    """The folder may be shared with others, and who can write to it can write its digest, too."""
    trace = home / "trace"
    words = (f"touch {trace}",) if what is os.system else (f"open({str(trace)!r}, 'w')",)
    _put(home, pickle.dumps(_Runs(what, *words)))
    assert kept(home) is None
    assert not trace.exists()


def test_another_thing_in_its_place_is_no_household(home: Path) -> None:
    """Though it is a record of ours."""
    config = pickle.dumps(read_household(home).config)
    _put(home, config + config)
    assert kept(home) is None


def test_what_is_put_in_its_place_is_looked_at(home: Path) -> None:
    """The tests above would pass for nothing, were the file they write not taken."""
    read = read_household(home)
    _put(home, pickle.dumps(read.config) + pickle.dumps(read))
    assert kept(home) == read


def _put(home: Path, body: bytes) -> None:
    """The file with another content that its own digests agree with."""
    place = home / "state" / PLACE
    head = place.read_bytes()[: len(b"weeksync household 2\n") + 32]
    place.write_bytes(head + hashlib.sha256(body).digest() + body)
