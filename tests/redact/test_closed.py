"""Weeks of a household on disk: over or not, closed, changed since, reopened, damaged."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.redact.demo_home import APRIL, NOW, W11, W12, copied, read
from tests.redact.reading import everything
from weeksync.errors import UsageError
from weeksync.workflow.close import close_week, reopen_week
from weeksync.workflow.context import Context
from weeksync.workflow.sharing_rules import redacted

SAID = 'times = "exact"\nreleased = ["Choir - Pell", "Boiler timer check"]'
CHOIR = "SUMMARY:Choir - Pell"
FORBIDDEN = (
    "marlowick", "saltmere", "lantern", "ferrier", "ines", "dov", "pell", "juno", "brice",
    "tamsin", "dentist", "optician",
)  # fmt: skip
"""Words that a shared page of the demo must never have (facts.md, section 8)."""


def titles(context: Context) -> set[str]:
    """The titles on the shared page of 2027-W11."""
    shared = redacted(context, W11).shared
    return {one.label for day in shared.days for one in day.events}


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """The demo with two titles of its home calendar released."""
    return copied(tmp_path / "home", SAID, home="title")


def change(home: Path, old: str, new: str, name: str = "calendars/home.ics") -> None:
    """Change a file of the household."""
    text = (home / name).read_text("utf-8")
    assert old in text
    (home / name).write_bytes(text.replace(old, new).encode())


def test_the_week_that_is_not_over_is_refused(home: Path) -> None:
    """On the Wednesday of it, and on its Sunday."""
    with pytest.raises(UsageError, match="it can be shared from 2027-03-29 on"):
        redacted(read(home), W12)


def test_a_closed_week_is_shared_as_it_was_kept(home: Path) -> None:
    """A calendar that changes its past later changes no closed week, but an open one."""
    context = read(home)
    before = redacted(context, W11)
    assert {"Choir - Pell", "Boiler timer check"} <= titles(context)
    close_week(context, W11)
    change(home, "SUMMARY:Boiler timer check", "SUMMARY:Choir - Pell")
    after = read(home)
    assert redacted(after, W11).shared == before.shared
    reopen_week(after, W11)
    assert "Boiler timer check" not in titles(read(home))


@pytest.mark.parametrize("private", ["CLASS:PRIVATE", "CLASS:CONFIDENTIAL", "CLASS:X-OURS"])
def test_what_became_private_since_is_left_out_of_a_closed_week(home: Path, private: str) -> None:
    """The record says what was; whether it may be shared is said today."""
    close_week(read(home), W11)
    change(home, CHOIR, f"{private}\n{CHOIR}")
    assert titles(read(home)) & {"Choir - Pell"} == set()


def test_what_a_rule_calls_an_absence_today_is_left_out_of_a_closed_week(home: Path) -> None:
    """Also where nobody called it one when the week was closed."""
    close_week(read(home), W11)
    change(home, "[sharing]", '[[rules]]\ntitle = "choir"\naway = true\n[sharing]', "config.toml")
    assert titles(read(home)) & {"Choir - Pell"} == set()


def test_what_is_no_longer_released_is_left_out_of_a_closed_week(home: Path) -> None:
    """The household's word of today holds."""
    close_week(read(home), W11)
    change(home, '"Choir - Pell", ', "", "config.toml")
    assert titles(read(home)) & {"Choir - Pell"} == set()


def test_a_habit_of_a_closed_week_that_is_health_today_is_left_out(home: Path) -> None:
    """Released then, with its marks in the record."""
    close_week(read(home), W11)
    rows = {row.label for row in redacted(read(home), W11).shared.habits}
    assert rows == {"Read aloud", "Sight-singing"}
    entry = "target = 20\nterms_only = true\nshare = true"
    change(home, entry, "target = 20\nterms_only = true\nhealth = true", "habits.toml")
    rows = {row.label for row in redacted(read(home), W11).shared.habits}
    assert rows == {"Sight-singing"}


def test_a_closed_week_that_cannot_be_read_is_not_made_up_from_today(home: Path) -> None:
    """What was kept is unknown; what is there now may be something else."""
    close_week(read(home), W11)
    (home / "archive" / f"{W11}.json").write_text("{", "utf-8")
    with pytest.raises(UsageError, match="its record cannot be read"):
        redacted(read(home), W11)


def test_a_week_that_touches_an_absence_waits_for_it(tmp_path: Path) -> None:
    """From Sunday on for eight days, by hand; a closed record of it keeps it back, too."""
    home = copied(tmp_path / "home", SAID, home="title")
    with (home / "appointments.toml").open("a", encoding="utf-8") as file:
        file.write(
            '\n[[appointments]]\nid = "coast"\ntitle = "To the coast"\nperson = "ines"\n'
            "start = 2027-03-21\nend = 2027-03-29\naway = true\n"
        )
    with pytest.raises(UsageError, match="it can be shared from 2027-03-29 on"):
        redacted(read(home), W11)
    close_week(read(home), W11)
    change(home, "start = 2027-03-21", "start = 2027-05-21", "appointments.toml")
    change(home, "end = 2027-03-29", "end = 2027-05-29", "appointments.toml")
    with pytest.raises(UsageError, match="it can be shared from 2027-03-29 on"):
        redacted(read(home), W11)
    shared = redacted(read(home, APRIL), W11).shared
    assert "coast" not in everything(shared)


@pytest.mark.parametrize("week", [W11, W12])
def test_the_demo_shares_one_title_and_no_forbidden_word(tmp_path: Path, week: object) -> None:
    """With its calendars at area and below, roles switched on, and exact times."""
    said = 'times = "exact"\npersons = "roles"\ndates = "week"\nreleased = ["Boiler timer check"]'
    home = copied(tmp_path / "home", said, home="title", stall="busy", rota="title", lessons="area")
    assert week in {W11, W12}
    chosen = W11 if week == W11 else W12
    redacted_week = redacted(read(home, APRIL), chosen)
    text = everything(redacted_week.shared).casefold()
    assert "boiler timer check" in text
    assert [word for word in FORBIDDEN if word in text] == []
    for day in range(26, 30):
        assert f"-03-{day}" not in text


def test_the_visit_of_the_demo_is_no_span(tmp_path: Path) -> None:
    """26 to 29 March is all day over four days: nobody says that it is no absence."""
    home = copied(tmp_path / "home", SAID, home="area")
    for held_back in ("CLASS:PRIVATE", "CLASS:CONFIDENTIAL"):
        change(home, held_back, "CLASS:PUBLIC")
    found = redacted(read(home, APRIL), W12)
    visit = next(one for one in found.decisions if "cousin" in one.title.casefold())
    assert visit.shown_as == "nothing"
    assert len(visit.days) == 3
    assert str(visit.why).startswith("it takes more than a day and may be an absence")
    assert not any(one.all_day for day in found.shared.days[4:] for one in day.events)


def test_a_week_is_the_same_whenever_it_is_shared(home: Path) -> None:
    """The day on which the page is made tells nothing, and is told nowhere."""
    assert redacted(read(home, NOW), W11).shared == redacted(read(home, APRIL), W11).shared
