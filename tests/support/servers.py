"""Real CalDAV servers on loopback: Radicale and Xandikos from PyPI, each in a folder of its own.

    with radicale() as server:
        calendar = server.make_calendar("home", title="Home")
        server.put(calendar + "one.ics", content)

They are processes with a free port, ready when the `with` block starts and gone after it. What
a server holds is looked at by plain HTTP with `urllib`, so that a test compares our pull with
something that is not ours.
"""

from __future__ import annotations

import base64
import hashlib
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from xml.sax.saxutils import escape

USER, PASSWORD = "ines", "fir-cone-and-harbour-7"
"""The account of every server here; another user of Radicale is added by name."""

_READY_SECONDS = 60.0
_MEMORY = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None  # noqa: S108 - a fresh folder in it
"""Both servers wait for the disk with every object; in memory there is nothing to wait for."""

_MKCALENDAR = """<?xml version="1.0" encoding="utf-8"?>
<C:mkcalendar xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav" xmlns:A="http://apple.com/ns/ical/">
 <D:set><D:prop>
  <D:displayname>{title}</D:displayname>
  <C:supported-calendar-component-set>
   <C:comp name="VEVENT"/><C:comp name="VTODO"/><C:comp name="VJOURNAL"/>
  </C:supported-calendar-component-set>
  {colour}
 </D:prop></D:set>
</C:mkcalendar>"""


@dataclass
class CalDavServer:
    """A running server; `home` is the path of the account's calendars, paths start with `/`."""

    kind: str
    url: str
    home: str
    folder: Path
    user: str = USER
    password: str = field(default=PASSWORD, repr=False)

    def make_calendar(self, name: str, title: str, colour: str = "") -> str:
        """Make a calendar (RFC 4791, section 5.3.1); its path, with a `/` at the end."""
        path = f"{self.home}{name}/"
        tag = f"<A:calendar-color>{colour}</A:calendar-color>" if colour else ""
        body = _MKCALENDAR.format(title=escape(title), colour=tag).encode()
        self.send("MKCALENDAR", path, body, "application/xml")
        return path

    def put(self, path: str, content: bytes) -> None:
        """Put one object; a wait where needed makes the change visible to every kind of tag."""
        self.send("PUT", path, content, "text/calendar; charset=utf-8")

    def get(self, path: str) -> bytes:
        """The object as the server hands it out."""
        return self.send("GET", path)

    def delete(self, path: str) -> None:
        """Delete an object or a whole calendar."""
        self.send("DELETE", path)

    def names(self, path: str) -> set[str]:
        """The paths of the objects in a calendar, as its own listing has them."""
        listing = self.send("PROPFIND", path, depth="1").decode()
        return {one for one in re.findall(r"href>([^<]+)<", listing) if one.endswith(".ics")}

    def send(
        self, method: str, path: str, body: bytes | None = None, kind: str = "", depth: str = ""
    ) -> bytes:
        """One request, signed in; raises urllib.error.HTTPError for anything but success."""
        request = urllib.request.Request(self.url.rstrip("/") + path, data=body, method=method)
        login = base64.b64encode(f"{self.user}:{self.password}".encode()).decode()
        request.add_header("Authorization", f"Basic {login}")
        if kind:
            request.add_header("Content-Type", kind)
        if depth:
            request.add_header("Depth", depth)
        with urllib.request.urlopen(request, timeout=30) as answer:
            content: bytes = answer.read()
        return content


@contextmanager
def radicale(users: Sequence[str] = ()) -> Iterator[CalDavServer]:
    """A Radicale with the account USER and further `users`, all with the same password."""
    with tempfile.TemporaryDirectory(prefix="radicale-", dir=_MEMORY) as temporary:
        folder = Path(temporary)
        names = (USER, *users)
        (folder / "users").write_text("".join(f"{name}:{PASSWORD}\n" for name in names))
        port = free_port()
        (folder / "config").write_text(
            f"[server]\nhosts = 127.0.0.1:{port}\n"
            f"[auth]\ntype = htpasswd\nhtpasswd_filename = {folder / 'users'}\n"
            "htpasswd_encryption = plain\ndelay = 0\n"
            f"[storage]\nfilesystem_folder = {folder / 'collections'}\n"
            "[logging]\nlevel = warning\n"
        )
        command = [sys.executable, "-m", "radicale", "--config", str(folder / "config")]
        with _running(command, port, folder):
            server = CalDavServer("radicale", f"http://127.0.0.1:{port}/", f"/{USER}/", folder)
            server.send("PROPFIND", server.home)  # the first login makes the account's folder
            yield server


@contextmanager
def xandikos() -> Iterator[CalDavServer]:
    """A Xandikos with the one account USER; its calendars are in a git repository each."""
    with tempfile.TemporaryDirectory(prefix="xandikos-", dir=_MEMORY) as temporary:
        folder = Path(temporary)
        digest = base64.b64encode(hashlib.sha1(PASSWORD.encode()).digest()).decode()  # noqa: S324
        (folder / "users").write_text(f"{USER}:{{SHA}}{digest}\n")
        port = free_port()
        program = Path(__file__).with_name("xandikos_with_password.py")
        arguments = [str(folder / "data"), str(folder / "users"), f"/{USER}/", str(port)]
        (folder / "data").mkdir()
        with _running([sys.executable, str(program), *arguments], port, folder):
            url = f"http://127.0.0.1:{port}/"
            yield CalDavServer("xandikos", url, f"/{USER}/calendars/", folder)


def free_port() -> int:
    """A port of loopback that nobody listens on now."""
    with socket.create_server(("127.0.0.1", 0)) as server:
        port: int = server.getsockname()[1]
    return port


@contextmanager
def _running(command: Sequence[str], port: int, folder: Path) -> Iterator[None]:
    log = folder / "log"
    environment = {**os.environ, "HOME": str(folder), "PYTHONWARNINGS": "ignore"}
    with log.open("wb") as output:
        process = subprocess.Popen(command, stdout=output, stderr=output, env=environment)
    try:
        _wait(process, port, log)
        yield
    finally:
        process.terminate()
        try:
            process.wait(timeout=5)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def _wait(process: subprocess.Popen[bytes], port: int, log: Path) -> None:
    """Until the server answers anything at all by HTTP."""
    end = time.monotonic() + _READY_SECONDS
    while time.monotonic() < end:
        if process.poll() is not None:
            break
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=2).close()
        except urllib.error.HTTPError as error:
            error.close()
            return
        except OSError:
            time.sleep(0.05)
        else:
            return
    raise RuntimeError(f"the server did not start:\n{log.read_text(errors='replace')[-2000:]}")
