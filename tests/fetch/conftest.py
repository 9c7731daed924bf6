"""Servers for the tests of pulls: one of each kind for the whole run, a calendar per test."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count

import pytest

from tests.fetch.relayed import Relayed
from tests.support.feeds import WebServer, web_server
from tests.support.servers import CalDavServer, radicale, xandikos

_numbers = count(1)


@pytest.fixture
def web() -> Iterator[WebServer]:
    """A web server that does what it is told."""
    with web_server() as server:
        yield server


@pytest.fixture(scope="session")
def radicale_server() -> Iterator[CalDavServer]:
    """A Radicale on loopback; each test makes its own calendar in it."""
    with radicale(users=["dov"]) as server:
        yield server


@pytest.fixture(scope="session")
def xandikos_server() -> Iterator[CalDavServer]:
    """A Xandikos on loopback; each test makes its own calendar in it."""
    with xandikos() as server:
        yield server


@pytest.fixture
def fresh_name() -> str:
    """A name that no other test of this run uses."""
    return f"calendar-{next(_numbers)}"


@pytest.fixture
def relayed(radicale_server: CalDavServer, web: WebServer, fresh_name: str) -> Iterator[Relayed]:
    """Six events on Radicale behind a relay, pulled until a sync-token is in use."""
    path = radicale_server.make_calendar(fresh_name, title="Family")
    made = Relayed(radicale_server, web, path)
    made.meddle()
    for number in range(6):
        made.put(f"event-{number}", f"Lesson {number}")
    made.pull()
    made.pull()
    yield made
    radicale_server.delete(path)
