"""What can still be read of a damaged database, and that nothing else is taken for it."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from benchmarks.corpus import SIZES, calendar_text
from tests.support.pulls import ics, indexed, pull_of
from weeksync.calendar import index_object
from weeksync.model.pulled import RawObject
from weeksync.store import Store
from weeksync.store.salvage import salvage

AT = datetime(2027, 3, 22, 6, tzinfo=UTC)
NAMES = [f"object-{number}" for number in range(400)]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """A database of 400 objects, one of which its calendar has no more, without a log beside it."""
    first = tuple(indexed(name, content=ics(name, f"{name} " * 40)) for name in NAMES)
    with Store.open(tmp_path, write=True) as store:
        store.apply(*pull_of("family", {"home": first}), AT, [])
        store.apply(
            *pull_of("family", {"home": ()}, gone={"home": frozenset(NAMES[:1])}),
            datetime(2027, 4, 1, tzinfo=UTC),
            [],
            [("home", first[0])],
        )
        store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return tmp_path / "store.sqlite3"


def test_a_whole_database_is_salvaged_whole(file: Path) -> None:
    """Names, bytes and tags, and whether the calendar itself still has it."""
    found = {one.raw.name: one for one in salvage(file)}
    assert sorted(found) == sorted(NAMES)
    assert [name for name, one in found.items() if one.kept] == NAMES[:1]
    one = found["object-7"]
    assert (one.source, one.collection, one.title) == ("family", "home", "Home")
    assert one.raw.content == ics("object-7", "object-7 " * 40)
    assert one.last_good == datetime(2027, 4, 1, tzinfo=UTC)


@pytest.mark.parametrize("part", [0.3, 0.6, 0.9])
def test_a_hole_takes_only_what_lay_in_it(file: Path, part: float) -> None:
    """Two pages of zeros: whatever is salvaged is to the byte what was stored."""
    content = bytearray(file.read_bytes())
    at = int(len(content) * part) // 4096 * 4096
    content[at : at + 8192] = bytes(8192)
    file.write_bytes(content)
    for one in salvage(file):
        assert one.raw.content == ics(one.raw.name, f"{one.raw.name} " * 40)


def test_a_changed_letter_is_not_taken_over(file: Path) -> None:
    """The noted SHA-256 tells."""
    content = file.read_bytes()
    file.write_bytes(content.replace(b"SUMMARY:object-7 ", b"SUMMARY:objecd-7 "))
    names = {one.raw.name for one in salvage(file)}
    assert "object-7" not in names
    assert len(names) >= 398


@pytest.mark.parametrize("content", [b"", b"no database at all" * 400, None])
def test_of_what_is_no_database_nothing_is_salvaged(file: Path, content: bytes | None) -> None:
    """Nor of a file that is not there."""
    file.unlink()
    if content is not None:
        file.write_bytes(content)
    assert list(salvage(file)) == []


@pytest.mark.parametrize("missing", [False, True], ids=["whole", "a piece is gone"])
def test_a_large_text_is_salvaged_whole_or_not_at_all(tmp_path: Path, missing: bool) -> None:
    """It lies in pieces, and without one of them it is another text."""
    content = calendar_text(0, SIZES["small"])
    one = index_object("family", RawObject("large", '"1"', content))[0]
    assert len(one.pieces) > 9
    with Store.open(tmp_path, write=True) as store:
        store.apply(*pull_of("family", {"home": (one,)}), AT, [])
        if missing:
            store.connection.execute("DELETE FROM piece WHERE id = 5")
    found = [one.raw.content for one in salvage(tmp_path / "store.sqlite3")]
    assert found == ([] if missing else [content])
