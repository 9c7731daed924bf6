"""A calendar on a real server behind a relay that can meddle with what goes through."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from dataclasses import field as dataclass_field

from tests.fetch.kit import LIMITS, Copy, component, plain, source, text
from tests.support.feeds import Answer, Behaviour, Exchange, WebServer, relay
from tests.support.servers import PASSWORD, USER, CalDavServer
from weeksync.fetch import Source
from weeksync.model.limits import PullLimits
from weeksync.model.pulled import Pulled


@dataclass
class Relayed:
    """A calendar of six events on Radicale behind a relay, and our copy of it."""

    server: CalDavServer
    web: WebServer
    path: str
    copy: Copy = dataclass_field(default_factory=Copy)

    def put(self, name: str, title: str) -> None:
        """Write one event."""
        self.server.put(f"{self.path}{name}.ics", text(component("event", name, title)))

    def source(self) -> Source:
        """The calendar's source, by way of the relay."""
        return source(caldav=self.web.url + self.path, user=USER, password=PASSWORD)

    def pull(self, limits: PullLimits = LIMITS) -> Pulled:
        """Pull into the copy."""
        self.web.seen.clear()
        return self.copy.pull(self.source(), limits)

    def meddle(
        self,
        instead: Callable[[Exchange], Behaviour | None] = lambda _: None,
        edit: Callable[[Exchange, Answer], Answer] = lambda _, real: real,
    ) -> None:
        """Change what comes through from now on; without arguments nothing."""
        self.web.other = relay(self.server.url, instead=instead, edit=edit)

    def kinds(self) -> list[str]:
        """The requests of the last pull that were let in, in words."""
        return [
            kind(one.method, one.body)
            for one in self.web.seen
            if one.headers["Authorization"] is not None
        ]

    def contents(self) -> set[bytes]:
        """What the server itself hands out."""
        return {plain(self.server.get(path)) for path in self.server.names(self.path)}


def kind(method: str, body: bytes) -> str:
    """One request in a word: list, sync, multiget, get."""
    if method == "GET":
        return "get"
    if b"sync-collection" in body:
        return "sync"
    if b"calendar-multiget" in body:
        return "multiget"
    return "account" if b"current-user-principal" in body else "list"


def only(wanted: str, behaviour: Behaviour) -> Callable[[Exchange], Behaviour | None]:
    """The behaviour in place of each request of one kind."""
    return lambda exchange: behaviour if kind(exchange.method, exchange.body) == wanted else None
