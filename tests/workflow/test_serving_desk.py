"""What the household answers to the server: pages of one person, check-ins, texts, names."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

from tests.support.households import NOW, write_household
from weeksync.errors import UsageError
from weeksync.message import message
from weeksync.serve import Held, OwnPage, Saved
from weeksync.serve.desk import Desk
from weeksync.workflow.reader import Reader
from weeksync.workflow.rebuild import Rebuilder
from weeksync.workflow.serving import HouseholdDesk

EACH = {"ann": "ANNS", "bo": "BOS"}
"""What is in every text of a thing that only that person may see."""


def of(person: str) -> dict[str, str]:
    """One thing of every kind, only for that person; the files they stand in."""
    word, only = EACH[person], f'only_for = ["{person}"]'
    return {
        "habits_toml": f'[[habits]]\nid = "{person}-h"\ntitle = "{word} habit"\n'
        f'person = "{person}"\narea = "home"\n{only}\n',
        "tasks_toml": f'[[tasks]]\nid = "{person}-t"\ntitle = "{word} task"\narea = "home"\n'
        f'due = 2027-03-24\nnotes = "{word} note"\n{only}\n'
        f'[[tasks]]\nid = "{person}-old"\ntitle = "{word} old task"\narea = "home"\n'
        f"carried = 5\ncarried_until = 2027-03-15\n{only}\n",
        "appointments_toml": f'[[appointments]]\nid = "{person}-a"\ntitle = "{word} visit"\n'
        f"start = 2027-03-25T10:00:00\nend = 2027-03-25T11:00:00\n{only}\n",
        "money_toml": f'[[bills]]\nid = "{person}-b"\ntitle = "{word} bill"\namount = 4250\n'
        f"first = 2027-03-25\n{only}\n",
    }


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[HouseholdDesk]:
    """Ann and Bo, each with things of their own, and a check-in each."""
    both = [of("ann"), of("bo")]
    heads = {"money_toml": 'currency = "GBP"\n'}
    files = {
        name: "format = 1\n" + heads.get(name, "") + "".join(one[name] for one in both)
        for name in both[0]
    }
    home = write_household(tmp_path, **files)
    (home / "check-ins").mkdir()
    for person, word in EACH.items():
        text = f'+++\nformat = 1\nperson = "{person}"\nfeeling = "{word} feeling"\n+++\n'
        (home / f"check-ins/2027-03-23-{person}.md").write_text(text)
    reader = Reader(home, lambda: NOW)
    context = reader.read()
    assert [str(one) for one in context.files.problems] == []
    rebuilder = Rebuilder(reader, context, complain=lambda why: None)
    yield HouseholdDesk(reader, rebuilder)
    rebuilder.stop()


def text(desk: Desk, person: str, name: str, query: Mapping[str, str] = {}) -> str:
    """A page of a person as text."""
    page = desk.own_page(person, name, query)
    assert isinstance(page, OwnPage)
    return page.content.decode()


PAGES = ["2027-W12.html", "enter-2027-W12.html", "index.html", "check-in.html"]


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize(("person", "other"), [("ann", "bo"), ("bo", "ann")])
def test_nothing_of_what_is_only_for_others(
    desk: HouseholdDesk, name: str, person: str, other: str
) -> None:
    """Neither in its text nor in an id, on any page of one's own."""
    page = text(desk, person, name)
    assert EACH[other] not in page
    for kind in "htab":
        assert f"{other}-{kind}" not in page


@pytest.mark.parametrize("person", ["ann", "bo"])
def test_what_is_ones_own_is_there(desk: HouseholdDesk, person: str) -> None:
    """Each kind, with amounts and the check-in."""
    page = text(desk, person, "2027-W12.html")
    for kind in ("habit", "task", "note", "visit", "bill", "feeling"):
        assert f"{EACH[person]} {kind}" in page, kind
    assert "42.50" in page


def test_pages_that_are_not_there(desk: HouseholdDesk) -> None:
    """A week without a common page has none here, nor has anything outside of the folder."""
    for name in ("2031-W01.html", "../2027-W12.html", "x2027-W12.html", "", "style.css", "/"):
        assert desk.own_page("ann", name, {}) is None, name
    assert desk.own_page("nobody", "2027-W12.html", {}) is None


def test_links_lead_to_the_neighbouring_weeks(desk: HouseholdDesk) -> None:
    """They are made on demand as well; beyond the last one there is none."""
    page = text(desk, "ann", "2027-W12.html")
    assert 'href="2027-W11.html"' in page
    assert 'href="2027-W13.html"' in page
    assert 'href="2027-W15.html"' not in text(desk, "ann", "2027-W14.html")


def test_a_check_in_is_saved_and_stands_in_its_form(desk: HouseholdDesk) -> None:
    """With the digest of its file, which comes back with the next one."""
    saved = desk.check_in("bo", {"day": "2027-03-24", "feeling": "rested", "energy": 4}, "")
    assert isinstance(saved, Saved)
    page = text(desk, "bo", "check-in.html", {"day": "2027-03-24"})
    assert "rested" in page
    assert saved.seen in page
    file = next(desk.site_folder.parents[1].glob("check-ins/2027-03-24*"))
    assert hashlib.sha256(file.read_bytes()).hexdigest() == saved.seen


def test_a_check_in_over_another_keeps_both(desk: HouseholdDesk) -> None:
    """Two tablets, one form each: the second is told what stands there."""
    first = desk.check_in("ann", {"day": "2027-03-24", "feeling": "rested"}, "")
    assert isinstance(first, Saved)
    second = desk.check_in("ann", {"day": "2027-03-24", "feeling": "hurried"}, "")
    assert isinstance(second, Held)
    assert second.held["feeling"] == "rested"
    assert second.held["seen"]
    every = "".join(
        path.read_text() for path in desk.site_folder.parents[1].glob("check-ins/2027-03-24*")
    )
    assert "rested" in every
    assert "hurried" in every


@pytest.mark.parametrize("day", ["2027-03-25", "2026-03-24", "yesterday"])
def test_days_that_cannot_have_a_check_in(desk: HouseholdDesk, day: str) -> None:
    """To come, too far back, none: wrong use, for the form and for what is sent."""
    with pytest.raises(UsageError):
        desk.check_in("ann", {"day": day}, "")
    with pytest.raises(UsageError):
        desk.own_page("ann", "check-in.html", {"day": day})


def test_what_the_server_says_it_says_in_the_households_language(desk: HouseholdDesk) -> None:
    """English here; names in the order of `config.toml`, and the key that pages have."""
    assert desk.language == ("en-GB", "ltr")
    assert desk.text(message("{n} things", n=3)).endswith("things")
    assert list(desk.people.items()) == [("ann", "Ann"), ("bo", "Bo")]
    assert len(desk.household_key) == 12
    page = desk.render(
        "pin.html", {"said": "", "people": (("ann", "Ann"),), "next": "", "person": ""}
    )
    assert b"<html" in page


def test_a_mark_wakes_the_rebuilder(desk: HouseholdDesk) -> None:
    """And names its pages; what is refused names none."""
    line = (
        b'{"id":"ann-h","date":"2027-03-24","person":"","value":"yes",'
        b'"recorded_at":"2027-03-24T06:12:03Z","device":"k"}'
    )
    refused = desk.take(line, frozenset({"bo"}), "")
    assert (refused.new, refused.pages, len(refused.refused)) == (0, (), 1)
    taken = desk.take(line, frozenset({"ann"}), "")
    assert (taken.new, taken.refused) == (1, ())
    assert taken.pages == ("2027-W12.html", "2027-W13.html")
