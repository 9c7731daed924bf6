"""The time that all servers together have: a slow one takes it from those after it, not more."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.fetch.kit import PIANO, SWIM
from tests.support.feeds import WebServer, feed, hang, web_server
from weeksync.workflow.context import Context
from weeksync.workflow.opening import open_store
from weeksync.workflow.outcome import Status
from weeksync.workflow.pull import pull

NOW = datetime(2027, 3, 20, 4, 0, tzinfo=UTC)
CONFIG = """format = 1
[household]
name = "Hedge End"
time_zone = "Europe/London"
locale = "en_GB"
[[people]]
id = "ines"
name = "Ines"
[pull]
at_once = 1
run_seconds = {seconds}
[[calendars]]
id = "first"
url = "{url}/first.ics"
[[calendars]]
id = "second"
url = "{url}/second.ics"
[[calendars]]
id = "file"
path = "file.ics"
"""


@pytest.fixture
def web() -> Iterator[WebServer]:
    """Two feeds."""
    with web_server() as server:
        for name in ("first", "second"):
            server[f"/{name}.ics"] = feed(PIANO, etag='"1"')
        yield server


def context(folder: Path, web: WebServer, seconds: int) -> Context:
    """The household, with so many seconds for a run."""
    (folder / "config.toml").write_text(CONFIG.format(seconds=seconds, url=web.url))
    return Context.read(folder, NOW)


def test_a_run_ends_when_its_time_is_over(tmp_path: Path, web: WebServer) -> None:
    """Who is not asked keeps its copy and says so; files need no time."""
    (tmp_path / "file.ics").write_bytes(PIANO)
    home = context(tmp_path, web, 900)
    with open_store(home) as store:
        assert not pull(home, store).problems
    (tmp_path / "file.ics").write_bytes(SWIM)
    web["/first.ics"] = hang
    web.seen.clear()
    home = context(tmp_path, web, 1)
    with open_store(home) as store:
        outcome = pull(home, store)
        states = store.states()
        kept = {name: [one.content for one in store.objects(name)] for name in states}
    assert outcome.status is Status.PROBLEMS
    assert [one.place.source for one in outcome.problems] == ["first", "second"]
    for one, name in zip(outcome.problems, ("first", "second"), strict=True):
        assert f"“{name}” was not done within the 1 s that" in str(one.what)
        assert "raise run_seconds under [pull]" in str(one.what)
    assert {one.path for one in web.seen} == {"/first.ics"}
    assert {name: one.failed for name, one in states.items()} == {
        "first": True,
        "second": True,
        "file": False,
    }
    assert kept == {"first": [PIANO], "second": [PIANO], "file": [SWIM]}
