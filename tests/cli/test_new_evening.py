"""`weeksync new` at a real keyboard: the first evening, a sudden end, and one thing more later."""

from __future__ import annotations

import stat
import tomllib
from pathlib import Path
from typing import Any

from tests.support.households import CONFIG, calendar, event
from tests.support.keyboard import Keyboard
from tests.support.servers import PASSWORD, USER, radicale

INSTANT = "2027-03-21T18:00:00Z"


def at(folder: Path, *words: str, **environment: str) -> Keyboard:
    """Somebody who types `weeksync new`."""
    return Keyboard("new", *words, folder=folder, now=INSTANT, **environment)


def says(folder: Path, name: str) -> dict[str, Any]:
    """What a file of the household says."""
    return tomllib.loads((folder / name).read_text("utf-8"))


def begun(keys: Keyboard, *people: str) -> None:
    """The questions that the folder is made from."""
    for question, answer in (
        ("Language and region", "en_GB"),
        ("Name of the household", "Marlowick"),
        ("Time zone", ""),
        ("public holidays", "GB-ENG"),
        *(("A person", name) for name in people),
        ("A person", ""),
    ):
        keys.until(question)
        keys.types(answer, after=": ")


def test_an_evening_at_the_keyboard_ends_with_a_week_to_print(tmp_path: Path) -> None:
    """Every kind of question once, a slip among them, and the timer in the crontab after a yes."""
    folder = tmp_path / "home"
    programs = tmp_path / "bin"
    programs.mkdir()
    (programs / "crontab").write_text(
        f'#!/bin/sh\n[ "$1" = -l ] && {{ cat {tmp_path}/tab; exit; }}\ncat > {tmp_path}/tab\n'
    )
    (programs / "crontab").chmod(0o755)
    (tmp_path / "tab").write_text("5 5 * * * true\n")
    path = f"{programs}:/bin"
    with at(folder, PATH=path, XDG_RUNTIME_DIR=str(tmp_path), TZ="Europe/London") as keys:
        begun(keys, "Ines", "Juno")
        keys.until("A week starts on")
        keys.types("", after=": ")
        keys.until("One more person")
        keys.types("", after=": ")
        keys.until("Who of them is a child?")
        keys.types("Juno", after=": ")
        keys.until("One more area")
        keys.types("Garden", after=": ")
        keys.until("Its colour")
        keys.types("fir", after=": ")
        keys.until("One more area")
        keys.types("", after=": ")
        keys.until("Morning")
        keys.types("7-12", after=": ")
        keys.until("are no hours")
        keys.types("07:00-12:00", after=": ")
        keys.types("", after=": ")
        keys.types("", after=": ")
        keys.until("Getting up and breakfast, every day, 07:00-08:00")
        keys.types("t")
        keys.until("School run")
        keys.types("o")
        keys.types("08:00-08:30", after=": ")
        for _ in range(3):
            keys.types("l")
        keys.until("One of your own")
        keys.types("Piano", after=": ")
        keys.types("17:00-17:30", after=": ")
        keys.types("Mon, wed", after="]: ")
        keys.types("juno", after="]: ")
        keys.types("", after=": ")
        keys.until("A walk")
        keys.types("y")
        keys.types("", after="]: ")
        for _ in range(5):
            keys.types("n")
        keys.types("", after=": ")
        keys.until("A bill, such as Rent")
        keys.types("Rent", after=": ")
        keys.types("", after="[GBP]: ")
        keys.types("24 Mar", after=": ")
        keys.types("1")
        keys.types("950", after="[-]: ")
        keys.types("h")
        keys.types("", after=": ")
        keys.until("A calendar")
        keys.types("", after=": ")
        keys.until("other lines stay as they are")
        keys.until("nightly --household")
        assert (tmp_path / "tab").read_text() == "5 5 * * * true\n"
        keys.types("y")
        keys.until("Your week is at file://")
        keys.until("2027-W12.html")
        assert keys.end() == 0
    people = says(folder, "config.toml")["people"]
    assert [(one["name"], one.get("child", False)) for one in people] == [
        ("Ines", False),
        ("Juno", True),
    ]
    assert says(folder, "config.toml")["day_parts"] == {"morning": "07:00-12:00"}
    routines = says(folder, "routines.toml")["routines"]
    assert [(one["title"], one["person"]) for one in routines] == [
        ("Getting up and breakfast", ["ines", "juno"]),
        ("School run", "ines"),
        ("Piano", "juno"),
    ]
    assert routines[2]["days"] == ["monday", "wednesday"]
    bill = says(folder, "money.toml")["bills"][0]
    assert (bill["amount"], bill["collected"], str(bill["first"])) == (95000, False, "2027-03-24")
    assert (tmp_path / "tab").read_text().startswith("5 5 * * * true\n# weeksync")
    week = (folder / "output" / "site" / "2027-W12.html").read_text("utf-8")
    assert "A walk" in week
    assert "Rent" in week


def test_an_end_in_the_middle_loses_nothing(tmp_path: Path) -> None:
    """The window is closed after the second person: both are there, and so is the folder."""
    folder = tmp_path / "home"
    with at(folder, TZ="Europe/London") as keys:
        begun(keys, "Ines")
        keys.until("A week starts on")
        keys.types("", after=": ")
        keys.until("One more person")
        keys.types("Dov", after=": ")
        keys.until("One more person")
        keys.ends_input(after=": ")
        assert keys.end() == 0
    assert [one["name"] for one in says(folder, "config.toml")["people"]] == ["Ines", "Dov"]


def test_one_thing_is_added_to_a_household_that_is_there(tmp_path: Path) -> None:
    """Its calendar, tried out with a wrong password first; comments and order of the file stay."""
    folder = tmp_path / "home"
    folder.mkdir()
    (folder / "config.toml").write_text(f"# ours, by hand\n{CONFIG}")
    with radicale() as server, at(folder) as keys:
        home = server.make_calendar("home", title="Home")
        server.put(f"{home}a.ics", calendar(event("a", "20270324T183000", "Choir")).encode())
        keys.until("What do you want to add?")
        keys.types("8")
        for password in ("wrong-pine-4", PASSWORD):
            keys.until("A calendar")
            keys.types(server.url, after=": ")
            keys.types(USER, after=": ")
            keys.until("never written into config.toml")
            keys.types(password, after="Password: ")
            if password != PASSWORD:
                keys.until("does not accept the name and the password")
        keys.until("Home: 1 entry")
        keys.until("Choir")
        keys.types("y")
        keys.types("", after="[Home]: ")
        keys.types("Ann", after="[-]: ")
        keys.until("It is taken in")
        keys.types("", after=": ")
        keys.types("12")
        assert keys.end() == 0
        assert PASSWORD not in keys.seen
    text = (folder / "config.toml").read_text()
    assert text.startswith("# ours, by hand\n")
    assert PASSWORD not in text
    entry = says(folder, "config.toml")["calendars"][0]
    assert (entry["caldav"], entry["name"], entry["person"]) == (server.url, "Home", "ann")
    secret = folder / entry["password_file"]
    assert (secret.read_text(), stat.S_IMODE(secret.stat().st_mode)) == (f"{PASSWORD}\n", 0o600)
