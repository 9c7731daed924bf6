"""Pulls taken over by the store: objects, tokens, tags, groups, and what is kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from tests.support.pulls import ics, indexed, pull_of
from weeksync.errors import StoreError
from weeksync.message import counted, message
from weeksync.model.expanded import KeptExpansion
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import (
    IndexedObject,
    KnownCollection,
    Pulled,
    PulledCollection,
    RawObject,
    UidGroup,
)
from weeksync.store import Store

AT = datetime(2027, 3, 22, 6, tzinfo=UTC)
LATER = datetime(2027, 3, 29, 6, tzinfo=UTC)
PROBLEM = Problem(
    ProblemKind.OBJECT,
    counted("{count} event of {name}", "{count} events of {name}", 2, name="stall"),
    Place(source="stall"),
    message("mend it"),
)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A new store, open for writing."""
    with Store.open(tmp_path / "state", write=True) as opened:
        yield opened


def names(store: Store, source: str = "family") -> list[tuple[str, str]]:
    """(collection, name) of every object that is stored."""
    return [(one.collection, one.name) for one in store.objects(source)]


def kept_of(name: str, uid: str = "") -> list[tuple[str, IndexedObject]]:
    """What is kept of an object of "home" that has vanished."""
    return [("home", indexed(f"{name}#kept", uid=uid or name, last=date(2027, 3, 24)))]


def test_a_pull_is_taken_over_whole(store: Store) -> None:
    """Objects come back byte for byte, with tags, tokens, titles, groups and times."""
    large = ics("large") * 500  # large enough to be compressed
    first, second = indexed("a.ics", tag='"7"'), indexed("b.ics", content=large)
    store.apply(*pull_of("family", {"home": (first, second)}), AT, [PROBLEM])
    assert [one.content for one in store.objects("family")] == [first.raw.content, large]
    assert store.known("family") == {
        "home": KnownCollection("token-1", {"a.ics": '"7"', "b.ics": '"1"'})
    }
    assert store.collections("family") == {"home": "Home"}
    assert store.groups("family") == {"home": (*first.groups, *second.groups)}
    assert [one.digest for one in store.objects("family")] == [first.digest, second.digest]
    assert store.object_counts() == {"family": 2}
    assert store.entry_counts() == {"family": len(first.groups) + len(second.groups)}
    state = store.states()["family"]
    assert (state.last_tried, state.last_good, state.failed) == (AT, AT, False)
    assert state.problems == (PROBLEM,)


def test_a_second_pull_changes_only_what_it_names(store: Store) -> None:
    """Changed objects are replaced with their groups, gone ones dropped, others stay."""
    a, b, c = indexed("a"), indexed("b", last=None), indexed("c")
    store.apply(*pull_of("family", {"home": (a, b, c)}), AT, [])
    newer = indexed("a", tag='"2"', content=ics("a", "Moved"))
    pulled, index = pull_of(
        "family", {"home": (newer,)}, gone={"home": frozenset({"b"})}, sync="token-2"
    )
    assert store.preview_groups(pulled, index) == {"home": (*c.groups, *newer.groups)}
    store.apply(pulled, index, LATER, [])
    assert names(store) == [("home", "a"), ("home", "c")]
    assert store.known("family")["home"] == KnownCollection("token-2", {"a": '"2"', "c": '"1"'})
    assert set(store.groups("family")["home"]) == {*c.groups, *newer.groups}


def test_a_collection_the_pull_does_not_name_is_dropped(store: Store) -> None:
    """A calendar that a complete listing no longer has goes with its objects, past ones too."""
    past = indexed("past", last=date(2020, 1, 1))
    store.apply(*pull_of("family", {"home": (indexed("a"),), "old": (past,)}), AT, [])
    pulled, index = pull_of("family", {"home": ()})
    assert store.preview_groups(pulled, index) == {"home": indexed("a").groups}
    store.apply(pulled, index, LATER, [])
    assert names(store) == [("home", "a")]
    assert list(store.known("family")) == ["home"]


def test_sources_do_not_touch_each_other(store: Store) -> None:
    """The same names in two sources are two objects."""
    store.apply(*pull_of("family", {"home": (indexed("a"),)}), AT, [])
    store.apply(*pull_of("stall", {"home": (indexed("a"),)}), AT, [])
    store.apply(*pull_of("stall", {"home": ()}, gone={"home": frozenset({"a"})}), AT, [])
    assert (names(store), names(store, "stall")) == ([("home", "a")], [])


