"""The benchmark of a night runs, tells what is over its limit, and sees pages that differ."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from icalendar import Calendar

from benchmarks import hashing, night
from benchmarks.caldav_home import objects_of
from benchmarks.corpus import SIZES, calendar_text, write_corpus
from benchmarks.measure import Measured
from benchmarks.night_curve import Row, Step, curves_table, exponent, per_megabyte
from benchmarks.night_figures import (
    CHANGED,
    COLD,
    IMPORT,
    PARSE,
    QUIET,
    Figure,
    figures,
    limits_table,
    stages_table,
)
from benchmarks.night_home import NightHome, change_one_event, differences

UNIT = Measured(0.1, 0.2, 40.0)


def test_it_runs_from_beginning_to_end(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On a corpus of forty events: every stage asked for, the comparison, the file of figures."""
    place = tmp_path / "figures.json"
    words = ["--size", "tiny", "--checkout", "--only", "quiet", "changed", "--json", str(place)]
    night.main(words)
    said, told = capsys.readouterr().out, json.loads(place.read_text("utf-8"))
    assert {one["name"] for one in told["figures"]} == {
        f"tiny: {QUIET}",
        f"tiny: {CHANGED}",
        f"tiny: {CHANGED}, pages unlike a cold build",
    }
    unlike = next(one for one in told["figures"] if "unlike" in one["name"])
    assert (unlike["value"], unlike["over"]) == (0, False)
    assert {stage: len(runs) for stage, runs in told["stages"]["tiny"].items()} == {
        COLD: 2,
        IMPORT: 3 * night.OFTEN + 3,
        QUIET: night.OFTEN,
        CHANGED: 1,
    }
    for word in ("icalendar", "not installed", "40 events", "peak MB", QUIET, "at most"):
        assert word in said


def _two_sites(folder: Path) -> tuple[Path, Path]:
    one, other = folder / "one", folder / "other"
    for output in (one, other):
        for name in ("a.html", "more/b.html"):
            page = output / ".generations" / "1" / "site" / name
            page.parent.mkdir(parents=True, exist_ok=True)
            page.write_text(name)
        (output / "site").symlink_to(".generations/1/site")
    return one, other


def test_pages_that_are_the_same_do_not_differ(tmp_path: Path) -> None:
    """Through the link to the generation that is shown."""
    assert differences(*_two_sites(tmp_path)) == []


@pytest.mark.parametrize("harm", ["change", "take away", "add"])
def test_a_page_that_differs_is_named(tmp_path: Path, harm: str) -> None:
    """One letter, a page too few, a page too many."""
    one, other = _two_sites(tmp_path)
    page = other / "site" / "more" / "b.html"
    if harm == "change":
        page.write_text("more/B.html")
    elif harm == "take away":
        page.unlink()
    else:
        page = page.with_name("c.html")
        page.write_text("")
    assert differences(one, other) == [f"site/more/{page.name}"]


def test_two_folders_without_pages_are_no_success(tmp_path: Path) -> None:
    """Nothing is like nothing: that would hide a build that made no pages."""
    one, _ = _two_sites(tmp_path)
    with pytest.raises(AssertionError, match="no pages"):
        differences(one, tmp_path / "empty")


