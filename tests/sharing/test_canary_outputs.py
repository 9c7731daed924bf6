"""No text of a household is in any output, unless a rule lets exactly that text through."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings

from tests.redact.reading import Read, read_canary
from tests.redact.test_canary import ALL, rule_sets
from tests.sharing.conftest import CanaryMade, read_by_machine, squeezed
from tests.support.canary_rules import RuleSet, may_be_seen
from weeksync.language import Language
from weeksync.redact.audit import Piece, audit
from weeksync.sharing.busy import busy_file
from weeksync.sharing.page import html
from weeksync.sharing.reading import texts
from weeksync.sharing.record import Form
from weeksync.sharing.view import page_of
from weeksync.site.render import Renderer
from weeksync.workflow.sharing_made import held_strings, tints

FORMS: tuple[Form, ...] = ("page", "paper", "portrait", "square")


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> Read:
    """The canary household, read once."""
    return read_canary(tmp_path_factory.mktemp("canary"))


@settings(max_examples=25)
@given(rules=rule_sets)
def test_no_word_is_in_a_page_that_no_rule_lets_through(read: Read, rules: RuleSet) -> None:
    """Under any rule set: every form of the page, and the file of busy times, byte for byte."""
    shared = read.redacted(rules).shared
    language = Language(shared.language)
    templates = Renderer(language)
    made = [html(page_of(shared, language, tints(), form), templates) for form in FORMS]
    made += [busy_file(shared.busy)] if shared.busy else []
    most = may_be_seen(read.canary.words, rules)
    found = read.canary.found_in(" ".join(one.decode("utf-8") for one in made))
    assert {place for word, place in found.items() if word not in most} == set()


def test_no_word_is_in_any_file_that_no_rule_lets_through(canary_made: CanaryMade) -> None:
    """Every file with its name: its bytes, its texts, its metadata."""
    files = canary_made.made.outputs.files
    assert {"week.html", "week.pdf", "busy.ics", "week-square-dark.png"} <= files.keys()
    most = may_be_seen(canary_made.canary.words, ALL)
    said = " ".join([*files, *(one.text for one in texts(files))])
    said += " ".join(content.decode("latin-1") for content in files.values())
    found = canary_made.canary.found_in(said)
    assert {place for word, place in found.items() if word not in most} == set()
    assert found, "what is released is not there"


@pytest.mark.parametrize("picture", ["week-portrait-light.png", "week-square-dark.png"])
def test_a_machine_reads_nothing_more_in_a_picture(
    canary_made: CanaryMade, picture: str, tmp_path: Path
) -> None:
    """It reads words that are released, and none that is not."""
    said = squeezed(read_by_machine(canary_made.made.outputs.files[picture], tmp_path))
    found = canary_made.canary.found_in(said)
    most = may_be_seen(canary_made.canary.words, ALL)
    assert set(found) <= most
    assert len(found) >= 5, said


def test_the_audit_raises_no_false_alarm(canary_made: CanaryMade) -> None:
    """Everything that can be released is: nothing of it is a reason to stop."""
    assert canary_made.made.hits == ()
    assert canary_made.made.strays == ()


def test_the_audit_knows_every_text_of_the_household(canary_made: CanaryMade) -> None:
    """Each word of each kind of file and of each property of the calendars is found if it leaks."""
    words = canary_made.canary.words.places
    written = "".join(
        path.read_text("utf-8")
        for path in canary_made.canary.folder.rglob("*.*")
        if path.suffix in {".toml", ".md", ".csv", ".json", ".ics"}
    )
    wanted = {word for word in words if word in written}
    leak = Piece("week.html", "li", " ".join(sorted(wanted)))
    hits = audit([leak], held_strings(canary_made.context), own=(), let_through=())
    assert {words[word] for word in wanted - {hit.word for hit in hits}} == set()
    assert len(wanted) > 400