def test_what_is_kept_of_objects_that_vanished_is_unknown_to_pulls(store: Store) -> None:
    """It stays readable; the objects themselves are dropped."""
    past, later = indexed("past", last=date(2027, 3, 28)), indexed("later", last=None)
    store.apply(*pull_of("family", {"home": (past, later)}), AT, [])
    pulled, index = pull_of("family", {"home": ()}, gone={"home": frozenset({"past", "later"})})
    assert store.preview_groups(pulled, index) == {}
    store.apply(pulled, index, LATER, [], kept_of("past"))
    assert names(store) == [("home", "past#kept")]
    assert store.groups("family") == {}
    assert store.known("family")["home"].tags == {}


def test_what_is_kept_stays_where_the_whole_calendar_has_moved(store: Store) -> None:
    """From a file to the web, to another server: what happened did so all the same."""
    store.apply(*pull_of("family", {"home": (indexed("past"),)}), AT, [])
    gone = {"home": frozenset({"past"})}
    store.apply(*pull_of("family", {"home": ()}, gone=gone), LATER, [], kept_of("past"))
    store.apply(*pull_of("family", {"feed": (indexed("a"),), "more": ()}), LATER, [])
    assert names(store) == [("feed", "a"), ("feed", "past#kept")]
    store.apply(*pull_of("family", {"more": ()}), LATER, [])
    assert names(store) == []  # one of several calendars is gone with all of it


@pytest.mark.parametrize("collection", ["home", "other"])
def test_a_kept_object_gives_way_when_its_uid_comes_back(store: Store, collection: str) -> None:
    """A past event moved to another name or calendar is not there twice."""
    past = indexed("old-name", uid="dentist", last=date(2027, 3, 24))
    store.apply(*pull_of("family", {"home": (past,)}), AT, [])
    gone, kept = {"home": frozenset({"old-name"})}, kept_of("old-name", uid="dentist")
    store.apply(*pull_of("family", {"home": ()}, gone=gone), LATER, [], kept)
    assert names(store) == [("home", "old-name#kept")]
    again = indexed("new-name", uid="dentist", last=date(2027, 3, 24))
    store.apply(*pull_of("family", {"home": ()} | {collection: (again,)}), LATER, [])
    assert names(store) == [(collection, "new-name")]


def test_a_kept_object_whose_source_has_it_again_is_an_ordinary_one(store: Store) -> None:
    """It is known to the pull again, and one object."""
    past, gone = indexed("past", last=date(2027, 3, 24)), {"home": frozenset({"past"})}
    store.apply(*pull_of("family", {"home": (past,)}), AT, [])
    store.apply(*pull_of("family", {"home": ()}, gone=gone), LATER, [], kept_of("past"))
    store.apply(*pull_of("family", {"home": (past,)}), LATER, [])
    assert store.known("family")["home"].tags == {"past": '"1"'}
    assert names(store) == [("home", "past")]


def test_objects_that_are_as_they_were_may_have_new_tags(store: Store) -> None:
    """In a pull that brings something besides, and in one that brings nothing."""
    store.apply(*pull_of("family", {"home": (indexed("a"), indexed("b"))}), AT, [])
    pulled, index = pull_of("family", {"home": (indexed("c"),)})
    (one,) = pulled.collections
    store.apply(replace(pulled, collections=(replace(one, tags={"a": '"7"'}),)), index, LATER, [])
    tags = {"a": '"7"', "b": '"1"', "c": '"1"'}
    assert store.known("family")["home"].tags == tags
    bare = PulledCollection("home", token="next", tags={"b": '"8"'})
    store.renew("family", [bare], LATER, [])
    assert store.known("family")["home"] == KnownCollection("next", tags | {"b": '"8"'})


def test_a_failure_leaves_the_last_good_copy(store: Store) -> None:
    """Only the state says that the source was tried in vain, and why."""
    store.apply(*pull_of("family", {"home": (indexed("a"),)}), AT, [])
    store.record_failure("family", [PROBLEM], LATER)
    state = store.states()["family"]
    assert (state.last_tried, state.last_good, state.failed) == (LATER, AT, True)
    assert state.problems == (PROBLEM,)
    assert names(store) == [("home", "a")]
    store.apply(*pull_of("family", {"home": ()}), LATER, [])
    assert store.states()["family"].failed is False


def test_a_source_that_never_answered_has_no_copy(store: Store) -> None:
    """`last_good` is None where nothing was ever pulled."""
    store.record_failure("family", [PROBLEM], AT)
    state = store.states()["family"]
    assert (state.last_good, state.failed, state.collections) == (None, True, {})


