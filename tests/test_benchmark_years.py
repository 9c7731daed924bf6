"""The household of ten years is the same each time, and as real as a household's own."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from benchmarks.ten_years import CLOSED, NOW, bytes_of, write_ten_years
from benchmarks.years import PAGES, Asked, table
from weeksync.household import Archive, read_household


def test_the_same_numbers_give_the_same_files(tmp_path: Path) -> None:
    """Records, marks and check-ins; another seed gives others."""
    made = {
        name: {
            path.relative_to(folder).as_posix(): path.read_bytes()
            for part in ("archive", "marks", "check-ins")
            for path in sorted((folder / part).iterdir())
        }
        for name, seed in (("a", 1), ("b", 1), ("c", 2))
        if (folder := write_ten_years(tmp_path / name, 3, seed))
    }
    assert made["a"] == made["b"]
    assert made["a"] != made["c"]


def test_its_weeks_are_closed_as_any(tmp_path: Path) -> None:
    """Back from the last week that is over, without a gap, and read without a problem."""
    folder = write_ten_years(tmp_path / "home", 5)
    archive = Archive(folder)
    assert sorted(archive) == [CLOSED.shifted(-back) for back in range(4, -1, -1)]
    assert archive.problems == ()
    assert bytes_of(folder) > 5 * 20_000
    assert read_household(folder).problems == ()
    assert datetime(2027, 3, 24, tzinfo=UTC) < NOW


def test_the_table_has_a_line_for_each_page() -> None:
    """First and later requests, the worst of them, and the size."""
    asked = {name: Asked([0.1, 0.3, 0.2], 50_000) for name in PAGES}
    lines = table(asked, asked).splitlines()
    assert len(lines) == 1 + len(PAGES)
    assert all(line.split()[-4:] == ["0.100", "0.200", "0.300", "50"] for line in lines[1:])
