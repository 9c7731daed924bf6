"""Opening the store: files and modes, the one writer, versions, damage and the way out."""

from __future__ import annotations

import os
import shutil
import sqlite3
import stat
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.support.pulls import indexed, pull_of
from weeksync.errors import StoreBusy, StoreDamaged, StoreError, StoreTooNew
from weeksync.store import Store
from weeksync.store.schema import MIGRATIONS, Migration

AT = datetime(2027, 3, 22, 6, tzinfo=UTC)
ADD_NOTE: Migration = (
    "ALTER TABLE source ADD COLUMN note TEXT NOT NULL DEFAULT ''",
    "UPDATE source SET note = 'seen'",
)
"""A step that a later version might bring."""


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """The state folder of a household whose family calendar holds 2,000 objects."""
    folder = tmp_path / "state"
    with Store.open(folder, write=True) as store:
        some = tuple(indexed(f"object-{number}") for number in range(2000))
        store.apply(*pull_of("family", {"home": some}), AT, [])
    return folder


def mode(path: Path) -> int:
    """The permission bits of a file."""
    return stat.S_IMODE(path.stat().st_mode)


def test_state_is_for_its_owner_only(tmp_path: Path) -> None:
    """Folder 0700, files 0600 even under an open umask, and an open folder is closed."""
    folder = tmp_path / "household" / "state"
    folder.mkdir(parents=True, mode=0o755)
    before = os.umask(0)
    try:
        with Store.open(folder, write=True) as store:
            store.set("key", "value")
            files = sorted(path.name for path in folder.iterdir())
            assert files == ["lock", "store.sqlite3", "store.sqlite3-shm", "store.sqlite3-wal"]
            assert {path.name: mode(path) for path in folder.iterdir()} == dict.fromkeys(
                files, 0o600
            )
    finally:
        os.umask(before)
    assert mode(folder) == 0o700


def test_reading_nothing_creates_nothing(tmp_path: Path) -> None:
    """Before the first pull a store for reading is empty, and no file or folder appears."""
    with Store.open(tmp_path / "state", write=False) as store:
        assert store.states() == {}
        assert store.known("family") == {}
        assert list(store.objects("family")) == []
        assert store.load_expansion("family", "key", AT.date(), AT.date()) is None
        assert (store.page_digests(), store.get("key")) == ({}, None)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("there", [True, False], ids=["a store", "nothing yet"])
def test_a_store_for_reading_changes_nothing(state: Path, there: bool) -> None:
    """Every method that changes something refuses."""
    folder = state if there else state / "none"
    with Store.open(folder, write=False) as store:
        assert store.writable is False
        with pytest.raises(StoreError, match="opened for reading only"):
            store.set("key", "value")


def test_a_second_writer_is_told_to_wait(state: Path) -> None:
    """One writer at a time; the message says how long was waited and what to do."""
    with Store.open(state, write=True):
        began = time.monotonic()
        with pytest.raises(StoreBusy, match=r"waited 0\.3 s for it\); run again when"):
            Store.open(state, write=True, wait=0.3)
        assert time.monotonic() - began >= 0.3
        with Store.open(state, write=False) as reader:
            assert len(reader.known("family")["home"].tags) == 2000
    with Store.open(state, write=True) as store:
        assert store.writable


def test_a_reader_sees_one_moment(state: Path) -> None:
    """What a writer commits meanwhile is there when the store is opened again."""
    with Store.open(state, write=True) as writer, Store.open(state, write=False) as reader:
        writer.set("key", "new")
        writer.record_failure("family", [], AT)
        assert reader.get("key") is None
        assert reader.states()["family"].failed is False
        with Store.open(state, write=False) as later:
            assert later.get("key") == "new"


def test_a_later_version_is_refused_and_named(state: Path) -> None:
    """A database of a later weeksync is not touched, by reader nor writer."""
    with Store.open(state, write=True, steps=(*MIGRATIONS, ADD_NOTE)):
        pass
    before = (state / "store.sqlite3").read_bytes()
    known = len(MIGRATIONS)
    said = rf"its version is {known + 1}, this one knows {known}\); update"
    for write in (True, False):
        with pytest.raises(StoreTooNew, match=said):
            Store.open(state, write=write)
    assert (state / "store.sqlite3").read_bytes() == before


