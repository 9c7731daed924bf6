"""`weeksync serve` in a process of its own, on a household that a test may change."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.request import Request, urlopen

from weeksync.household import read_household

PATIENCE = 90.0
"""Seconds until the pages are there, on a machine that others keep busy, too."""


def free_port() -> int:
    """A port of the loopback that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@dataclass
class Home:
    """A household and the process that serves it."""

    folder: Path
    now: str
    port: int
    process: subprocess.Popen[str] | None = None

    @property
    def address(self) -> str:
        """Where the pages are."""
        return f"http://127.0.0.1:{self.port}"

    def page(self, name: str = "2027-W12.html") -> str:
        """The address of a page."""
        return f"{self.address}/{name}"

    def on(self) -> None:
        """Begin to serve; comes back when pages can be had."""
        self.process = subprocess.Popen(
            [sys.executable, "-m", "weeksync", "serve", *self._where(), "--port", str(self.port)],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, "LC_ALL": "C.UTF-8"},
        )
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            assert self.process.poll() is None, self.process.stdout and self.process.stdout.read()
            with socket.socket() as knock:
                if knock.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            time.sleep(0.1)
        raise AssertionError("weeksync serve does not listen")

    def off(self) -> None:
        """End it as a person does, with Ctrl+C."""
        if self.process is not None:
            self.process.send_signal(signal.SIGINT)
            self.process.wait(PATIENCE)
            if self.process.stdout is not None:
                self.process.stdout.close()
            self.process = None

    def run(self, *words: str) -> str:
        """What another command of weeksync says of the household."""
        done = subprocess.run(
            [sys.executable, "-m", "weeksync", *words, *self._where()],
            capture_output=True, text=True, check=False, env={**os.environ, "LC_ALL": "C.UTF-8"},
        )  # fmt: skip
        assert done.returncode in {0, 1}, done.stderr
        return done.stdout

    def code(self, device: str) -> str:
        """A one-time code for a new device."""
        found = re.search(
            r"\b[0-9A-Z]{4}(?:-?[0-9A-Z]{4})+\b", self.run("devices", "--add", device)
        )
        assert found is not None
        return found[0]

    def pair(self, device: str) -> None:
        """Set up a device, as its page does with a code."""
        told = json.dumps({"code": self.code(device), "device": device}).encode()
        request = Request(
            f"{self.address}/pairings", told, {"Content-Type": "application/json", "Origin": "null"}
        )
        with urlopen(request, timeout=PATIENCE) as answer:
            assert json.load(answer)["token"]

    def lines(self, thing: str) -> list[tuple[str, str]]:
        """(date, value) of each mark of something in the household's files, in their order."""
        marks = read_household(self.folder).marks
        return [(one.day.isoformat(), one.value) for one in marks if one.id == thing]

    def _where(self) -> list[str]:
        return ["--household", str(self.folder), "--now", self.now]


@contextmanager
def serving(folder: Path, now: str) -> Iterator[Home]:
    """A home computer that serves the household in `folder` as of `now`."""
    home = Home(folder, now, free_port())
    with (folder / "config.toml").open("a", encoding="utf-8") as config:
        config.write(f"\n[serve]\nport = {home.port}\n")
    home.on()
    try:
        yield home
    finally:
        home.off()
