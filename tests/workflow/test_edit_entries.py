"""Every entry of the demo through its form: shown, untouched, changed in one place, taken back."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.workflow.edit_desk import FormDesk
from weeksync import demo
from weeksync.read.fields import hints_of, records_in
from weeksync.serve.desk import GoTo
from weeksync.workflow import undo
from weeksync.workflow.edit_choices import Rows
from weeksync.workflow.edit_codecs import Codec
from weeksync.workflow.edit_forms import KINDS
from weeksync.workflow.edit_kinds import Kind
from weeksync.workflow.edit_saving import Place, Saved, known_by, save, shown
from weeksync.workflow.edit_times import Moment
from weeksync.workflow.edit_words import EditWords

OTHERWISE = {
    "tasks": {"id", "carried", "carried_until", "done", "took", "dropped"},
    "bills": {"id", "paid"},
}
"""Keys that other pages write: marks, the evening of planning, the form's own buttons."""


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household; each test leaves it as it was."""
    return demo.copy_to(tmp_path_factory.mktemp("edit") / "home")


def keys(codecs: tuple[Codec, ...]) -> set[str]:
    """The keys of a file that some fields write."""
    found = {one.key for one in codecs}
    return found | {"end"} if any(isinstance(one, Moment) for one in codecs) else found


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_every_key_of_an_entry_has_a_field(kind: Kind) -> None:
    """A key that is added to a file is added to its form, or to those that others write."""
    wanted = set(kind.record.field_names()) - OTHERWISE.get(kind.name, {"id"})
    assert keys(kind.codecs) == wanted


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_every_key_of_a_row_has_a_field(kind: Kind) -> None:
    """Pauses and what is to be prepared, too."""
    for codec in kind.codecs:
        if isinstance(codec, Rows) and codec.parts[0].key:
            [inner] = records_in(hints_of(kind.record)[codec.key])
            assert {part.key for part in codec.parts} == set(inner.field_names())


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_a_form_that_nobody_touches_changes_nothing(home: Path, kind: Kind) -> None:
    """Whatever stands in the entry, the form says it in such a way that it is read as the same."""
    desk = FormDesk(home, "ines")
    before, words = desk.tree(), desk.words
    seen = [one for one in kind.held(words) if words.may_see(one)]
    assert seen
    for record in seen:
        for known in (words, EditWords(words.context, None)):
            if known.may_see(record):
                place = Place(kind, kind.file, record, known_by(record))
                assert save(known, place, shown(known, kind, record)) == Saved(place.key, kind.file)
    assert desk.tree() == before


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda kind: kind.name)
def test_another_title_changes_one_line_and_can_be_taken_back(home: Path, kind: Kind) -> None:
    """Through the form of the first entry of its kind, whoever has unlocked nothing."""
    desk = FormDesk(home)
    before, words = desk.tree(), desk.words
    record = next(one for one in kind.held(words) if words.may_see(one))
    fields = desk.untouched(kind, known_by(record))
    answer = desk.take(kind.name, {**fields, kind.title: (f"{kind.title_of(record)} – new",)})
    assert answer == GoTo(f"/edit/{kind.name}")
    after = desk.tree()
    (name,) = [one for one in after if after[one] != before[one]]
    old, new = before[name].splitlines(), after[name].splitlines()
    assert len(old) == len(new)
    assert sum(one != other for one, other in zip(old, new, strict=True)) == 1
    desk.take("undo", {"token": (undo.steps(desk.context)[0].token,), "next": ("/edit/",)})
    assert desk.tree() == before


def test_lists_name_what_may_be_seen_and_no_more(home: Path) -> None:
    """What is only for Ines is on her list and on nobody else's, and so are amounts."""
    words = FormDesk(home, "ines").words
    hidden = [
        (kind, one)
        for kind in KINDS.values()
        for one in kind.held(words)
        if getattr(one, "only_for", ())
    ]
    assert hidden
    for kind, record in hidden:
        title, key = kind.title_of(record), known_by(record)
        for person in (None, "dov", "ines"):
            page = FormDesk(home, person).show("")
            may = person in record.only_for
            assert page is not None
            assert (f"id={key}" in page) == may, title
            assert (FormDesk(home, person).show(kind.name, id=key) is not None) == may


def test_amounts_are_on_no_page_of_somebody_who_has_not_unlocked(home: Path) -> None:
    """Neither in the list nor in the form; whoever has unlocked sees them."""
    for person, visible in ((None, False), ("ines", True)):
        desk = FormDesk(home, person)
        page, form = desk.show("bills"), desk.show("bills", id="rent")
        assert page is not None
        assert form is not None
        assert ("£815" in page) == visible
        assert ("815.00" in form) == visible


def test_there_is_no_page_of_another_kind_or_entry(home: Path) -> None:
    """Also for an id that is some other kind's."""
    desk = FormDesk(home, "ines")
    assert desk.show("people") is None
    assert desk.show("tasks", id="rent") is None
    assert desk.show("tasks", id="todo-1") is None
    assert desk.take("people", {}) is None