def test_sources_no_longer_configured_are_forgotten(store: Store) -> None:
    """Objects, states and expansions go; what was entered by hand (source "") stays."""
    for source in ("family", "stall"):
        store.apply(*pull_of(source, {"home": (indexed("a"),)}), AT, [])
    for source in ("", "family", "stall"):
        store.save_expansion(source, KeptExpansion("key", (AT.date(), LATER.date()), "", ()))
    store.forget({"family"})
    assert list(store.states()) == ["family"]
    assert names(store, "stall") == []
    expanded = {
        source: store.load_expansion(source, "key", AT.date(), LATER.date()) is not None
        for source in ("", "family", "stall")
    }
    assert expanded == {"": True, "family": True, "stall": False}


def test_groups_can_be_replaced_without_a_pull(store: Store) -> None:
    """After a change of the rules of indexing the groups change; tags and tokens do not."""
    a, b = indexed("a"), indexed("b")
    store.apply(*pull_of("family", {"home": (a, b)}), AT, [])
    before = store.known("family")
    other = indexed("a", first=None, last=None)
    store.regroup("family", [("home", other), ("home", indexed("unknown"))])
    assert store.groups("family") == {"home": (*other.groups, *b.groups)}
    assert store.known("family") == before


def test_the_index_must_be_complete(store: Store) -> None:
    """A changed object without its index would be lost; nothing of such a pull is stored."""
    pulled, index = pull_of("family", {"home": (indexed("a"), indexed("b"))})
    with pytest.raises(ValueError, match="not indexed"):
        store.apply(pulled, index[:1], AT, [])
    with pytest.raises(ValueError, match="does not name"):
        store.apply(Pulled("family", (PulledCollection("x"),)), index, AT, [])
    assert store.states() == {}


def test_a_name_that_is_no_text_is_said(store: Store) -> None:
    """A file name that is no UTF-8 (PEP 383) ends in a sentence, and nothing is stored."""
    with pytest.raises(StoreError, match="rename it"):
        store.apply(*pull_of("family", {"home": (indexed("a\udcff.ics", uid="a"),)}), AT, [])
    assert store.states() == {}


def test_an_instant_without_a_zone_is_refused(store: Store) -> None:
    """Times of the store are instants."""
    with pytest.raises(ValueError, match="no zone"):
        store.record_failure("family", [], datetime(2027, 3, 22))


def touched(store: Store) -> set[tuple[str, str]]:
    """(collection, UID) of what was noted as changed, "" for an object; then it is forgotten."""
    found = set(store.connection.execute("SELECT collection, uid FROM touched"))
    store.connection.execute("DELETE FROM touched")
    return found


def several(*groups: UidGroup, digest: str = "d") -> IndexedObject:
    """An object of these groups."""
    return IndexedObject(RawObject("a.ics", "", b"x"), digest, groups)


def test_what_has_changed_is_noted_group_by_group(store: Store) -> None:
    """Groups that came, went or changed; not those that only have another place."""
    a, b, c, d = (UidGroup(name, "1", AT.date(), LATER.date()) for name in "abcd")
    store.apply(*pull_of("family", {"home": (several(a, b, c),)}), AT, [])
    assert touched(store) == set()  # there is no expansion that could be out of date
    store.save_expansion("family", KeptExpansion("key", (AT.date(), LATER.date()), "", ()))
    other = UidGroup("b", "2", AT.date(), LATER.date())
    store.apply(*pull_of("family", {"home": (several(c, d, other, digest="e"),)}), AT, [])
    assert touched(store) == {("home", ""), ("home", "a"), ("home", "b"), ("home", "d")}
    assert store.groups("family") == {"home": (c, d, other)}
    store.apply(*pull_of("family", {"home": (several(c, d, other, digest="e"),)}), LATER, [])
    assert touched(store) <= {("home", "")}
    gone = {"home": frozenset({"a.ics"})}
    store.apply(*pull_of("family", {"home": ()}, gone=gone), AT, [])
    assert touched(store) == {("home", ""), ("home", "b"), ("home", "c"), ("home", "d")}


def test_a_collection_that_is_dropped_is_noted(store: Store) -> None:
    """With all that was in it, though it goes with its source's word only."""
    store.apply(*pull_of("family", {"home": (indexed("a"),), "old": (indexed("b"),)}), AT, [])
    store.save_expansion("family", KeptExpansion("key", (AT.date(), LATER.date()), "", ()))
    store.apply(*pull_of("family", {"home": ()}), LATER, [])
    assert touched(store) == {("old", ""), ("old", "b")}
    assert not store.expansion_heads()["family"].touched
    store.apply(*pull_of("family", {"home": (indexed("c"),)}), LATER, [])
    assert store.expansion_heads()["family"].touched
    assert store.load_expansion("family", "key", AT.date(), LATER.date()) is None
