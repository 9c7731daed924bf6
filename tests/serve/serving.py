"""A serve in a process of its own, over the stand-in household, and ways to talk to it."""

from __future__ import annotations

import json
import re
import select
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import niquests

from tests.serve.standin import make_household
from weeksync.serve import Access

MARK = (
    b'{"id":"%s","date":"2027-03-24","person":"ines","value":"6",'
    b'"recorded_at":"2027-03-24T06:12:03.123Z","device":"kitchen-4f2a"}\n'
)
LINES = {"Content-Type": "application/x-ndjson"}


@dataclass
class Answer:
    """What came over a socket, unwrapped as far as it goes."""

    status: int
    headers: dict[str, str]
    body: bytes


@dataclass
class Reply:
    """What a browser got."""

    status_code: int
    text: str
    headers: dict[str, str]

    def json(self) -> Any:
        """The JSON in it."""
        return json.loads(self.text)


class Browser:
    """Something that keeps cookies, follows redirects unless told not to, and can be closed."""

    def __init__(self, headers: dict[str, str]) -> None:
        self.session = niquests.Session()
        self.session.trust_env = False
        for name, value in headers.items():
            self.session.headers[name] = value

    def get(self, address: str, **how: Any) -> Reply:
        """Fetch."""
        return self._reply(self.session.get(address, timeout=60, **how))

    def post(self, address: str, **how: Any) -> Reply:
        """Send."""
        return self._reply(self.session.post(address, timeout=60, **how))

    def cookie(self, name: str) -> str:
        """The value of a cookie it holds, "" for none."""
        return {one.name: one.value or "" for one in self.session.cookies}.get(name, "")

    @staticmethod
    def _reply(found: niquests.Response) -> Reply:
        headers = {name.title(): str(found.headers[name]) for name in found.headers}
        return Reply(found.status_code or 0, found.text or "", headers)


@dataclass
class Served:
    """A running serve."""

    folder: Path
    address: str
    process: subprocess.Popen[str]
    access: Access
    browsers: list[Browser] = field(default_factory=list)

    @property
    def port(self) -> int:
        """Where it listens."""
        return int(self.address.rpartition(":")[2])

    def browser(self, **headers: str) -> Browser:
        """One that says it is one of our own pages, where the headers say nothing else."""
        given = {name.replace("_", "-"): value for name, value in headers.items()}
        own = {"Origin": self.address, "Sec-Fetch-Site": "same-origin"}
        self.browsers.append(Browser({**own, **given}))
        return self.browsers[-1]

    def signed_in(self, name: str = "kitchen", person: str = "") -> Browser:
        """A browser whose device has come in by a code."""
        session = self.browser()
        code = self.access.add(name, person)
        answer = session.post(f"{self.address}/sign-in", data={"code": code}, allow_redirects=False)
        assert answer.status_code == 303
        return session

    def paired(self, name: str = "folder page", person: str = "") -> str:
        """A token for marks, from the origin `null`."""
        answer = self.browser(Origin="null", Sec_Fetch_Site="cross-site").post(
            f"{self.address}/pairings",
            json={"code": self.access.add(name, person), "device": name},
        )
        assert answer.status_code == 200, answer.text
        return str(answer.json()["token"])

    def raw(self, request: bytes, *, seconds: float = 5.0) -> Answer:
        """Exactly these bytes over a new connection, and the one answer to them."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=seconds) as connection:
            connection.sendall(request)
            return answer_from(connection)

    def get(self, target: bytes, *lines: bytes, method: bytes = b"GET") -> Answer:
        """One request whose target goes out as it is."""
        head = [method + b" " + target + b" HTTP/1.1", b"Host: " + self.host, *lines]
        return self.raw(b"\r\n".join([*head, b"Connection: close", b"", b""]))

    @property
    def host(self) -> bytes:
        """The Host that belongs to it."""
        return self.address.rpartition("/")[2].encode()

    def taken(self) -> list[dict[str, Any]]:
        """The marks that were written."""
        path = self.folder / "marks" / "taken.jsonl"
        return (
            [json.loads(line) for line in path.read_bytes().splitlines()] if path.exists() else []
        )

    def stop(self, number: int = signal.SIGTERM) -> tuple[int, str]:
        """(exit status, what it said to the end) after the signal."""
        self.process.send_signal(number)
        out, _ = self.process.communicate(timeout=20)
        return self.process.returncode, out


def answer_from(connection: socket.socket) -> Answer:
    """Read to the end of the connection, or of the answer by its length."""
    content = b""
    while True:
        head, found, body = content.partition(b"\r\n\r\n")
        if found:
            length = re.search(rb"\r\ncontent-length: (\d+)", head.lower())
            if length and len(body) >= int(length[1]):
                break
        try:
            piece = connection.recv(65536)
        except ConnectionError:
            piece = b""
        if not piece:
            break
        content += piece
    head, _, body = content.partition(b"\r\n\r\n")
    lines = head.decode("latin-1").split("\r\n")
    status = int(lines[0].split(" ")[1]) if lines[0] else 0
    headers = dict(line.lower().split(": ", 1) for line in lines[1:] if ": " in line)
    return Answer(status, headers, body)


@contextmanager
def serving(
    folder: Path,
    *,
    options: dict[str, Any] | None = None,
    limits: dict[str, Any] | None = None,
    device: bool = False,
) -> Iterator[Served]:
    """Serve a new household in `folder` until the end of the block; `device` adds one before."""
    if not (folder / "output").exists():
        make_household(folder)
    access = Access(folder / "state" / "access.json")
    if device:
        access.add("first")
    given = {"options": {"port": 0, "address": "", **(options or {})}, "limits": limits or {}}
    process = subprocess.Popen(
        [sys.executable, "-m", "tests.serve.standin", str(folder), json.dumps(given)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    browsers: list[Browser] = []
    try:
        assert process.stdout is not None
        ready, _, _ = select.select([process.stdout], [], [], 30)
        line = process.stdout.readline().strip() if ready else ""
        if not line.startswith("http"):
            process.kill()
            raise AssertionError(process.communicate()[1])
        yield Served(folder, line, process, access, browsers)
    finally:
        for browser in browsers:
            browser.session.close()
        if process.poll() is None:
            process.send_signal(signal.SIGTERM)
            try:
                process.communicate(timeout=20)
            except subprocess.TimeoutExpired:
                process.kill()
                process.communicate()
                raise


def wait_until(true: Any, seconds: float = 10.0) -> None:
    """Ask again and again until it is true."""
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it never came true"
        time.sleep(0.02)
