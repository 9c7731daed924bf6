"""Counting what a pull may lose says no only where there is nothing to ask about."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.support.households import NOW
from tests.support.pulls import indexed, pull_of
from weeksync.model.config import CalendarSource
from weeksync.model.pulled import IndexedObject
from weeksync.store import Store
from weeksync.workflow.guard import questions_about
from weeksync.workflow.losses import may_lose

TODAY = date(2027, 3, 24)
FAMILY = CalendarSource(id="family", path="family.ics")

days = st.none() | st.integers(-3, 3).map(lambda by: TODAY + timedelta(days=by))
texts = st.dictionaries(st.integers(0, 25), days, max_size=25)
collections = st.dictionaries(st.sampled_from(["home", "work"]), texts, min_size=1)


def objects(found: Mapping[int, date | None], tag: str) -> tuple[IndexedObject, ...]:
    """An object of one group for each; its last day may be none."""
    return tuple(indexed(str(number), tag=tag, last=last) for number, last in found.items())


@settings(max_examples=60, deadline=None)
@given(before=collections, after=collections)
def test_no_question_is_passed_over(
    before: dict[str, dict[int, date | None]], after: dict[str, dict[int, date | None]]
) -> None:
    """Objects and collections that come, go and change: what is not counted is not asked."""
    with TemporaryDirectory() as folder, Store.open(Path(folder) / "state", write=True) as store:
        had = {name: objects(found, "1") for name, found in before.items()}
        store.apply(*pull_of("family", had), NOW, [])
        gone = {
            name: frozenset(str(one) for one in before[name].keys() - found.keys())
            for name, found in after.items()
            if name in before
        }
        has = {name: objects(found, "2") for name, found in after.items()}
        pulled, index = pull_of("family", has, gone=gone)
        asked = questions_about(
            FAMILY, store.groups("family"), store.preview_groups(pulled, index), TODAY
        )
        assert may_lose(store, pulled, index, TODAY) or asked == []


def test_a_pull_that_takes_little_away_is_not_looked_at_further(tmp_path: Path) -> None:
    """One of twenty gone, one changed: counting is enough."""
    ahead = dict.fromkeys(range(20), TODAY)
    with Store.open(tmp_path, write=True) as store:
        store.apply(*pull_of("family", {"home": objects(ahead, "1")}), NOW, [])
        changed = {"home": objects({1: TODAY}, "2")}
        pulled, index = pull_of("family", changed, gone={"home": frozenset({"0"})})
        assert not may_lose(store, pulled, index, TODAY)
