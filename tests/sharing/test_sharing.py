"""Sharing a week: what is written, what a stop leaves, what is published and withdrawn."""

from __future__ import annotations

import errno
import shutil
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.support.checkers import axe, html_mistakes
from tests.support.chromium import chromium, looking
from weeksync.cli import main
from weeksync.errors import BuildError, UsageError
from weeksync.model.week import IsoWeek
from weeksync.sharing.publishing import files_in, new_name, put
from weeksync.sharing.register import read_register
from weeksync.workflow import Status
from weeksync.workflow.context import Context
from weeksync.workflow.sharing import (
    Shown,
    listed,
    publish,
    published_folder,
    share,
    withdraw,
)

WEEK = IsoWeek(2027, 12)
AFTER = datetime(2027, 3, 30, 8, tzinfo=UTC)

pytestmark = pytest.mark.usefixtures("no_pictures")


@pytest.fixture
def home(demo: Path, tmp_path: Path) -> Path:
    """A copy of the demo household."""
    return shutil.copytree(demo, tmp_path / "home", symlinks=True)


def context(home: Path) -> Context:
    """The household on the Tuesday after the week."""
    return Context.read(home, AFTER)


def config(home: Path, old: str, new: str) -> None:
    """Put other words into `config.toml`."""
    path = home / "config.toml"
    text = path.read_text("utf-8")
    assert text.count(old) == 1, old
    path.write_text(text.replace(old, new), "utf-8")


def sharing(home: Path, *lines: str) -> None:
    """Add lines to its [sharing]."""
    config(home, "[sharing]\n", "\n".join(["[sharing]", *lines, ""]))


def everything(home: Path) -> set[str]:
    """The files of the pages' folder that sharing writes."""
    places = [home / "output" / name for name in ("shared", "preview", "published")]
    return {str(path.relative_to(home)) for place in places for path in place.rglob("*")}


def looked_at(home: Path) -> Shown:
    """The week, made and ready."""
    shown = share(context(home), WEEK)
    assert shown.outcome.status is Status.FINE, shown.outcome.problems
    return shown


def test_a_week_is_made_and_nothing_is_published(home: Path) -> None:
    """A folder for others, whose name tells nothing, and a private page to look at both."""
    shown = looked_at(home)
    folder, page = Path(shown.folder), Path(shown.preview)
    assert {one.name for one in folder.iterdir()} == {"week.html"}
    assert (folder / "week.html").stat().st_mtime == folder.stat().st_mtime == 946_684_800
    assert "2027" not in folder.name
    assert page.parent.stat().st_mode & 0o077 == 0
    text = page.read_text("utf-8")
    assert f"../shared/{folder.name}/week.html" in text
    assert "Dentist - Juno" in text, "the list of what was left out is for the household"
    assert "A page for the letter drawer" not in text, "only for Ines, and Dov may look on"
    assert "only for Ines" in text
    assert not (home / "output" / "published").exists()


def test_the_same_week_keeps_its_folder(home: Path) -> None:
    """Made again it lies where it lay, byte for byte the same."""
    first = looked_at(home)
    before = (Path(first.folder) / "week.html").read_bytes()
    assert looked_at(home).folder == first.folder
    assert (Path(first.folder) / "week.html").read_bytes() == before


def test_a_name_in_a_released_title_stops_and_leaves_nothing(home: Path) -> None:
    """The spot is named, and what was made before is taken away."""
    looked_at(home)
    config(
        home,
        'share = "area"\n\n[[calendars]]\nid = "lessons"',
        'share = "title"\n\n[[calendars]]\nid = "lessons"',
    )
    config(home, 'released = ["Market stall"]', 'released = ["Market stall", "Choir - Pell"]')
    shown = share(context(home), WEEK)
    assert (shown.outcome.status, shown.folder, shown.preview) == (Status.NOTHING_DONE, "", "")
    assert everything(home) <= {"output/shared", "output/preview"}
    said = [str(problem) for problem in shown.outcome.problems]
    assert any("week.html" in one and "pell" in one and "config.toml" in one for one in said)


def test_a_name_in_a_template_of_one_s_own_stops(home: Path) -> None:
    """The audit reads what is about to be written, whoever put it there; so do links."""
    (home / "templates").mkdir()
    (home / "templates" / "shared.html").write_text(
        '{% include "weeksync/shared.html" %}<!-- by Juno --><a href="https://x.invalid">x</a>'
    )
    config(home, "own_pages = true", 'own_pages = true\ntemplates = "templates"')
    shown = share(context(home), WEEK)
    said = " ".join(str(problem) for problem in shown.outcome.problems)
    assert shown.outcome.status is Status.NOTHING_DONE
    assert "juno" in said
    assert "href" in said
    assert not (home / "output" / "shared").exists()


