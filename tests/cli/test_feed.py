"""`weeksync feed` and the address that a phone subscribes to."""

from __future__ import annotations

from pathlib import Path

import icalendar
import pytest

from weeksync import demo
from weeksync.cli import main
from weeksync.workflow.access import access_of
from weeksync.workflow.clock import instant_now
from weeksync.workflow.context import Context

NOW = "2027-03-24T04:00:00+00:00"


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household, pulled."""
    folder = demo.copy_to(tmp_path_factory.mktemp("feed") / "home")
    assert main(["pull", "--household", str(folder), "--now", NOW]) == 0
    return folder


def fed(home: Path, place: Path, person: str) -> list[str]:
    """The titles in that person's feed."""
    words = ["feed", person, "--to", str(place), "--household", str(home), "--now", NOW]
    assert main(words) == 0
    return [str(one["summary"]) for one in icalendar.Calendar.from_ical(place.read_bytes()).events]


def test_the_feed_of_a_person_has_their_plan_and_nobody_elses(home: Path, tmp_path: Path) -> None:
    """What is only for somebody else is not in it; the file is for its owner alone."""
    context = Context.read(home, instant_now(NOW), give_ids=False)
    private = {one.title: one.only_for for one in context.files.habits if one.only_for}
    private |= {one.title: one.only_for for one in context.files.tasks if one.only_for}
    assert private
    for person in ("ines", "dov"):
        place = tmp_path / f"{person}.ics"
        said = "\n".join(fed(home, place, person))
        assert place.stat().st_mode & 0o777 == 0o600
        assert "Morning: " in said
        assert "Proposed: " in said
        for title, persons in private.items():
            assert (title in said) <= (person in persons), (person, title)


def test_the_same_feed_twice_is_the_same(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """On standard output, with the line ends of RFC 5545 section 3.1."""
    words = ["feed", "ines", "--household", str(home), "--now", NOW]
    assert main(words) == 0
    first = capsys.readouterr().out
    assert main([*words[:-1], "2027-03-24T06:00:00+00:00"]) == 0
    assert capsys.readouterr().out == first
    assert first.startswith("BEGIN:VCALENDAR\r\n")


def test_what_is_wished_is_what_stands_in_it(home: Path, tmp_path: Path) -> None:
    """`[feed]`: no habits, and an alarm before what has a time."""
    config = home / "config.toml"
    before = config.read_text()
    config.write_text(before + "\n[feed]\nhabits = false\nalarm_minutes = 10\n")
    try:
        said = fed(home, tmp_path / "plan.ics", "ines")
    finally:
        config.write_text(before)
    assert not any(one.startswith("Morning: ") for one in said)
    assert b"TRIGGER:-PT10M" in (tmp_path / "plan.ics").read_bytes()


def test_an_address_for_a_phone_is_told_once(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """And can be taken back by the name of the phone."""
    at = ["--household", str(home), "--now", NOW]
    assert main(["devices", "--feed", "ines phone", "--person", "ines", *at]) == 0
    link = next(one for one in capsys.readouterr().out.split() if one.endswith("/plan.ics"))
    token = link.split("/")[-2]
    access = access_of(Context.read(home, instant_now(NOW), give_ids=False))
    visitor = access.visitor(token, "feed")
    assert visitor is not None
    assert visitor.person == "ines"
    assert main(["devices", "--revoke", "ines phone", *at]) == 0
    assert access.visitor(token, "feed") is None


def test_nobodys_plan_is_refused(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With the ids there are; an address needs a person."""
    at = ["--household", str(home), "--now", NOW]
    assert main(["feed", "nobody", *at]) == 2
    assert "ines" in capsys.readouterr().err
    assert main(["devices", "--feed", "phone", *at]) == 2
    assert "--person ines" in capsys.readouterr().err
