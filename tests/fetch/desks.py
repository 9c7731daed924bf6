"""A calendar of each kind that a test can change, and the source that reads it."""

from __future__ import annotations

import shutil
from abc import ABC, abstractmethod
from pathlib import Path

from typing_extensions import override

from tests.fetch.kit import plain, source, text
from tests.support.feeds import WebServer, basic, feed, status
from tests.support.servers import PASSWORD, USER, CalDavServer
from weeksync.fetch import Source


class Desk(ABC):
    """A calendar of one kind that a test can change, and the source that reads it."""

    separate = True
    """Whether each component is an object of its own."""
    has_login = False

    @abstractmethod
    def put(self, name: str, content: bytes) -> None:
        """Write or replace one component."""

    @abstractmethod
    def delete(self, name: str) -> None:
        """Take one component away."""

    @abstractmethod
    def vanish(self) -> None:
        """Take the whole calendar away."""

    @abstractmethod
    def source(self, password: str = PASSWORD) -> Source:
        """The source that reads it."""

    @abstractmethod
    def contents(self) -> set[bytes]:
        """The texts that are there now, found out without weeksync."""


class FileDesk(Desk):
    """One file with everything in it."""

    separate = False

    def __init__(self, folder: Path) -> None:
        self.path = folder / "family.ics"
        self._parts: dict[str, bytes] = {}

    @override
    def put(self, name: str, content: bytes) -> None:
        self._parts[name] = content
        self.path.write_bytes(text(*self._parts.values()))

    @override
    def delete(self, name: str) -> None:
        del self._parts[name]
        self.path.write_bytes(text(*self._parts.values()))

    @override
    def vanish(self) -> None:
        self.path.unlink()

    @override
    def source(self, password: str = PASSWORD) -> Source:
        return source(self.path.parent, path=self.path.name)

    @override
    def contents(self) -> set[bytes]:
        return {plain(self.path.read_bytes())}


class FolderDesk(Desk):
    """A folder with a file each, one of them in a folder below."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "family"
        (self.path / "school").mkdir(parents=True)

    @override
    def put(self, name: str, content: bytes) -> None:
        self._file(name).write_bytes(text(content))

    @override
    def delete(self, name: str) -> None:
        self._file(name).unlink()

    @override
    def vanish(self) -> None:
        shutil.rmtree(self.path)

    @override
    def source(self, password: str = PASSWORD) -> Source:
        return source(self.path.parent, path="family")

    @override
    def contents(self) -> set[bytes]:
        return {plain(file.read_bytes()) for file in self.path.rglob("*.ics")}

    def _file(self, name: str) -> Path:
        return self.path / ("school" if name == "two" else ".") / f"{name}.ics"


class FeedDesk(Desk):
    """A feed with a login, with everything in it."""

    separate = False
    has_login = True

    def __init__(self, web: WebServer) -> None:
        self._web = web
        self._parts: dict[str, bytes] = {}
        self._edition = 0

    @override
    def put(self, name: str, content: bytes) -> None:
        self._parts[name] = content
        self._serve()

    @override
    def delete(self, name: str) -> None:
        del self._parts[name]
        self._serve()

    @override
    def vanish(self) -> None:
        self._web["/private/family.ics"] = status(404)

    @override
    def source(self, password: str = PASSWORD) -> Source:
        return source(url=f"{self._web.url}/private/family.ics", user=USER, password=password)

    @override
    def contents(self) -> set[bytes]:
        return {plain(text(*self._parts.values()))}

    def _serve(self) -> None:
        self._edition += 1
        content = feed(text(*self._parts.values()), etag=f'"{self._edition}"', packed=True)
        self._web["/private/family.ics"] = basic(USER, PASSWORD, content)


class ServerDesk(Desk):
    """A calendar on a CalDAV server, with an object each."""

    has_login = True

    def __init__(self, server: CalDavServer, name: str) -> None:
        self._server = server
        self._name = name
        self._path = server.make_calendar(name, title=name.title())
        self._names: set[str] = set()

    @override
    def put(self, name: str, content: bytes) -> None:
        self._names.add(name)
        self._server.put(f"{self._path}{name}.ics", text(content))

    @override
    def delete(self, name: str) -> None:
        self._names.remove(name)
        self._server.delete(f"{self._path}{name}.ics")

    @override
    def vanish(self) -> None:
        self._server.delete(self._path)

    @override
    def source(self, password: str = PASSWORD) -> Source:
        address = self._server.url.rstrip("/") + self._path
        return source(caldav=address, user=USER, password=password)

    @override
    def contents(self) -> set[bytes]:
        return {plain(self._server.get(f"{self._path}{name}.ics")) for name in self._names}