def test_a_database_of_version_1_is_brought_up_to_date(state: Path) -> None:
    """A step is run once, with the data kept; a reader meanwhile sees it without writing it."""
    file, steps = state / "store.sqlite3", (*MIGRATIONS, ADD_NOTE)
    before = file.read_bytes()
    with Store.open(state, write=False, steps=steps) as reader:
        assert reader.connection.execute("SELECT note FROM source").fetchall() == [("seen",)]
        assert len(reader.known("family")["home"].tags) == 2000
    assert file.read_bytes() == before
    for _ in range(2):
        with Store.open(state, write=True, steps=steps) as store:
            assert store.connection.execute("PRAGMA user_version").fetchone() == (len(steps),)
            assert store.connection.execute("SELECT note FROM source").fetchall() == [("seen",)]
            assert len(store.known("family")["home"].tags) == 2000


def test_a_step_that_fails_leaves_the_version_before(state: Path) -> None:
    """Each step is a transaction: nothing of a failed one stays."""
    broken = (*ADD_NOTE, "UPDATE nowhere SET note = 1")
    with pytest.raises(StoreError, match="nowhere"):
        Store.open(state, write=True, steps=(*MIGRATIONS, broken))
    with Store.open(state, write=True) as store:
        columns = [row[1] for row in store.connection.execute("PRAGMA table_info(source)")]
        assert "note" not in columns
        assert len(store.known("family")["home"].tags) == 2000


def _garble_middle(file: Path) -> None:
    size = file.stat().st_size
    with file.open("r+b") as handle:
        for page in range(8192, size, 4096):  # the first two hold the header and the schema
            handle.seek(page)
            handle.write(b"\xff" * 64)