def test_an_ordinary_word_is_asked_about_once(home: Path) -> None:
    """A child called May: the page's own words have it; the decision is kept in config.toml."""
    config(home, 'name = "Juno"', 'name = "May"')
    asked = share(context(home), WEEK)
    assert asked.outcome.status is Status.NOTHING_DONE
    assert asked.made is not None
    assert asked.made.words == ("may",)
    assert not (home / "output" / "shared").exists()
    assert share(context(home), WEEK, accept=["may"]).outcome.status is Status.FINE
    assert "may" in context(home).config.sharing.harmless
    assert share(context(home), WEEK).outcome.status is Status.FINE


def test_only_what_is_asked_about_can_be_accepted(home: Path) -> None:
    """A word that nothing asks about, a name that stops: neither is written down."""
    with pytest.raises(UsageError, match="nothing is to be decided"):
        share(context(home), WEEK, accept=["pell"])
    assert context(home).config.sharing.harmless == ()


def test_a_week_that_is_not_over_is_refused(home: Path) -> None:
    """And what was made of it before, under another clock, is taken away."""
    looked_at(home)
    early = Context.read(home, datetime(2027, 3, 24, 5, 40, tzinfo=UTC))
    with pytest.raises(UsageError):
        share(early, WEEK)
    assert everything(home) <= {"output/shared", "output/preview"}


def test_publishing_copies_what_was_looked_at(home: Path, tmp_path: Path) -> None:
    """Into the folder that config.toml names; listed, and withdrawn again."""
    sharing(home, f'publish_folder = "{tmp_path}/public"')
    shown = looked_at(home)
    assert publish(context(home), WEEK).status is Status.FINE
    name = Path(shown.folder).name
    out = tmp_path / "public" / name
    assert (out / "week.html").read_bytes() == (Path(shown.folder) / "week.html").read_bytes()
    (entry,) = listed(context(home))
    assert (entry.week, entry.name, entry.published_at) == (
        "2027-W12",
        name,
        "2027-03-30T08:00:00+00:00",
    )
    assert withdraw(context(home), "2027-W12", WEEK).status is Status.FINE
    assert list((tmp_path / "public").iterdir()) == []
    (entry,) = listed(context(home))
    assert not entry.is_out
    assert looked_at(home).folder != shown.folder, "a withdrawn address does not come back"


def test_what_was_not_looked_at_is_not_published(home: Path, tmp_path: Path) -> None:
    """Never made, or another than was made."""
    sharing(home, f'publish_folder = "{tmp_path}/public"')
    with pytest.raises(UsageError, match="look at the week first"):
        publish(context(home), WEEK)
    looked_at(home)
    config(home, 'times = "day part"', 'times = "left out"')
    with pytest.raises(UsageError, match="different"):
        publish(context(home), WEEK)
    assert not (tmp_path / "public").exists()


def test_publishing_needs_a_place(home: Path) -> None:
    """Without folder and command nothing is published."""
    looked_at(home)
    with pytest.raises(UsageError, match="publish_folder"):
        publish(context(home), WEEK)


def test_a_command_is_run_with_the_folder(home: Path, tmp_path: Path) -> None:
    """After publishing and after withdrawing, without a shell; where it fails it is said."""
    script = tmp_path / "send.py"
    script.write_text(
        "import os, sys\n"
        f"open({str(tmp_path / 'sent')!r}, 'a').write(str(len(os.listdir(sys.argv[1]))))\n"
        f"sys.exit('no way' if os.path.exists({str(tmp_path / 'down')!r}) else 0)\n"
    )
    sharing(home, f'publish_command = ["{sys.executable}", "{script}", "{{folder}}"]')
    looked_at(home)
    assert publish(context(home), WEEK).status is Status.FINE
    assert (tmp_path / "sent").read_text() == "1"
    (tmp_path / "down").touch()
    with pytest.raises(BuildError, match="no way"):
        withdraw(context(home), "2027-W12", WEEK)
    assert (tmp_path / "sent").read_text() == "10"
    assert list((home / "output" / "published").iterdir()) == []
    (entry,) = listed(context(home))
    assert entry.is_out, "others still have it"
    (tmp_path / "down").unlink()
    assert withdraw(context(home), "2027-W12", WEEK).status is Status.FINE
    assert (tmp_path / "sent").read_text() == "100"


@pytest.mark.parametrize("left", ["new", "old"])
def test_what_a_stopped_run_left_is_taken_away(home: Path, tmp_path: Path, left: str) -> None:
    """An older version does not stay published under a hidden name."""
    sharing(home, f'publish_folder = "{tmp_path}/public"')
    name = Path(looked_at(home).folder).name
    publish(context(home), WEEK)
    hidden = tmp_path / "public" / f".{name}.{left}"
    hidden.mkdir()
    (hidden / "week.html").touch()
    publish(context(home), WEEK)
    assert not hidden.exists()
    hidden.mkdir()
    withdraw(context(home), name, WEEK)
    assert not list((tmp_path / "public").iterdir())


