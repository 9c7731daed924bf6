"""The canary household from its files on: pulled, planned, closed, and shared by real rules."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from tests.redact.reading import Read, everything, pulled
from tests.redact.test_canary import ALL
from tests.support.canary import WEEK, write_canary
from tests.support.canary_rules import RuleSet, may_be_seen
from weeksync.workflow.close import close_week
from weeksync.workflow.sharing_rules import redacted

SOME = replace(
    ALL,
    times="left out",
    busy_times=False,
    persons="left out",
    area_words=(True, False, True),
    words=(True, True),
    rules=(("word", True), (None, False)),
    calendars=("area", "title"),
)


@pytest.mark.parametrize("rules", [ALL, SOME], ids=["all", "some"])
def test_files_and_records_give_the_same_week(tmp_path: Path, canary: Read, rules: RuleSet) -> None:
    """What is judged in memory elsewhere is what a household on disk gives."""
    home = write_canary(tmp_path / "home", rules)
    shared = redacted(pulled(home), WEEK).shared
    in_files = replace(rules, entries=tuple(one for one in rules.entries if "health" not in one[0]))
    assert shared == canary.redacted(in_files).shared
    most = may_be_seen(home.words, rules)
    assert {
        place for word, place in home.found_in(everything(shared)).items() if word not in most
    } == set()


def test_a_closed_week_gives_no_more_than_the_open_one(tmp_path: Path) -> None:
    """The record has everything in it; shared of it is the same, and less when less is said."""
    home = write_canary(tmp_path / "home", ALL)
    context = pulled(home)
    open_week = redacted(context, WEEK).shared
    close_week(context, WEEK)
    record = (home.folder / "archive" / f"{WEEK}.json").read_text("utf-8")
    assert len(home.found_in(record)) > 100
    context = pulled(home)
    assert redacted(context, WEEK).shared == open_week
    home.write(RuleSet())
    shared = redacted(pulled(home), WEEK).shared
    assert home.found_in(everything(shared)) == {}
