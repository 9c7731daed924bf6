"""When the pages were made stands beside them, and makes no page a new one."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

from weeksync.demo import copy_to
from weeksync.workflow import Context, open_store
from weeksync.workflow.build import build

MORNING = datetime(2027, 3, 24, 5, 40, tzinfo=UTC)


def household(folder: Path) -> Path:
    """The demo household with pages of two weeks."""
    home = copy_to(folder)
    config = home / "config.toml"
    few = re.sub(r"weeks_back = \d+\nweeks_ahead = \d+", "weeks_back = 0\nweeks_ahead = 1",
                 config.read_text())  # fmt: skip
    config.write_text(few)
    return home


def built(home: Path, now: datetime) -> str:
    """Build as of `now`; what the command says."""
    context = Context.read(home, now)
    with open_store(context) as store:
        outcome = build(context, store)
    return str(outcome.done[0])


def test_a_build_without_news_changes_nothing_but_the_age(tmp_path: Path) -> None:
    """An hour later: the same pages, told as such, and their age counts from then on."""
    home = household(tmp_path / "home")
    assert "weeks are ready" in built(home, MORNING)
    site = home / "output" / "site"
    before = {path.name: path.read_bytes() for path in site.iterdir()}
    assert 'built = "2027-03-24T05:40:00+00:00"' in (site / "status.js").read_text()
    assert built(home, MORNING + timedelta(hours=1)).startswith("Nothing has changed")
    after = {path.name: path.read_bytes() for path in site.iterdir()}
    assert {name for name in after if after[name] != before.get(name)} == {"status.js"}
    assert 'built = "2027-03-24T06:40:00+00:00"' in (site / "status.js").read_text()


def test_a_page_that_changed_is_told_as_before(tmp_path: Path) -> None:
    """The age is left out of the count, and nothing else is."""
    home = household(tmp_path / "home")
    built(home, MORNING)
    tasks = home / "tasks.toml"
    tasks.write_text(tasks.read_text().replace('title = "', 'title = "Now: ', 1))
    assert "weeks are ready" in built(home, MORNING)