def test_a_week_that_cannot_be_replaced_stays_published(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The new one is whole and cannot be moved to its place: the one before is put back."""
    name = new_name()
    put(tmp_path, name, {"week.html": b"one"})
    real = Path.rename

    def stuck(self: Path, target: Path) -> Path:
        if self.name.endswith(".new"):
            raise OSError(errno.EIO, "broken")
        return real(self, target)

    monkeypatch.setattr(Path, "rename", stuck)
    with pytest.raises(BuildError, match="still there"):
        put(tmp_path, name, {"week.html": b"two"})
    assert files_in(tmp_path / name) == {"week.html": b"one"}
    assert [one.name for one in tmp_path.iterdir()] == [name]


@pytest.mark.parametrize(
    "place",
    ["output/site", "output/own/x", "output", ".", "..", "marks", "state", "output/preview/a",
     "passwords", "sent"],
)  # fmt: skip
def test_nothing_is_published_in_or_around_private_files(home: Path, place: str) -> None:
    """Neither inside the pages of the household nor where they would be taken along."""
    sharing(home, f'publish_folder = "{place}"')
    with pytest.raises(UsageError, match="private"):
        published_folder(context(home))


def test_a_link_into_private_pages_is_seen_through(home: Path, tmp_path: Path) -> None:
    """The folder that counts is the one a link leads to."""
    (tmp_path / "public").symlink_to(home / "output" / "site")
    sharing(home, f'publish_folder = "{tmp_path}/public"')
    with pytest.raises(UsageError, match="private"):
        publish(context(home), WEEK)


def test_folders_that_nobody_remembers_are_listed_and_can_be_withdrawn(
    home: Path, tmp_path: Path
) -> None:
    """The state was lost: what lies there still is found by its name."""
    sharing(home, f'publish_folder = "{tmp_path}/public"')
    name = Path(looked_at(home).folder).name
    publish(context(home), WEEK)
    (home / "state" / "shared.json").unlink()
    (entry,) = listed(context(home))
    assert (entry.week, entry.name) == ("", name)
    assert withdraw(context(home), name, None).status is Status.FINE
    assert listed(context(home)) == ()
    with pytest.raises(UsageError, match="nothing is published"):
        withdraw(context(home), name, None)


def test_a_damaged_list_is_said_and_nothing_is_lost(home: Path) -> None:
    """It is neither taken for empty nor written over."""
    (home / "state" / "shared.json").write_text("{")
    with pytest.raises(BuildError, match="move it away"):
        share(context(home), WEEK)
    with pytest.raises(BuildError):
        read_register(home / "state")
    assert (home / "state" / "shared.json").read_text() == "{"


def test_a_week_of_which_nothing_is_let_through_says_so(home: Path) -> None:
    """Nothing is the default: an empty page is no fault."""
    text = (home / "config.toml").read_text("utf-8").replace('share = "area"\n', "")
    text = text.replace('share = "title"\n', "").split("[sharing]")[0]
    (home / "config.toml").write_text(text, "utf-8")
    habits = (home / "habits.toml").read_text("utf-8").replace("share = true\n", "")
    (home / "habits.toml").write_text(habits, "utf-8")
    said = " ".join(str(line) for line in looked_at(home).outcome.done)
    assert "No rule lets anything of it through" in said


def test_the_preview_shows_both_weeks_side_by_side(home: Path, tmp_path: Path) -> None:
    """Both frames load from the folder, and the checkers find nothing on the page around them."""
    assert main(["build", "--household", str(home), "--now", AFTER.isoformat()]) == Status.FINE
    page = Path(looked_at(home).preview)
    assert html_mistakes([page], tmp_path) == []
    with chromium() as browser, looking(browser, now=AFTER) as seen:
        seen.goto(page.as_uri())
        headings = [frame.locator("h1").first.inner_text() for frame in seen.frames[1:]]
        assert [heading.split()[0] for heading in headings] == ["Week", "A"]
        for width in (390, 1280):
            seen.set_viewport_size({"width": width, "height": 900})
            assert seen.evaluate("document.documentElement.scrollWidth") <= width
        left, right = (seen.locator("iframe").nth(at).bounding_box() for at in (0, 1))
        assert left is not None
        assert right is not None
        assert (left["y"], left["x"] < right["x"]) == (right["y"], True)
        # axe-core speaks to frames in a way that a folder forbids; the pages in them are checked
        # by themselves.
        seen.evaluate("document.querySelectorAll('iframe').forEach(frame => frame.remove())")
        assert axe(seen) == []
