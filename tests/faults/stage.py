"""What faults are played on: a web server in front of a Radicale, and households on them."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from itertools import count
from pathlib import Path

from tests.faults.faults import Fault
from tests.faults.home import Home
from tests.faults.playing import Row, play
from tests.support.feeds import WebServer, web_server
from tests.support.servers import CalDavServer, radicale

_ACCOUNTS = tuple(f"household-{number}" for number in range(12))


@dataclass
class Stage:
    """Servers for the whole run; every household has an account of its own."""

    folder: Path
    web: WebServer
    server: CalDavServer
    _numbers: Iterator[int] = field(default_factory=count)
    _home: Home | None = None

    @classmethod
    @contextmanager
    def set(cls, folder: Path) -> Iterator[Stage]:
        """The servers, running."""
        with (
            radicale(_ACCOUNTS) as server,
            web_server() as web,
        ):
            yield cls(folder, web, server)

    def home(self) -> Home:
        """The household that is played to, all well."""
        if self._home is None or not self._home.is_well:
            self._home = self.another()
        return self._home

    def another(self) -> Home:
        """A new one after two good nights."""
        account = _ACCOUNTS[next(self._numbers)]
        server = replace(self.server, user=account, home=f"/{account}/")
        server.send("PROPFIND", server.home)
        return Home.begun(self.folder / account, self.web, server)

    def played(self, fault: Fault) -> list[Row]:
        """The fault, to each kind."""
        return play(self.another() if fault.large else self.home(), fault)
