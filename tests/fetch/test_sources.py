"""One suite for every kind of source: file, folder, feed, and two CalDAV servers."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from tests.fetch.desks import Desk, FeedDesk, FileDesk, FolderDesk, ServerDesk
from tests.fetch.kit import LIMITS, SMALL, Copy, changed, component, gone
from tests.support.servers import PASSWORD
from weeksync.errors import SourceMissing, SourceRefused, SourceUnreachable, SourceUnusable
from weeksync.model.limits import PullLimits

EVENT = component("event", "piano", "Piano lesson with Nora")
TODO = component("todo", "permit", "Renew the stall's permit")
JOURNAL = component("journal", "garden", "Pruned the pear tree – höchste Zeit")


@pytest.fixture(
    params=[
        "file",
        "folder",
        "feed",
        pytest.param("radicale", marks=pytest.mark.server),
        pytest.param("xandikos", marks=pytest.mark.server),
    ]
)
def desk(request: pytest.FixtureRequest, tmp_path: Path, fresh_name: str) -> Iterator[Desk]:
    """A calendar of each kind with an event, a to-do and a journal entry in it."""
    made: Desk
    match request.param:
        case "file":
            made = FileDesk(tmp_path)
        case "folder":
            made = FolderDesk(tmp_path)
        case "feed":
            made = FeedDesk(request.getfixturevalue("web"))
        case kind:
            made = ServerDesk(request.getfixturevalue(f"{kind}_server"), fresh_name)
    for name, content in (("one", EVENT), ("two", TODO), ("three", JOURNAL)):
        made.put(name, content)
    yield made
    with suppress(OSError):  # a test may have done it
        made.vanish()


def test_the_first_pull_brings_everything_byte_for_byte(desk: Desk) -> None:
    """What comes is what is there, seen without weeksync; events, to-dos and journal entries."""
    copy = Copy()
    pulled = copy.pull(desk.source())
    assert pulled.source == "family"
    assert pulled.problems == ()
    assert copy.contents() == desk.contents()
    everything = b"".join(copy.contents())
    for kind in (b"BEGIN:VEVENT", b"BEGIN:VTODO", b"BEGIN:VJOURNAL"):
        assert everything.count(kind) == 1
    assert "höchste Zeit".encode() in everything


def test_a_pull_after_which_nothing_changed_brings_nothing(desk: Desk) -> None:
    """Neither the second pull nor those after it, whatever the way to find changes is."""
    copy = Copy()
    copy.pull(desk.source())
    for _ in range(3):
        pulled = copy.pull(desk.source())
        assert not pulled.moved
        assert len(pulled.collections) == 1
    assert copy.contents() == desk.contents()


def test_one_change_brings_one_object(desk: Desk) -> None:
    """A changed text comes alone, also with the same length, right after the pull before."""
    copy = Copy()
    copy.pull(desk.source())
    for title in ("Piano lesson with Dov!", "Piano lesson with Eva!"):
        desk.put("one", component("event", "piano", title))
        pulled = copy.pull(desk.source())
        assert len(changed(pulled)) == 1
        assert title.encode() in changed(pulled)[0]
        assert gone(pulled) == []
        assert copy.contents() == desk.contents()


def test_what_was_deleted_is_gone(desk: Desk) -> None:
    """An object that is no more is named in `gone`; in one text for all, the text changes."""
    copy = Copy()
    copy.pull(desk.source())
    copy.pull(desk.source())
    desk.delete("two")
    pulled = copy.pull(desk.source())
    assert [name.rpartition("/")[2] for name in gone(pulled)] == (
        ["two.ics"] if desk.separate else []
    )
    assert copy.contents() == desk.contents()
    assert b"BEGIN:VTODO" not in b"".join(copy.contents())


def test_what_was_added_comes(desk: Desk) -> None:
    """A new object comes alone where objects are separate."""
    copy = Copy()
    copy.pull(desk.source())
    copy.pull(desk.source())
    desk.put("four", component("event", "market", "Market day"))
    pulled = copy.pull(desk.source())
    assert len(changed(pulled)) == 1
    assert copy.contents() == desk.contents()
    assert not copy.pull(desk.source()).moved


def test_many_changes_at_once_arrive_together(desk: Desk) -> None:
    """Change, deletion and addition between two pulls leave the copy as the calendar is."""
    copy = Copy()
    copy.pull(desk.source())
    copy.pull(desk.source())
    desk.put("one", component("event", "piano", "Piano lesson moved"))
    desk.delete("three")
    desk.put("five", component("todo", "seeds", "Order seeds"))
    copy.pull(desk.source())
    assert copy.contents() == desk.contents()


def test_a_pull_with_nothing_known_is_a_first_pull(desk: Desk) -> None:
    """A source keeps nothing between two pulls: what is handed in decides."""
    reader = desk.source()
    first = reader.pull({}, LIMITS)
    assert changed(reader.pull({}, LIMITS)) == changed(first)


def test_a_calendar_that_vanished_is_missing_and_never_empty(desk: Desk) -> None:
    """No calendar any more is an error, so that the last good copy stays."""
    copy = Copy()
    copy.pull(desk.source())
    desk.vanish()
    with pytest.raises(SourceMissing) as caught:
        copy.pull(desk.source())
    assert caught.value.source == "family"


def test_what_is_larger_than_the_cap_is_not_taken(desk: Desk) -> None:
    """A single text over the cap is refused; among others it is a problem and they come."""
    copy = Copy()
    desk.put("six", component("event", "large", "x" * 90_000))
    if not desk.separate:
        with pytest.raises(SourceUnusable, match="max_megabytes"):
            copy.pull(desk.source(), SMALL)
        return
    pulled = copy.pull(desk.source(), SMALL)
    assert len(pulled.problems) == 1
    assert len(changed(pulled)) == 3
    assert copy.contents() == {one for one in desk.contents() if len(one) < 60_000}


def test_a_wrong_password_is_refused(desk: Desk) -> None:
    """Also when the right one worked before; and the sentence does not hold it."""
    if not desk.has_login:
        assert desk.source("wrong").pull({}, LIMITS).moved  # files ask for no password
        return
    copy = Copy()
    copy.pull(desk.source())
    with pytest.raises(SourceRefused, match=r"config\.toml") as caught:
        copy.pull(desk.source("wrong-as-can-be"))
    assert "wrong-as-can-be" not in str(caught.value)


def test_a_source_has_no_more_time_than_its_budget(desk: Desk) -> None:
    """With no time left a server is not asked at all; files on disk need no budget."""
    none = PullLimits(timeout_seconds=1.0, budget_seconds=0.0)
    if not desk.has_login:
        assert desk.source().pull({}, none).moved
        return
    with pytest.raises(SourceUnreachable, match="budget_seconds"):
        desk.source().pull({}, none)


def test_a_source_shows_its_id_and_no_secret(desk: Desk) -> None:
    """The `repr` of a source can stand in any log."""
    shown = repr(desk.source())
    assert "family" in shown
    assert PASSWORD not in shown
    assert "private" not in shown
