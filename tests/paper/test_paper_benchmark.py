"""The benchmark of a year of spreads measures what it says."""

from __future__ import annotations

from pathlib import Path

import pytest

from benchmarks.paper import FIRST, NOW, household, main, printed
from weeksync.model.week import IsoWeek


def test_two_weeks_are_printed_and_measured(tmp_path: Path) -> None:
    """With their neighbours' pages: three leaves, six pages; the figures are of a real run."""
    home = household(tmp_path / "demo")
    found = printed(home, 2, "duplex", "weasyprint", tmp_path / "weeks.pdf")
    assert found.pages >= 6
    assert found.pages % 2 == 0
    assert found.kilobytes * 1024 <= (tmp_path / "weeks.pdf").stat().st_size
    assert 0.5 < found.used.cpu < 120
    assert 50 < found.used.peak_mb < 2000


def test_it_begins_with_the_first_week_of_a_year() -> None:
    """All of its weeks are to come."""
    assert IsoWeek.of(NOW.date()) == FIRST


def test_the_table_has_a_line_for_fewer_weeks(capsys: pytest.CaptureFixture[str]) -> None:
    """One week alone is one line under the names of the columns."""
    main(["--weeks", "1", "--way", "single"])
    head, names, *lines = capsys.readouterr().out.splitlines()
    assert "single" in head
    assert names.split() == ["weeks", "pages", "CPU", "s", "wall", "s", "peak", "MB", "kB"]
    assert [line.split()[0] for line in lines] == ["1"]
