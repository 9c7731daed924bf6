"""Calendars of a corpus on a Radicale of loopback, and how many requests it was sent."""

from __future__ import annotations

import base64
import json
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

USER = "ada"
_PASSWORD = "any-will-do"  # noqa: S105 - the server asks for none of its own
_READY_SECONDS = 60.0
_PATIENCE_SECONDS = 300.0
OBJECTS = 500
"""Objects of each calendar: Radicale reads each once by itself, ten times as slowly as we do."""
_ASKED = b" request for "
"""What Radicale's log says of each request at level `info`."""

_ALL_TAGS = b'<propfind xmlns="DAV:"><prop><getetag/></prop></propfind>'
_ALL_CHANGES = (
    b'<sync-collection xmlns="DAV:"><sync-token/><sync-level>1</sync-level>'
    b"<prop><getetag/></prop></sync-collection>"
)


@dataclass(frozen=True, slots=True)
class CalDavHome:
    """The running server: where its calendars are, and its log."""

    addresses: tuple[str, ...]
    log: Path

    def requests(self) -> int:
        """How many requests have come in so far."""
        return self.log.read_bytes().count(_ASKED)


@contextmanager
def caldav_home(folder: Path, calendars: list[Path]) -> Iterator[CalDavHome]:
    """A Radicale that holds these calendar files, one object for each UID.

    `folder` had better lie in memory: it waits for the disk with every object it lists.
    """
    root = folder / "collections" / "collection-root" / USER
    names = [path.stem for path in calendars]
    for name, path in zip(names, calendars, strict=True):
        _fill(root / name, path.read_bytes())
    with socket.create_server(("127.0.0.1", 0)) as free:
        port: int = free.getsockname()[1]
    (folder / "config").write_text(
        f"[server]\nhosts = 127.0.0.1:{port}\n[auth]\ntype = none\ndelay = 0\n"
        f"[storage]\nfilesystem_folder = {folder / 'collections'}\n[logging]\nlevel = info\n"
    )
    log = folder / "log"
    with log.open("wb") as said:
        process = subprocess.Popen(
            [sys.executable, "-m", "radicale", "--config", str(folder / "config")],
            stdout=said,
            stderr=said,
        )
    try:
        _wait(process, port, log)
        addresses = tuple(f"http://127.0.0.1:{port}/{USER}/{name}/" for name in names)
        for address in addresses:
            _read_once(address)
        yield CalDavHome(addresses, log)
    finally:
        process.terminate()
        process.wait(timeout=30)


def write_household(folder: Path, like: Path, home: CalDavHome) -> None:
    """A household with the files of `like` and the server's calendars in place of its own."""
    folder.mkdir(parents=True)
    for path in like.glob("*.toml"):
        (folder / path.name).write_bytes(path.read_bytes())
    head, *_ = (like / "config.toml").read_text("utf-8").split("[[calendars]]", 1)
    (folder / "password").write_text(_PASSWORD)
    (folder / "password").chmod(0o600)
    sources = [
        f'[[calendars]]\nid = "server-{number}"\ncaldav = "{address}"\nuser = "{USER}"\n'
        f'password_file = "password"\nperson = "{USER}"\narea = "house"\n'
        for number, address in enumerate(home.addresses)
    ]
    (folder / "config.toml").write_text("\n".join([head, *sources]), encoding="utf-8")


def objects_of(content: bytes) -> dict[str, bytes]:
    """UID → a calendar object with its VEVENTs and all VTIMEZONEs (RFC 4791 section 4.1)."""
    head, first, rest = content.partition(b"BEGIN:VEVENT\r\n")
    body = rest.rpartition(b"END:VCALENDAR")[0]
    events: dict[str, list[bytes]] = {}
    for part in (first + body).split(b"BEGIN:VEVENT\r\n")[1:]:
        uid = part.split(b"UID:", 1)[1].split(b"\r\n", 1)[0].decode()
        events.setdefault(uid, []).append(b"BEGIN:VEVENT\r\n" + part)
    return {
        uid: head + b"".join(parts) + b"END:VCALENDAR\r\n" for uid, parts in sorted(events.items())
    }


def _fill(calendar: Path, content: bytes) -> None:
    calendar.mkdir(parents=True)
    about = {"tag": "VCALENDAR", "D:displayname": calendar.name}
    (calendar / ".Radicale.props").write_text(json.dumps(about))
    for uid, text in list(objects_of(content).items())[:OBJECTS]:
        (calendar / f"{uid}.ics").write_bytes(text)


def _read_once(address: str) -> None:
    """Let the server make its caches: none is asked for the first time every night."""
    login = base64.b64encode(f"{USER}:{_PASSWORD}".encode()).decode()
    for method, body in (("PROPFIND", _ALL_TAGS), ("REPORT", _ALL_CHANGES)):
        request = urllib.request.Request(address, data=body, method=method)  # noqa: S310
        request.add_header("Authorization", f"Basic {login}")
        request.add_header("Content-Type", "application/xml")
        request.add_header("Depth", "1")
        urllib.request.urlopen(request, timeout=_PATIENCE_SECONDS).read()  # noqa: S310


def _wait(process: subprocess.Popen[bytes], port: int, log: Path) -> None:
    end = time.monotonic() + _READY_SECONDS
    while time.monotonic() < end and process.poll() is None:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=2).close()
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise SystemExit(f"Radicale did not start:\n{log.read_text(errors='replace')[-2000:]}")
