"""An entry written as a form says it: read, held against what `check` says of it, and saved.

Nothing is written while there is a mistake. What nobody changed in the form is not touched in
the file.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import field, replace
from typing import Any

from weeksync.errors import EditRefused, HouseholdError
from weeksync.household.editing import changed, content_of
from weeksync.household.entry_edits import (
    EntryEdit,
    edited,
    entries_of,
    holder_of,
    key_of,
    place_of,
    text_of,
    write,
)
from weeksync.household.ids import ids_of, suffix
from weeksync.household.toml_edits import CannotEdit
from weeksync.household.would_be import new_mistakes
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.problem import Place as Position
from weeksync.model.problem import Problem
from weeksync.read import new_id
from weeksync.read.positions import Positions
from weeksync.read.shown import short
from weeksync.workflow.edit_kinds import Ending, Kind
from weeksync.workflow.edit_times import Moment
from weeksync.workflow.edit_words import EditWords, Given, Slip
from weeksync.workflow.undo import undoable


@dataclass(frozen=True, slots=True)
class Wrong:
    """One mistake: the field of the form it belongs to ("" for none), and what to say."""

    field: str
    text: str


@dataclass(frozen=True, slots=True)
class Saved:
    """What became of it: `wrong` is empty where it stands in `file` under `id` now.

    `is_new` says that something was written at all.
    """

    id: str = ""
    file: str = ""
    is_new: bool = False
    wrong: tuple[Wrong, ...] = ()


@dataclass(frozen=True, slots=True)
class Place:
    """Where an entry stands: `record` is None for one that is to be added."""

    kind: Kind
    file: str
    record: Any = None
    key: str = ""


@dataclass(frozen=True, slots=True)
class _Read:
    values: dict[str, Any] = field(default_factory=dict)
    wrong: tuple[Wrong, ...] = ()


def place_for(words: EditWords, kind: Kind, key: str) -> Place | None:
    """The entry that is known by `key`, "" for a new one; None where none may be seen."""
    if not key:
        return Place(kind, kind.file)
    for record in kind.held(words):
        if known_by(record) == key and words.may_see(record):
            name = holder_of(words.context.folder, kind.array, key, kind.model)
            return Place(kind, name, record, key) if name is not None else None
    return None


def known_by(record: Any) -> str:
    """What an entry is known by: its id, or a text made from all that it says."""
    ident: str = getattr(record, "id", "")
    return ident or key_of(record.values())


def save(words: EditWords, place: Place, given: Given) -> Saved:
    """Write what was typed; see `Saved`. HouseholdError where the file cannot be written."""
    kind, record = place.kind, place.record
    read = _values(words, kind, given)
    if read.wrong:
        return Saved(wrong=read.wrong)
    values = read.values
    if record is not None:
        before = _values(words, kind, shown(words, kind, record)).values
        values = {
            key: value
            for key, value in values.items()
            if key not in before or _differ(before[key], value)
        }
        if not values:
            return Saved(place.key, place.file)
    ident = place.key
    if record is None and "id" in kind.record.field_names():
        ident = new_id(values[kind.title], kind.word, ids_of(words.context.folder), suffix)
        values = {"id": ident, **values}
    edit = EntryEdit(kind.array, None, values)
    title = short(values.get(kind.title) or kind.title_of(record))
    told = message("Added: “{title}”", title=title)
    if record is not None:
        told = message("Saved: “{title}”", title=title)
    only_for: Iterable[str] = values.get("only_for") or getattr(record, "only_for", ()) or ()
    return _written(words, place, edit, told, tuple(only_for), ident)


def finish(words: EditWords, place: Place, ending: Ending) -> Saved:
    """End an entry, or take it out; see `Saved`."""
    title = short(place.kind.title_of(place.record))
    told = replace(ending.said, values={"title": title})
    edit = EntryEdit(place.kind.array, None, ending.values, ending.out)
    only_for = getattr(place.record, "only_for", ())
    return _written(words, place, edit, told, tuple(only_for), place.key)


def shown(words: EditWords, kind: Kind, record: Any) -> Given:
    """What a form that nobody has touched sends."""
    fields = (one for codec in kind.codecs for one in codec.fields(words, record))
    return Given({one.name: one.values for one in fields})


def _differ(before: Any, after: Any) -> bool:
    """Whether two values say something else: 1 and true do, a list and a tuple do not."""
    return repr(_plain(before)) != repr(_plain(after))


def _plain(value: Any) -> Any:
    return [_plain(one) for one in value] if isinstance(value, list | tuple) else value


def _values(words: EditWords, kind: Kind, given: Given) -> _Read:
    values: dict[str, Any] = {}
    wrong = []
    for codec in kind.codecs:
        try:
            values.update(codec.read(words, given))
        except Slip as slip:
            wrong.append(Wrong(slip.name, _sentence(words, slip.what, slip.remedy)))
    return _Read(values, tuple(wrong))


def _sentence(words: EditWords, what: Message, remedy: Message | None) -> str:
    if remedy is None:
        return words.say(what)
    said = message("{what}; {remedy}", what=words.say(what), remedy=words.say(remedy))
    return words.context.language.text(said)


def _written(
    words: EditWords,
    place: Place,
    edit: EntryEdit,
    told: Message,
    only_for: tuple[str, ...],
    ident: str,
) -> Saved:
    context, kind = words.context, place.kind
    folder = context.folder
    try:
        _check_version(words, place.file)
        before = text_of(folder, place.file)
        if place.record is not None:
            at = place_of(before, kind.array, place.key)
            if at is None:
                raise EditRefused(changed(place.file))
            edit = replace(edit, place=at)
        after = edited(before, edit)
    except CannotEdit:
        return Saved(wrong=(Wrong("", words.say(_written_oddly(place.file))),))
    except EditRefused as error:
        return Saved(wrong=(Wrong("", words.say(error.message)),))
    found = new_mistakes(folder, place.file, after.encode())
    if found:
        at = len(entries_of(after, kind.array)) - 1 if edit.place is None else edit.place
        return Saved(wrong=_as_wrong(words, place, after, at, found))
    try:
        with undoable(context, told, only_for):
            write(folder, place.file, kind.model, before, after)
    except EditRefused as error:
        return Saved(wrong=_refused(words, error))
    return Saved(ident, place.file, is_new=True)


def _refused(words: EditWords, error: HouseholdError) -> tuple[Wrong, ...]:
    """The file that was left as it is, with the mistakes that stand in it."""
    told = [Wrong("", words.say(error.message))]
    told += [
        Wrong("", f"{words.say(one.place.text())}: {_sentence(words, one.what, one.remedy)}")
        for one in error.problems
    ]
    return tuple(told)


def _check_version(words: EditWords, name: str) -> None:
    """EditRefused where the file is no longer what the form was held against."""
    content = content_of(words.context.folder, name)
    now = hashlib.sha256(content).hexdigest() if content is not None else None
    if now != words.context.files.digests.get(name):
        raise EditRefused(changed(name))


def _written_oddly(name: str) -> Message:
    return message(
        "{file} is written in a way in which just this cannot be changed, as with a comment inside "
        "a list; it was left as it is: change it in an editor",
        file=name,
    )


def _as_wrong(
    words: EditWords, place: Place, text: str, at: int, found: tuple[Problem, ...]
) -> tuple[Wrong, ...]:
    """Each mistake at the field of the form that it comes from."""
    names = _names(words, place.kind)
    wrong = []
    for one in found:
        told = _sentence(words, one.what, one.remedy)
        key = _key_of(place, text, at, one)
        if key in names:
            wrong.append(Wrong(names[key], told))
        else:
            # The lines of a file that was not written are nobody's: its name alone.
            here = one.place if one.place.file != place.file else Position(place.file)
            wrong.append(Wrong("", f"{words.say(here.text())}: {told}"))
    return tuple(wrong)


def _names(words: EditWords, kind: Kind) -> Mapping[str, str]:
    """Key of the file → the first field of the form that has it."""
    names = {}
    for codec in kind.codecs:
        fields = codec.fields(words, None)
        names[codec.key] = fields[0].name
        if isinstance(codec, Moment):
            names["end"] = fields[-1].name
    return names


def _key_of(place: Place, text: str, at: int, problem: Problem) -> str:
    """The key of the entry that a mistake is about; "" where it is about none."""
    if problem.place.file != place.file:
        return ""
    spots, kind = Positions(text), place.kind
    entries = entries_of(text, kind.array)
    entry = entries[at] if at < len(entries) else {}
    lines = {key: spots.key_line((kind.array, at, key)) for key in entry}
    here = [key for key, line in lines.items() if line == problem.place.line]
    said = str(problem.what.values.get("key", ""))
    if said in here or (not here and problem.place.line == spots.line((kind.array, at))):
        return said
    return here[0] if len(here) == 1 else ""
