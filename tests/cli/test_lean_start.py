"""What a command imports: only what it uses, so that it starts at once on a small computer.

No times are measured here: a process of its own runs the command and tells what it has loaded.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.households import event, with_calendar

NOW = "2027-03-24T06:40:00Z"

ASKED_FOR_ONLY = {
    "PIL", "caldav", "cryptography", "fontTools", "h11", "holidays", "icalendar", "lxml",
    "markdown", "nh3", "niquests", "pypdf", "pypdfium2", "rich", "segno", "ssl", "starlette",
    "tomlkit", "uvicorn", "weasyprint",
    "weeksync.demo", "weeksync.feed", "weeksync.household.new", "weeksync.paper",
    "weeksync.redact", "weeksync.serve", "weeksync.sharing", "weeksync.site.record.access",
    "weeksync.site.record.plan_evening", "weeksync.site.record.start",
    "weeksync.workflow.edit_forms", "weeksync.workflow.evening", "weeksync.workflow.forms",
    "weeksync.workflow.new", "weeksync.workflow.start",
}  # fmt: skip
"""What none of the commands below needs in a household of files where nobody has written notes."""

PAGES_ONLY = {"jinja2", "markupsafe", "minify", "weeksync.review", "weeksync.site"}
"""What makes pages."""


OTHER_NIGHTS = {
    "babel", "concurrent.futures", "dateutil", "difflib", "logging", "pydantic", "statistics",
    "subprocess", "tomllib", "xml",
    "weeksync.fetch.ping", "weeksync.household.editing", "weeksync.household.reading",
    "weeksync.household.review_writing", "weeksync.household.sent", "weeksync.household.toml_edits",
    "weeksync.lean.answers", "weeksync.lean.asking", "weeksync.lean.look",
    "weeksync.model.check_in", "weeksync.model.recurrence", "weeksync.plan.record",
    "weeksync.plan.repeats", "weeksync.plan.ticked", "weeksync.read", "weeksync.review",
    "weeksync.site.check_in", "weeksync.site.own", "weeksync.site.page_words",
    "weeksync.site.palette", "weeksync.site.review", "weeksync.site.search", "weeksync.site.year",
    "weeksync.store.salvage", "weeksync.workflow.show", "weeksync.workflow.spans",
}  # fmt: skip
"""What some nights need, and none in which only an event of a file has changed: servers, closed
weeks, things that repeat, check-ins and reviews, mistakes, files of the household that are not as
they were, pages that look back or are the same."""


class Home:
    """A household with a calendar, a habit and a built site."""

    def __init__(self, folder: Path) -> None:
        self.folder = with_calendar(
            folder / "household", event("dentist", "20270323T113000", "Dentist")
        )
        self._environment = {
            **os.environ,
            "PYTHONDONTWRITEBYTECODE": "",  # what is made of what is installed may be kept
            "PYTHONPYCACHEPREFIX": str(folder / "pycache"),
        }
        (self.folder / "habits.toml").write_text(
            'format = 1\n[[habits]]\nid = "walk"\ntitle = "Walk"\nperson = "ann"\n'
        )
        self.loaded("nightly")

    def loaded(self, *words: str) -> set[str]:
        """Run a command, and name every module that it has loaded; it must be content."""
        code = (
            "import sys\nfrom weeksync.cli import main\nstatus = main(sys.argv[1:])\n"
            "print('loaded', status, *sys.modules)"
        )
        command = [sys.executable, "-c", code, *words]
        done = subprocess.run(
            [*command, "--household", str(self.folder), "--now", NOW],
            capture_output=True,
            text=True,
            check=True,
            env=self._environment,
        )
        said, status, *modules = done.stdout.splitlines()[-1].split()
        assert (said, status) == ("loaded", "0"), done.stderr
        return set(modules)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Home:
    """One for all: each command is content with what the others leave."""
    return Home(tmp_path_factory.mktemp("home"))


def ours(modules: set[str]) -> int:
    """How many modules of weeksync are among them."""
    return sum(one.partition(".")[0] == "weeksync" for one in modules)


def test_a_night_in_which_a_task_has_changed(home: Home) -> None:
    """It makes pages, and needs nothing of what is served, printed, shared or asked for."""
    (home.folder / "tasks.toml").write_text('format = 1\n[[tasks]]\nid = "gate"\ntitle = "Gate"\n')
    loaded = home.loaded("nightly")
    assert "weeksync.site.pages" in loaded
    assert loaded & ASKED_FOR_ONLY == set()
    assert ours(loaded) <= 340


def test_a_night_in_which_an_event_has_changed(home: Home) -> None:
    """The everyday night: it makes the pages of a few weeks and months anew."""
    home.loaded("nightly")
    place = home.folder / "family.ics"
    place.write_text(place.read_text().replace("SUMMARY:Dentist", "SUMMARY:Optician"))
    loaded = home.loaded("nightly")
    assert {"weeksync.calendar.expand", "weeksync.site.week"} <= loaded
    assert loaded & (ASKED_FOR_ONLY | OTHER_NIGHTS) == set()
    assert ours(loaded) <= 255


@pytest.mark.parametrize("words", [("check",), ("show", "this")], ids=" ".join)
def test_what_makes_no_pages_loads_nothing_that_does(home: Home, words: tuple[str, ...]) -> None:
    """They read and plan; public holidays are those that the last night looked up."""
    loaded = home.loaded(*words)
    assert "weeksync.plan.planner" in loaded
    assert loaded & (ASKED_FOR_ONLY | PAGES_ONLY) == set()
    assert ours(loaded) <= 240


def test_a_mark_of_a_habit_plans_nothing(home: Home) -> None:
    """Neither calendars nor the store are read for it."""
    loaded = home.loaded("mark", "walk", "yes")
    assert "weeksync.workflow.mark" in loaded
    unused = {"sqlite3", "weeksync.calendar", "weeksync.plan.planner", "weeksync.store"}
    assert loaded & (ASKED_FOR_ONLY | PAGES_ONLY | unused) == set()
    assert ours(loaded) <= 130


def test_a_pull_reads_files_without_planning_pages(home: Home) -> None:
    """Nor does it load what asks servers, where there are none."""
    loaded = home.loaded("pull")
    assert "weeksync.fetch.files" in loaded
    assert loaded & (ASKED_FOR_ONLY | PAGES_ONLY) == set()


def test_what_is_forbidden_here_exists() -> None:
    """A name that nothing has any more would forbid nothing."""
    code = "import sys\nfrom importlib.util import find_spec\n"
    code += "print(*(one for one in sys.argv[1:] if find_spec(one) is None))"
    names = sorted(ASKED_FOR_ONLY | PAGES_ONLY | OTHER_NIGHTS)
    done = subprocess.run(
        [sys.executable, "-c", code, *names], capture_output=True, text=True, check=True
    )
    assert done.stdout.split() == []