def test_one_event_is_changed_and_nothing_else(tmp_path: Path) -> None:
    """Its title, in the year that is shown; what was there before is given back."""
    path = write_corpus(tmp_path, SIZES["tiny"]).calendars[0]
    before = change_one_event(path, "Quite another title")
    old, new = before.split(b"\r\n"), path.read_bytes().split(b"\r\n")
    differ = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert [b for _, b in differ] == [b"SUMMARY:Quite another title"]
    path.write_bytes(b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n")
    with pytest.raises(ValueError, match="no event in 2027"):
        change_one_event(path, "x")


def test_a_twin_has_the_files_and_nothing_that_was_made(tmp_path: Path) -> None:
    """Calendars and settings, but no store and no pages."""
    home = NightHome(write_corpus(tmp_path / "home", SIZES["tiny"]).folder)
    (home.folder / "state").mkdir()
    (home.folder / "output").mkdir()
    twin = home.twin(tmp_path / "twin")
    assert twin.size() == home.size() > 0
    assert not (twin.folder / "state").exists()
    assert not (twin.folder / "output").exists()


def test_a_window_and_calendars_are_set_in_the_configuration(tmp_path: Path) -> None:
    """By the keys of config.toml, everything else as it was."""
    home = NightHome(write_corpus(tmp_path / "home", SIZES["tiny"]).folder)
    home.set_window(3, 4)
    home.keep_calendars(1)
    text = (home.folder / "config.toml").read_text("utf-8")
    assert "weeks_back = 3\nweeks_ahead = 4\n" in text
    assert text.count("[[calendars]]") == 1


def test_a_limit_that_is_not_kept_is_said() -> None:
    """In units of the import and of the parse; memory counts for the large corpus alone."""
    seen = {
        IMPORT: [UNIT],
        QUIET: [Measured(0.2, 0.2, 40.0)],
        CHANGED: [Measured(0.5, 0.6, 80.0), Measured(0.7, 0.6, 80.0), Measured(0.6, 0.6, 80.0)],
        PARSE: [Measured(10.0, 10.0, 500.0)],
        COLD: [Measured(5.0, 5.0, 200.0)],
    }
    found = {one.name: one for one in figures("large", seen)}
    over = {name for name, one in found.items() if one.is_over}
    assert found[f"large: {CHANGED}"].value == pytest.approx(6.0)
    assert over == {f"large: {QUIET}", f"large: {COLD}, peak memory"}
    lines = limits_table(list(found.values())).splitlines()
    assert [one.split(":")[0] for one in lines if "OVER" in one] == ["large", "large"]
    assert not any(one.is_over and "memory" in one.name for one in figures("small", seen))
    assert f"{CHANGED:<28}    0.600    0.500" in stages_table({CHANGED: seen[CHANGED]})


def test_a_figure_without_a_limit_is_never_over() -> None:
    """It is told, and that is all."""
    assert not Figure("x", 1e9, None, "× y").is_over


@pytest.mark.parametrize("power", [0.5, 1.0, 2.0])
def test_the_exponent_of_a_curve_is_found(power: float) -> None:
    """Of the cost over that of none: a start that costs a lot does not flatten it."""
    rows = [Row(n, n * 1_000_000, {COLD: 3.0 + 0.2 * n**power if n else 3.0}) for n in (0, 1, 2, 8)]
    assert exponent(rows, COLD) == pytest.approx(power)


def test_what_does_not_grow_has_no_exponent() -> None:
    """And no cost for each megabyte."""
    rows = [Row(n, n * 1_000_000, {QUIET: 0.1}) for n in (0, 1, 2)]
    assert exponent(rows, QUIET) == 0.0
    assert per_megabyte(rows, QUIET) == pytest.approx(0.0)


def test_a_curve_shows_what_one_more_costs() -> None:
    """From row to row, for each one added: from 1 to 3 it is half the difference."""
    rows = tuple(Row(n, n * 2_000_000, {COLD: 1.0 + 0.1 * n}) for n in (0, 1, 3))
    lines = curves_table([Step("calendars", rows)]).splitlines()
    assert [line.split() for line in lines[1:4]] == [
        ["0", "0.0", "1000"],
        ["1", "2.0", "1100", "+100"],
        ["3", "6.0", "1300", "+100"],
    ]


def test_every_event_is_one_object_of_its_uid() -> None:
    """Series and their moved instances together, each with the zones (RFC 4791 section 4.1)."""
    content = calendar_text(0, SIZES["small"])
    objects = objects_of(content)
    whole = list(Calendar.from_ical(content).walk("VEVENT"))
    assert set(objects) == {str(one["UID"]) for one in whole}
    parsed = [Calendar.from_ical(one) for one in list(objects.values())[:20]]
    assert all(len(one.walk("VTIMEZONE")) == 3 for one in parsed)
    assert sum(one.count(b"BEGIN:VEVENT") for one in objects.values()) == len(whole)


def test_hashing_goes_through_every_event(tmp_path: Path) -> None:
    """One hash a file, and one more for each VEVENT."""
    corpus = write_corpus(tmp_path, SIZES["tiny"])
    assert hashing.hashed(list(corpus.calendars), events=False) == 2
    assert hashing.hashed(list(corpus.calendars), events=True) == 2 + corpus.events
