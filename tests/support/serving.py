"""`weeksync serve` in a process of its own, and somebody who asks it over HTTP."""

from __future__ import annotations

import json
import os
import re
import select
import signal
import ssl
import subprocess
import sys
import time
from collections.abc import Callable
from http.client import HTTPConnection, HTTPSConnection
from pathlib import Path
from types import TracebackType
from typing import Any, Self

PATIENCE = 60.0
"""Seconds for what should take one, on a machine that others keep busy, too."""


class Serving:
    """One run on a free port of loopback; leaving it ends the process.

    `before` runs in the process before the command, `trusted` is the authority of its https.
    """

    def __init__(
        self,
        folder: Path,
        *words: str,
        now: str = "",
        before: Callable[[], None] | None = None,
        trusted: Path | None = None,
    ) -> None:
        command = [sys.executable, "-m", "weeksync", "serve", "--household", str(folder)]
        command += ["--port", "0", *words, *(["--now", now] if now else [])]
        self.process = subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={**os.environ, "LC_ALL": "C.UTF-8"},
            preexec_fn=before,
        )
        self.first_line = self._line()
        found = re.search(r"(https?)://127\.0\.0\.1:(\d+)", self.first_line)
        if found is None:
            self.process.kill()
            _, errors = self.process.communicate()
            raise AssertionError(f"it did not start: {self.first_line!r} {errors.decode()!r}")
        self.port = int(found[2])
        self.origin = f"{found[1]}://127.0.0.1:{self.port}"
        self.trusted = trusted

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.communicate()

    def _line(self) -> str:
        out = self.process.stdout
        assert out is not None
        ready, _, _ = select.select([out], [], [], PATIENCE)
        return out.readline().decode() if ready else ""

    def get(self, path: str) -> tuple[int, bytes]:
        """(status, body)"""
        return self._ask("GET", path, None, {})

    def post(self, path: str, body: bytes, **headers: str) -> tuple[int, Any]:
        """(status, the JSON of the answer), asked as by a page of this server."""
        kind = {"Content-Type": "application/x-ndjson", "Origin": self.origin}
        status, answer = self._ask("POST", path, body, {**kind, **headers})
        return status, json.loads(answer)

    def _ask(
        self, method: str, path: str, body: bytes | None, headers: dict[str, str]
    ) -> tuple[int, bytes]:
        connection = HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE)
        if self.trusted is not None:
            tls = ssl.create_default_context(cafile=self.trusted)
            connection = HTTPSConnection("127.0.0.1", self.port, timeout=PATIENCE, context=tls)
        try:
            connection.request(method, path, body, headers)
            answer = connection.getresponse()
            return answer.status, answer.read()
        finally:
            connection.close()

    def end(self, number: int = signal.SIGTERM) -> tuple[int, str, str]:
        """(exit status, the rest of its output, what it complained of) after that signal."""
        self.process.send_signal(number)
        out, errors = self.process.communicate(timeout=PATIENCE)
        return self.process.returncode, out.decode(), errors.decode()


def mark_line(thing: str, value: str, **more: str) -> bytes:
    """A mark as a tablet sends it."""
    members = {
        "id": thing,
        "date": "2027-03-24",
        "person": "",
        "value": value,
        "recorded_at": "2027-03-24T06:12:03.123Z",
        "device": "kitchen-4f2a",
    }
    return json.dumps({**members, **more}).encode() + b"\n"


def until(true: Callable[[], bool], patience: float = PATIENCE) -> float:
    """Waits for something to become true; the seconds it took."""
    started = time.monotonic()
    while not true():
        assert time.monotonic() - started < patience, "it did not come"
        time.sleep(0.01)
    return time.monotonic() - started
