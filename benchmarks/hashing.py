"""The least that telling what has changed can cost: the bytes of calendars, hashed.

    python -m benchmarks.hashing TIMES [--events] calendars/*.ics

So many times over, since once is little beside the start of Python. Whole files; with `--events`
each VEVENT, too, as has to be done to find the one that has changed.
"""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path


def hashed(paths: list[Path], *, events: bool) -> int:
    """Hash each file, and its VEVENTs where they are wanted; how many hashes that makes."""
    made = 0
    for path in paths:
        content = path.read_bytes()
        parts = content.split(b"\nBEGIN:VEVENT")[1:] if events else []
        for one in (content, *parts):
            hashlib.sha256(one).digest()
            made += 1
    return made


if __name__ == "__main__":
    times, *words = sys.argv[1:]
    names = [Path(one) for one in words if one != "--events"]
    for _ in range(int(times)):
        hashed(names, events="--events" in words)
