"""Many requests at once: none fails, memory stays, and the benchmark measures what it says."""

from __future__ import annotations

import asyncio
from pathlib import Path

from benchmarks.serve import EXPECTED, demo_served, load, table

REQUESTS = 1_500
MOST_MB = 250
"""The demo household with its calendars took 122 MB with 10,000 requests."""


def test_many_requests_with_marks_among_them_are_all_answered(tmp_path: Path) -> None:
    """The real command on the demo household; pages are built meanwhile. The full run is
    `python -m benchmarks.serve`."""
    with demo_served(tmp_path) as running:
        result = asyncio.run(load(running.address, REQUESTS, 16))
        peak = running.peak_mb()
    assert result.failed == []
    assert len(result.all_seconds) == REQUESTS
    assert set(result.seconds) == set(EXPECTED)
    assert peak < MOST_MB
    marks = (tmp_path / "household" / "marks" / "2027-W12.csv").read_text()
    assert marks.count(",bench") == REQUESTS // 100
    said = table(result, peak)
    assert f"| all | {REQUESTS} |" in said
    assert "0 failed" in said
