"""Requests a second, how long each takes, and the memory of `weeksync serve` on the demo household.

    python -m benchmarks.serve [--requests 10000] [--at-once 16] [--address URL]

A tablet's mix: pages, pages it has already (304), style sheet, `status.js`, and one request in a
hundred hands over a mark, whereupon pages are built. Client and server share the machine.
"""

from __future__ import annotations

import argparse
import asyncio
import json
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import urlsplit

from benchmarks.measure import ROOT

NOW = "2027-03-24T05:40:00+00:00"
WEEK = "/2027-W12.html"
MIX = ["page", "page", "known", "known", "known", "style", "status", "status", "missing", "page"]
"""What ten requests in a row are; each hundredth is a mark instead."""
EXPECTED = {"page": 200, "known": 304, "style": 200, "status": 200, "missing": 404, "mark": 200}


@dataclass
class Result:
    """Seconds of each request by kind, answers with another status, and the whole time."""

    seconds: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    failed: list[str] = field(default_factory=list)
    wall: float = 0.0

    @property
    def all_seconds(self) -> list[float]:
        """Of all kinds together."""
        return [one for some in self.seconds.values() for one in some]


@dataclass(frozen=True)
class Running:
    """A serve in a process of its own."""

    address: str
    process: subprocess.Popen[str]

    def peak_mb(self) -> float:
        """The most memory it has taken so far (VmHWM of proc_pid_status(5)), in megabytes."""
        status = Path(f"/proc/{self.process.pid}/status").read_text()
        line = next(one for one in status.splitlines() if one.startswith("VmHWM:"))
        return int(line.split()[1]) / 1024


@contextmanager
def demo_served(folder: Path) -> Iterator[Running]:
    """`weeksync serve` over the demo household, on a free port."""
    run = [sys.executable, "-m", "weeksync"]
    subprocess.run([*run, "demo", "--to", folder, "--now", NOW], cwd=ROOT, check=True, stdout=-3)
    household = folder / "household"
    process = subprocess.Popen(
        [*run, "serve", "--household", household, "--port", "0", "--now", NOW],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        assert process.stdout is not None  # noqa: S101 - for the type checker
        said = process.stdout.readline()
        yield Running(said[said.index("http") :].strip(), process)
    finally:
        process.send_signal(signal.SIGTERM)
        process.communicate(timeout=30)


async def load(address: str, requests: int, at_once: int) -> Result:
    """Send that many requests over `at_once` connections that are kept."""
    result, numbers = Result(), iter(range(1, requests + 1))
    parts = urlsplit(address)
    tag = await _tag(parts.hostname or "", parts.port or 80)
    began = time.perf_counter()
    await asyncio.gather(
        *(
            _client(parts.hostname or "", parts.port or 80, numbers, tag, result)
            for _ in range(at_once)
        )
    )
    result.wall = time.perf_counter() - began
    return result


async def _tag(host: str, port: int) -> str:
    reader, writer = await asyncio.open_connection(host, port)
    _, headers = await _ask(reader, writer, _request(host, port, "page", 0, ""))
    writer.close()
    return headers["etag"]


async def _client(host: str, port: int, numbers: Iterator[int], tag: str, result: Result) -> None:
    reader, writer = await asyncio.open_connection(host, port)
    for number in numbers:
        kind = "mark" if number % 100 == 0 else MIX[number % len(MIX)]
        request = _request(host, port, kind, number, tag)
        began = time.perf_counter()
        try:
            status, _ = await _ask(reader, writer, request)
        except (OSError, ValueError, EOFError) as error:
            result.failed.append(f"{kind}: {type(error).__name__}")
            writer.close()
            reader, writer = await asyncio.open_connection(host, port)
            continue
        result.seconds[kind].append(time.perf_counter() - began)
        if status != EXPECTED[kind]:
            result.failed.append(f"{kind}: {status}")
    writer.close()


def _request(host: str, port: int, kind: str, number: int, tag: str) -> bytes:
    target = {"style": "/style.css", "status": "/status.js", "missing": "/nothing.html"}
    lines, body = [f"Host: {host}:{port}"], ""
    if kind == "known":
        lines.append(f"If-None-Match: {tag}")
    if kind == "mark":
        at = datetime.fromtimestamp(1_800_000_000 + number, UTC).isoformat()
        mark = {"id": "water", "date": "2027-03-23", "person": "ines", "value": str(number % 9)}
        body = json.dumps({**mark, "recorded_at": at, "device": "bench"}) + "\n"
        lines += [f"Origin: http://{host}:{port}", "Content-Type: application/x-ndjson"]
        lines.append(f"Content-Length: {len(body)}")
        return "\r\n".join(["POST /marks HTTP/1.1", *lines, "", body]).encode()
    return "\r\n".join([f"GET {target.get(kind, WEEK)} HTTP/1.1", *lines, "", ""]).encode()


async def _ask(
    reader: asyncio.StreamReader, writer: asyncio.StreamWriter, request: bytes
) -> tuple[int, dict[str, str]]:
    writer.write(request)
    head = (await asyncio.wait_for(reader.readuntil(b"\r\n\r\n"), 60)).decode("latin-1")
    first, *lines = head.rstrip().split("\r\n")
    headers = {name.lower(): value for name, _, value in (one.partition(": ") for one in lines)}
    status = int(first.split(" ")[1])
    if status != 304:
        await asyncio.wait_for(reader.readexactly(int(headers["content-length"])), 60)
    return status, headers


def table(result: Result, peak_mb: float | None) -> str:
    """The figures as lines of a Markdown table."""
    lines = ["| requests | number | p50, ms | p99, ms | longest, ms |", "|---|---|---|---|---|"]
    for kind, seconds in [*sorted(result.seconds.items()), ("all", result.all_seconds)]:
        at = statistics.quantiles(seconds, n=100) if len(seconds) > 1 else seconds * 99
        figures = (at[49], at[98], max(seconds))
        row = " | ".join(f"{1000 * one:.1f}" for one in figures)
        lines.append(f"| {kind} | {len(seconds)} | {row} |")
    number = len(result.all_seconds)
    lines.append(f"\n{number / result.wall:.0f} requests a second over {result.wall:.1f} s,")
    lines.append(
        f"{len(result.failed)} failed"
        + (f" ({sorted(set(result.failed))})" if result.failed else "")
    )
    if peak_mb is not None:
        lines.append(f"peak memory {peak_mb:.0f} MB")
    return "\n".join(lines)


def main() -> int:
    """The benchmark; status 1 where a request failed."""
    parser = argparse.ArgumentParser(description="Load weeksync serve.")
    parser.add_argument("--requests", type=int, default=10_000)
    parser.add_argument("--at-once", type=int, default=16)
    parser.add_argument("--address", help="one that runs already, without a sign-in")
    given = parser.parse_args()
    if given.address:
        result, peak = asyncio.run(load(given.address, given.requests, given.at_once)), None
    else:
        with tempfile.TemporaryDirectory() as folder, demo_served(Path(folder)) as running:
            result = asyncio.run(load(running.address, given.requests, given.at_once))
            peak = running.peak_mb()
    print(table(result, peak))
    return 1 if result.failed else 0


if __name__ == "__main__":
    sys.exit(main())
