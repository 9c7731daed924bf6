"""Several processes, sudden death and a full disk: the store is as before the call, or after it."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.support.pulls import ics, indexed, pull_of
from weeksync.errors import StoreError
from weeksync.model.pulled import IndexedObject, UidGroup
from weeksync.store import Store

AT = datetime(2027, 3, 22, 6, tzinfo=UTC)
LATER = datetime(2027, 3, 29, 6, tzinfo=UTC)
ROOT = Path(__file__).parents[2]

WRITER = """
import sys
from pathlib import Path
from tests.store.test_processes import LATER, many
from tests.support.pulls import pull_of
from weeksync.store import Store

with Store.open(Path(sys.argv[1]), write=True) as store:
    print("open", flush=True)
    for line in sys.stdin:
        tag = line.strip()
        store.apply(*pull_of("family", {"home": many(tag)}, sync=tag), LATER, [])
        print("applied", tag, flush=True)
"""

KILLED = """
import sys
from pathlib import Path
from tests.store.test_processes import LATER, deadly
from tests.support.pulls import pull_of
from weeksync.store import Store

with Store.open(Path(sys.argv[1]), write=True) as store:
    store.connection.execute("PRAGMA cache_size = 10")  # so that pages go to the disk at once
    store.apply(*pull_of("family", {"home": deadly(int(sys.argv[2]))}, sync="new"), LATER, [])
"""


def many(tag: str, count: int = 500) -> tuple[IndexedObject, ...]:
    """Objects of the same names whose tag and content say which pull they are from."""
    return tuple(
        indexed(f"object-{number}", tag=tag, content=ics(f"object-{number}", tag * 100))
        for number in range(count)
    )


class DeadlyGroups(tuple[UidGroup, ...]):
    """Groups whose reading kills the process, as a power cut would."""

    __slots__ = ()

    def __iter__(self) -> Iterator[UidGroup]:
        os.kill(os.getpid(), signal.SIGKILL)
        return super().__iter__()


def deadly(position: int) -> tuple[IndexedObject, ...]:
    """500 new objects, of which the one at `position` kills the process when it is stored."""
    objects = list(many("new"))
    one = objects[position]
    objects[position] = IndexedObject(one.raw, one.digest, DeadlyGroups(one.groups))
    return tuple(objects)


@pytest.fixture
def state(tmp_path: Path) -> Path:
    """The state folder after a first pull of 500 objects with the tag `old`."""
    folder = tmp_path / "state"
    with Store.open(folder, write=True) as store:
        store.apply(*pull_of("family", {"home": many("old")}, sync="old"), AT, [])
    return folder


def seen(folder: Path) -> tuple[str, set[str], set[bytes], datetime | None]:
    """(token, tags, contents, last good) as a reader sees them."""
    with Store.open(folder, write=False) as store:
        known = store.known("family")["home"]
        contents = {one.content.split(b"SUMMARY:")[1][:3] for one in store.objects("family")}
        return known.token, set(known.tags.values()), contents, store.states()["family"].last_good


OLD = ("old", {"old"}, {b"old"}, AT)


@pytest.mark.parametrize("position", [0, 250, 499])
def test_killed_in_the_middle_of_a_pull(state: Path, position: int) -> None:
    """After kill -9 data and token are those before the pull, and the next pull works."""
    done = subprocess.run(
        [sys.executable, "-c", KILLED, str(state), str(position)], cwd=ROOT, check=False
    )
    assert done.returncode == -signal.SIGKILL
    # The death came late enough: pages of the unfinished transaction are on the disk.
    assert (state / "store.sqlite3-wal").stat().st_size > 100_000
    assert seen(state) == OLD
    with Store.open(state, write=True) as store:
        assert len(store.groups("family")["home"]) == 500
        store.apply(*pull_of("family", {"home": many("new")}, sync="new"), LATER, [])
    assert seen(state) == ("new", {"new"}, {b"new"}, LATER)


def test_one_process_writes_while_another_reads(state: Path) -> None:
    """A reader is never refused and never sees half a pull."""
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, str(state)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    ) as writer:
        assert writer.stdin is not None
        assert writer.stdout is not None
        assert writer.stdout.readline() == "open\n"
        tags = [f"t{number:02}" for number in range(12)]
        writer.stdin.write("".join(f"{tag}\n" for tag in tags))
        writer.stdin.close()
        views = []
        while writer.poll() is None:
            views.append(seen(state))
        assert writer.returncode == 0
    for token, its_tags, contents, _ in views:
        assert its_tags == {token}
        assert contents == {token.encode()}
    assert len({token for token, *_ in views}) > 1, "no reader ran beside the writer"
    assert seen(state)[0] == "t11"


def test_a_database_that_may_not_grow(state: Path) -> None:
    """Out of room by SQLite's own limit: a sentence with the remedy, and the old state."""
    with Store.open(state, write=True) as store:
        (pages,) = store.connection.execute("PRAGMA page_count").fetchone()
        store.connection.execute(f"PRAGMA max_page_count = {pages + 10}")
        with pytest.raises(StoreError, match=r"cannot grow .*is full.*make room"):
            store.apply(*pull_of("family", {"home": many("new", 5000)}, sync="new"), LATER, [])
        store.set("small", "still works")
    assert seen(state) == OLD


def test_a_disk_that_takes_no_more(state: Path) -> None:
    """Out of room by the operating system's limit on files: StoreError, and the old state."""
    child = os.fork()
    if child == 0:
        status = 1
        try:
            with Store.open(state, write=True) as store:
                size = (state / "store.sqlite3").stat().st_size
                resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))
                signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
                try:
                    new = many("new", 5000)
                    store.apply(*pull_of("family", {"home": new}, sync="new"), LATER, [])
                except StoreError:
                    status = 0
        finally:
            os._exit(status)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
    assert seen(state) == OLD
