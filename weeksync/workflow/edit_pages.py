"""The pages on which entries are listed, added and changed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any
from urllib.parse import quote

from weeksync.message import message
from weeksync.site.forms import render_served, served_frame
from weeksync.site.record import (
    EditListPage,
    EditPage,
    EntryLine,
    EntryList,
    FormButton,
    FormField,
    FormGroup,
    Link,
    MistakeLine,
)
from weeksync.workflow.edit_kinds import Group, Kind
from weeksync.workflow.edit_saving import Place, Wrong, known_by
from weeksync.workflow.edit_words import EditWords, Given
from weeksync.workflow.field_words import in_words
from weeksync.workflow.kept_pages import templates_of
from weeksync.workflow.undo import said, undo_line
from weeksync.workflow.versions import digests

ROOT = "/edit/"


def address(kind: Kind) -> str:
    """The page of all entries of a kind."""
    return f"{ROOT}{kind.name}"


def list_page(words: EditWords, kinds: Sequence[Kind]) -> bytes:
    """The entries of these kinds."""
    one = kinds[0] if len(kinds) == 1 else None
    heading = words.say(one.heading if one is not None else message("Add or change"))
    here = address(one) if one is not None else ROOT
    everything = Link(ROOT, words.say(message("All kinds"))) if one is not None else None
    page = EditListPage(
        **served_frame(words.context.config, words.context.language, "edit", heading),
        said=said(words.context, words.person),
        undo=undo_line(words.context, words.person, here),
        lists=tuple(_list(words, kind) for kind in kinds),
        all=everything,
        unlock=_unlock(words, f"{here}?unlock=1"),
    )
    return _rendered(words, "edit_list.html", page)


def _unlock(words: EditWords, here: str) -> Link | None:
    """The way to unlocking and back, for somebody who has not."""
    return Link(here, words.say(message("Unlock"))) if words.person is None else None


def _own_address(place: Place) -> str:
    which = f"id={quote(place.key)}" if place.key else "new=1"
    return f"{address(place.kind)}?{which}&unlock=1"


def _list(words: EditWords, kind: Kind) -> EntryList:
    found = [one for one in kind.held(words) if words.may_see(one)]
    over = [kind.over(words, one) for one in found]
    lines = [_line(words, kind, one, ended) for one, ended in zip(found, over, strict=True)]
    return EntryList(
        id=kind.name,
        heading=words.say(kind.heading),
        add=Link(f"{address(kind)}?new=1", words.say(kind.add)),
        entries=tuple(line for line in lines if not line.ended),
        ended=tuple(line for line in reversed(lines) if line.ended),
        empty=words.say(kind.empty),
    )


def _line(words: EditWords, kind: Kind, record: Any, ended: bool) -> EntryLine:
    href = f"{address(kind)}?id={quote(known_by(record))}"
    return EntryLine(href, kind.title_of(record), kind.note(words, record), ended)


def form_page(
    words: EditWords,
    place: Place,
    given: Given | None = None,
    wrong: Sequence[Wrong] = (),
    stale: Sequence[str] = (),
    told: str = "",
) -> bytes:
    """The form of an entry; `given` is what was typed into it, where something was.

    `stale` are sentences on what has changed meanwhile: what stands in the file is then shown
    beside each field in which something else was typed.
    """
    kind, record = place.kind, place.record
    told_apart = bool(stale) and record is not None
    groups = tuple(_group(words, group, record, given, wrong, told_apart) for group in kind.groups)
    labels = {one.name: one.label for group in groups for one in group.fields}
    heading = kind.title_of(record) if record is not None else words.say(kind.add)
    endings = kind.endings(words, record) if record is not None else ()
    page = EditPage(
        **served_frame(words.context.config, words.context.language, "edit", heading),
        said="" if wrong or stale else told or said(words.context, words.person),
        undo=None if wrong or stale else undo_line(words.context, words.person, address(kind)),
        mistakes=tuple(
            MistakeLine(
                one.field if one.field in labels else "", labels.get(one.field, ""), one.text
            )
            for one in wrong
        ),
        stale=tuple(stale),
        seen=tuple(digests(words.context, [place.file]).items()),
        action=address(kind),
        id=place.key,
        groups=groups,
        save=words.say(message("Save")),
        others=tuple(
            FormButton(one.name, words.say(one.text), words.say(one.hint)) for one in endings
        ),
        back=Link(address(kind), words.say(kind.heading)),
        notes=_notes(words, place, endings),
        unlock=_unlock(words, _own_address(place)) if kind.file == "money.toml" else None,
    )
    return _rendered(words, "edit.html", page)


def _group(
    words: EditWords,
    group: Group,
    record: Any,
    given: Given | None,
    wrong: Sequence[Wrong],
    told_apart: bool,
) -> FormGroup:
    """The fields of a group; it is open where the entry says something in it."""
    made = [
        one
        for codec in group.codecs
        for one in codec.fields(words, record, given.rows(codec.key) if given else 0)
    ]
    usual = {one.name: one.values for codec in group.codecs for one in codec.fields(words, None)}
    filled = tuple(_filled(words, one, given, wrong, told_apart=told_apart) for one in made)
    return FormGroup(
        words.say(group.heading) if group.heading is not None else "",
        filled,
        group.folded,
        any(_said(one.values) != _said(usual.get(one.name, ())) for one in filled),
    )


def _notes(words: EditWords, place: Place, endings: Iterable[Any]) -> tuple[str, ...]:
    if place.record is None or place.kind.stays is None or any(one.out for one in endings):
        return ()
    return (words.say(place.kind.stays),)


def _filled(
    words: EditWords,
    one: FormField,
    given: Given | None,
    wrong: Sequence[Wrong],
    *,
    told_apart: bool,
) -> FormField:
    """The field with what was typed into it, what is wrong with that, and what stands there."""
    mistakes = [mistake.text for mistake in wrong if mistake.field == one.name]
    made = replace(one, mistake=" ".join(mistakes))
    if given is None:
        return made
    typed = given.fields.get(one.name, ())
    if told_apart and _said(typed) != _said(one.values):
        made = replace(made, stands=in_words(words.context.language, one))
    return replace(made, values=typed if one.options else tuple(filter(None, typed)))


def _said(values: Iterable[str]) -> set[str]:
    """What is typed or chosen; the empty choice is none."""
    return {one for one in values if one}


def _rendered(words: EditWords, template: str, page: EditListPage | EditPage) -> bytes:
    context = words.context
    return render_served(context.language, template, page, templates_of(context))