def _cut(file: Path) -> None:
    os.truncate(file, file.stat().st_size // 2)


def _not_a_database(file: Path) -> None:
    file.write_bytes(b"BEGIN:VCALENDAR\r\n" * 1000)


DAMAGES = [
    pytest.param(_not_a_database, id="not a database"),
    pytest.param(_garble_middle, id="pages overwritten"),
    pytest.param(_cut, id="cut off"),
]


def _read_all(folder: Path, write: bool) -> None:
    with Store.open(folder, write=write) as store:
        store.states()
        list(store.objects("family"))
        store.known("family")


@pytest.mark.parametrize("write", [True, False], ids=["writer", "reader"])
@pytest.mark.parametrize("damage", DAMAGES)
def test_damage_is_named_with_its_remedy(
    state: Path, damage: Callable[[Path], None], write: bool
) -> None:
    """The file and the command that starts a new one are in the message; nothing is deleted."""
    file = state / "store.sqlite3"
    damage(file)
    before = file.read_bytes()
    with pytest.raises(StoreDamaged, match=r"store\.sqlite3 is damaged .*pull --rebuild"):
        _read_all(state, write)
    assert file.read_bytes() == before


@pytest.mark.parametrize("damage", DAMAGES)
def test_a_damaged_store_is_set_aside(state: Path, damage: Callable[[Path], None]) -> None:
    """The file is renamed after the instant and never deleted; the new store is empty and works."""
    file = state / "store.sqlite3"
    damage(file)
    damaged = file.read_bytes()
    for name in ("store.sqlite3.20270322T060000Z", "store.sqlite3.20270322T060000Z-2"):
        with Store.open(state, write=True, rebuild=True, at=AT) as store:
            assert store.states() == {}
            store.apply(*pull_of("family", {"home": (indexed("a"),)}), AT, [])
        assert (state / name).exists()
    assert (state / "store.sqlite3.20270322T060000Z").read_bytes() == damaged
    _read_all(state, write=True)


def test_rebuilding_where_nothing_is(tmp_path: Path) -> None:
    """A rebuild without a file is a new store."""
    with Store.open(tmp_path / "state", write=True, rebuild=True, at=AT) as store:
        assert store.states() == {}
    with pytest.raises(ValueError, match="say at what instant"):
        Store.open(tmp_path / "state", write=True, rebuild=True)


def test_content_that_cannot_be_unpacked_is_damage(state: Path) -> None:
    """A feed whose packed bytes are spoilt is not handed out."""
    with Store.open(state, write=True) as store:
        store.connection.execute("UPDATE content SET packed = 1")
        with pytest.raises(StoreDamaged, match=r"pull --rebuild"):
            list(store.objects("family"))


def test_text_that_is_no_utf_8_is_damage(state: Path) -> None:
    """Spoilt bytes inside a row are told like a spoilt page."""
    with Store.open(state, write=True) as store:
        store.connection.execute("UPDATE source SET problems = CAST(x'ff' AS TEXT)")
        with pytest.raises(StoreDamaged, match=r"pull --rebuild"):
            store.states()


def test_the_lock_is_free_after_a_failed_opening(state: Path) -> None:
    """A damaged store does not keep the next run out."""
    _not_a_database(state / "store.sqlite3")
    for _ in range(2):
        with pytest.raises(StoreDamaged):
            Store.open(state, write=True)


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    """A file where the folder should be ends in a sentence with the place."""
    (tmp_path / "state").write_text("in the way")
    with pytest.raises(StoreError, match=r"state cannot be used: .*; see to the folder's owner"):
        Store.open(tmp_path / "state", write=True)
    (tmp_path / "other" / "store.sqlite3").mkdir(parents=True)
    for write in (True, False):
        with pytest.raises(StoreError, match=r"store\.sqlite3 cannot be used"):
            Store.open(tmp_path / "other", write=write)


def test_a_closed_store_says_so(state: Path) -> None:
    """No error of the database library comes through."""
    store = Store.open(state, write=False)
    store.close()
    store.close()
    with pytest.raises(StoreError, match="closed"):
        store.states()


def test_another_program_in_the_database_is_a_busy_store(state: Path) -> None:
    """Where a tool holds the database locked without our lock, that is said."""
    other = sqlite3.connect(state / "store.sqlite3", isolation_level=None)
    try:
        with Store.open(state, write=True) as store:
            other.execute("BEGIN IMMEDIATE")
            store.connection.execute("PRAGMA busy_timeout = 50")
            with pytest.raises(StoreBusy, match="in use by another program"):
                store.set("key", "value")
    finally:
        other.close()


@pytest.fixture
def read_only_state(state: Path) -> Iterator[Path]:
    """The same state in a folder that its owner, user 12345, may not write."""
    folder = Path(tempfile.mkdtemp())
    shutil.copy(state / "store.sqlite3", folder)
    if os.geteuid() == 0:
        for path in (folder, folder / "store.sqlite3"):
            os.chown(path, 12345, 12345)
    folder.chmod(0o500)
    yield folder
    folder.chmod(0o700)
    shutil.rmtree(folder)


CUT_SHORT = """\
import os, sqlite3, sys
connection = sqlite3.connect(sys.argv[1], isolation_level=None)
connection.execute("PRAGMA cache_size = 5")
connection.execute("CREATE TABLE first (a)")
connection.execute("BEGIN")
connection.executemany("INSERT INTO first VALUES (?)", [("x" * 900,)] * 900)
os._exit(9)
"""


def test_a_database_whose_making_was_cut_short_is_empty_to_readers(tmp_path: Path) -> None:
    """Who reads rolls nothing back; who writes next does."""
    file = tmp_path / "store.sqlite3"
    subprocess.run([sys.executable, "-c", CUT_SHORT, str(file)], check=False)
    assert file.with_name("store.sqlite3-journal").stat().st_size
    before = file.read_bytes()
    with Store.open(tmp_path, write=False) as store:
        assert store.states() == {}
    assert file.read_bytes() == before


def test_a_store_on_a_read_only_disk_can_be_read(read_only_state: Path) -> None:
    """As on a mounted backup: SQLite cannot put its side files there, and none are needed."""
    child = os.fork()
    if child == 0:
        status = 1
        try:
            if os.geteuid() == 0:
                os.setuid(12345)  # root may write anywhere
            with Store.open(read_only_state, write=False) as store:
                status = 0 if len(list(store.objects("family"))) == 2000 else 2
        finally:
            os._exit(status)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
    assert [path.name for path in read_only_state.iterdir()] == ["store.sqlite3"]
