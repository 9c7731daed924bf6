"""A problem says where it lies: the source, the object, the line of the file as it is now."""

from __future__ import annotations

from pathlib import Path

from tests.support.households import NOW, calendar, event, with_calendar, write_household
from weeksync.workflow import Context, Status
from weeksync.workflow.nightly import nightly

ODD = event("odd", "20270324T090000", "Odd", "DTEND:tomorrow", "EXDATE:never")
"""Its DTEND is the eighth line of its nine, its EXDATE the ninth."""
OTHERS = [event(str(number), "20270323T113000", f"Event {number}") for number in range(3)]


def run(folder: Path) -> list[str]:
    """A night; where its problems are."""
    outcome = nightly(Context.read(folder, NOW), wait=0)
    assert outcome.status is Status.PROBLEMS
    return [str(problem.place) for problem in outcome.problems]


def lines(text: str, *parts: str) -> list[str]:
    """The places of these lines in the file, as an editor counts them."""
    found = text.splitlines()
    return [f"family (family.ics, line {found.index(part) + 1})" for part in parts]


def test_lines_are_those_of_the_file_as_it_is_now(tmp_path: Path) -> None:
    """Lines put in above move a problem, lines below do not, and the mended one is gone."""
    folder = with_calendar(tmp_path, OTHERS[0], ODD)
    file = folder / "family.ics"
    for components in (
        (OTHERS[0], ODD),
        (OTHERS[0], OTHERS[1], ODD),
        (OTHERS[1], OTHERS[0], ODD, OTHERS[2]),
        (ODD, OTHERS[0]),
    ):
        text = calendar(*components)
        file.write_text(text, "utf-8", newline="")
        wanted = lines(text, "DTEND:tomorrow", "EXDATE:never")
        assert run(folder) == wanted
        # A second night takes the occurrences from the store, and says the same.
        assert run(folder) == wanted
    file.write_text(calendar(ODD.replace("EXDATE:never\r\n", "")), "utf-8", newline="")
    assert run(folder) == ["family (family.ics, line 10)"]


def test_the_page_of_problems_has_place_and_text(tmp_path: Path) -> None:
    """Whoever opens it sees the file, the line, the event and what stands there."""
    folder = with_calendar(tmp_path, ODD)
    run(folder)
    page = (folder / "output" / "site" / "problems.html").read_text("utf-8")
    assert "family (family.ics, line 10)" in page
    assert "DTEND of &#34;Odd&#34; (odd) cannot be read: &#34;tomorrow&#34;" in page


def test_a_file_that_was_renamed_is_named_anew(tmp_path: Path) -> None:
    """The same bytes under another name: nothing else has changed."""
    folder = write_household(
        tmp_path, '\n[[calendars]]\nid = "club"\npath = "club"\nperson = "ann"\n'
    )
    (folder / "club").mkdir()
    (folder / "club" / "a.ics").write_text(calendar(ODD), "utf-8", newline="")
    assert run(folder)[0] == "club (a.ics, line 10)"
    (folder / "club" / "a.ics").rename(folder / "club" / "b.ics")
    assert run(folder)[0] == "club (b.ics, line 10)"
