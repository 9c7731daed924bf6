"""Releasing one thing writes one line where it belongs, and nothing else changes."""

from __future__ import annotations

from difflib import ndiff
from pathlib import Path

import pytest

from tests.redact.demo_home import W11, copied, read
from weeksync.errors import EditRefused, HouseholdError, UsageError
from weeksync.household.sharing_edits import release_title, remember_words, with_word
from weeksync.household.toml_edits import CannotEdit
from weeksync.workflow.context import Context
from weeksync.workflow.sharing_rules import redacted, releasable, release


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """The demo, its home calendar at title."""
    return copied(tmp_path / "home", home="title")


def contents(home: Path) -> dict[str, str]:
    """The TOML files of the household."""
    return {path.name: path.read_text("utf-8") for path in home.glob("*.toml")}


def changes(before: dict[str, str], after: dict[str, str]) -> list[str]:
    """The lines that came and went, with the file."""
    return [
        f"{name} {line}"
        for name in before
        for line in ndiff(before[name].splitlines(), after[name].splitlines())
        if line[0] in "+-"
    ]


@pytest.mark.parametrize(
    ("what", "file", "label"),
    [
        ("out-of-doors", "habits.toml", "Out of doors"),
        ("library-list", "tasks.toml", "List of library books for the summer term"),
        ("bins-green", "appointments.toml", "Green bin out"),
    ],
)
def test_an_entry_is_released_by_one_line(home: Path, what: str, file: str, label: str) -> None:
    """`share = true` in its own file, comments and order kept; then it is on the page."""
    context = read(home)
    assert label not in redacted(context, W11).let_through
    before = contents(home)
    said = release(context, W11, what)
    assert label in str(said)
    assert changes(before, contents(home)) == [f"{file} + share = true"]
    assert label in redacted(Context.read(home, context.now), W11).let_through


def test_a_title_of_a_calendar_is_released_word_for_word(home: Path) -> None:
    """It is written into `config.toml`; a second one stands behind it; a third time is none."""
    context = read(home)
    before = contents(home)
    assert "Choir - Pell" in releasable(redacted(context, W11).decisions)
    release(context, W11, "choir - pell")
    assert changes(before, contents(home)) == [
        "config.toml + ",
        "config.toml + [sharing]",
        'config.toml + released = ["Choir - Pell"]',
    ]
    again = Context.read(home, context.now)
    assert "Choir - Pell" in redacted(again, W11).let_through
    release(again, W11, "Boiler timer check")
    assert 'released = ["Choir - Pell", "Boiler timer check"]' in contents(home)["config.toml"]
    with pytest.raises(UsageError, match="is on the shared page already"):
        release(Context.read(home, context.now), W11, "Choir - Pell")


@pytest.mark.parametrize(
    ("what", "why"),
    [
        ("water", "habits marked as health are never shared"),
        ("letter-drawer", "what is only for some is never shared"),
        ("frame-present", "what is only for some is never shared"),
        ("dov-present", "what is only for some is never shared"),
        ("canal-days", "an absence is never shared"),
        ("Dov night shift", "releasing “Dov night shift” would not show it"),
        ("Market stall", "releasing “Market stall” would not show it"),
        ("nothing of the kind", "has nothing of the name"),
    ],
)
def test_what_can_never_be_shared_cannot_be_released(home: Path, what: str, why: str) -> None:
    """Health, things for some, absences, what no rule lets through; nothing is written."""
    context, before = read(home), contents(home)
    with pytest.raises(UsageError, match=why):
        release(context, W11, what)
    assert changes(before, contents(home)) == []


def test_an_entry_that_changed_meanwhile_is_left_as_it_is(home: Path) -> None:
    """What was looked at is not what would be released."""
    context = read(home)
    habits = home / "habits.toml"
    text = habits.read_text("utf-8").replace('"Out of doors"', '"Out with the Ferriers"')
    habits.write_text(text, "utf-8")
    with pytest.raises(EditRefused):
        release(context, W11, "out-of-doors")
    assert habits.read_text("utf-8") == text


def test_words_that_are_harmless_are_remembered(home: Path) -> None:
    """Once each, in the order they came."""
    remember_words(home, ["may", "10"])
    remember_words(home, ["bread", "may", " "])
    assert 'harmless = ["may", "10", "bread"]' in contents(home)["config.toml"]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("a = 1\n", 'a = 1\n\n[sharing]\nreleased = ["x \\"y\\""]\n'),
        ("a = 1", 'a = 1\n\n[sharing]\nreleased = ["x \\"y\\""]\n'),
        ("", '[sharing]\nreleased = ["x \\"y\\""]\n'),
        (
            '[sharing] # ours\ntimes = "exact" # so\n\n[paper]\n',
            '[sharing] # ours\ntimes = "exact" # so\nreleased = ["x \\"y\\""]\n\n[paper]\n',
        ),
        ("[sharing]\n[paper]\n", '[sharing]\nreleased = ["x \\"y\\""]\n[paper]\n'),
        (
            '[sharing]\nreleased = [ # one by one\n  "a", # first\n  "b", # last\n]\n',
            '[sharing]\nreleased = [ # one by one\n  "a", # first\n  "b", "x \\"y\\"", # last\n]\n',
        ),
        ("[sharing]\nreleased = []\n", '[sharing]\nreleased = ["x \\"y\\""]\n'),
        ("a = 1\r\n", 'a = 1\r\n\r\n[sharing]\r\nreleased = ["x \\"y\\""]\r\n'),
        ("sharing = { tasks = 1 }\n", 'sharing = { tasks = 1, released = ["x \\"y\\""] }\n'),
    ],
)  # fmt: skip
def test_a_word_is_put_into_the_table_as_it_is_written(before: str, after: str) -> None:
    """Where there is a table, a list, an inline table, another line end, or nothing."""
    assert with_word(before, "released", 'x "y"') == after


def test_a_table_of_dotted_keys_is_left_to_an_editor() -> None:
    """Or edited rightly: whatever comes out says just this more, and no less."""
    text = 'sharing.times = "exact"\n'
    try:
        new = with_word(text, "released", "x")
    except CannotEdit:
        return
    assert 'released = ["x"]' in new


def test_a_title_that_no_file_can_hold_is_refused(home: Path) -> None:
    """Longer than a title may be: the file would have a mistake."""
    before = contents(home)
    with pytest.raises(HouseholdError):
        release_title(home, "x" * 301)
    assert changes(before, contents(home)) == []
