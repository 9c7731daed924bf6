"""`/edit/…`: appointments, tasks, habits, money, routines and lessons, added and changed by form.

`/edit/` lists every kind, `/edit/tasks` one of them, `/edit/tasks?id=…` is the form of an entry
and `/edit/tasks?new=1` that of a new one. What is only for some is to others as what there never
was. `/edit/undo` takes back what was written last, from any page with forms.
"""

from __future__ import annotations

from collections.abc import Mapping

from weeksync.household.ids import ids_of
from weeksync.message import message
from weeksync.serve.desk import FormAnswer, FormPage, GoTo, Sender, Unlock
from weeksync.workflow import undo
from weeksync.workflow.context import Context
from weeksync.workflow.edit_appointments import APPOINTMENTS, ROUTINES
from weeksync.workflow.edit_habits import HABITS
from weeksync.workflow.edit_kinds import Kind
from weeksync.workflow.edit_money import BALANCES, BILLS, GOALS, PAY_DAYS
from weeksync.workflow.edit_pages import ROOT, address, form_page, list_page
from weeksync.workflow.edit_saving import Place, Saved, finish, place_for, save
from weeksync.workflow.edit_tasks import TASKS
from weeksync.workflow.edit_terms import BREAKS, LESSONS, TERMS
from weeksync.workflow.edit_words import EditWords, Given
from weeksync.workflow.versions import PREFIX, stale

KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        TASKS,
        APPOINTMENTS,
        HABITS,
        BILLS,
        PAY_DAYS,
        GOALS,
        BALANCES,
        ROUTINES,
        LESSONS,
        TERMS,
        BREAKS,
    )
}
"""Kinds of entries by the name in their address."""

_OURS = frozenset({"id", "do"})
"""Fields of the form that are no keys of an entry."""


def show(
    context: Context, rest: str, query: Mapping[str, str], sender: Sender
) -> FormAnswer | None:
    """A list, or the form of an entry; None where there is none that may be seen."""
    if "unlock" in query and sender.person is None:
        return Unlock()
    words = EditWords(_with_ids(context), sender.person)
    if not rest:
        return FormPage(list_page(words, tuple(KINDS.values())))
    kind = KINDS.get(rest)
    if kind is None:
        return None
    if "id" not in query and "new" not in query:
        return FormPage(list_page(words, (kind,)))
    place = place_for(words, kind, query.get("id", ""))
    return FormPage(form_page(words, place)) if place is not None else None


def _with_ids(context: Context) -> Context:
    """The household with its ids written in: an entry typed by hand is to be found again."""
    known = ids_of(context.folder)
    files = context.files
    every = (files.tasks, files.appointments, files.habits, files.bills, files.pay_days,
             files.goals, files.routines, files.lessons)  # fmt: skip
    if all(one.id in known for several in every for one in several):
        return context
    return Context.read(context.folder, context.now, output=context.output_folder)


def take(
    context: Context, rest: str, fields: Mapping[str, tuple[str, ...]], sender: Sender
) -> FormAnswer | None:
    """Save an entry, end it, or take back what was written last."""
    given = Given(fields)
    if rest == "undo":
        undo.take_back(context, given.text("token"), sender.person)
        return GoTo(undo.inside(given.text("next"), ROOT))
    kind = KINDS.get(rest)
    if kind is None:
        return None
    words = EditWords(context, sender.person)
    place = place_for(words, kind, given.text("id"))
    typed = Given(
        {
            name: values
            for name, values in fields.items()
            if name not in _OURS and not name.startswith(PREFIX)
        }
    )
    if place is None:
        return _gone(words, Place(kind, kind.file), typed)
    changed = stale(context, fields, (place.file,))
    if changed:
        sentences = [
            words.say(message("{file} has changed meanwhile.", file=one)) for one in changed
        ]
        is_save = not given.text("do")
        return FormPage(form_page(words, place, typed if is_save else None, (), sentences), 409)
    return _done(words, place, given.text("do"), typed)


def _gone(words: EditWords, place: Place, typed: Given) -> FormPage | None:
    """What was typed, where its entry stands no longer in any file; None where nothing was."""
    if not typed.fields:
        return None
    sentence = words.say(
        message("The entry is no longer as it was, or is gone: saving adds it anew.")
    )
    return FormPage(form_page(words, place, typed, (), (sentence,)), 409)


def _done(words: EditWords, place: Place, do: str, typed: Given) -> FormAnswer | None:
    if not do:
        saved = save(words, place, typed)
        return _answer(words, place, saved, typed)
    endings = place.kind.endings(words, place.record) if place.record is not None else ()
    ending = next((one for one in endings if one.name == do), None)
    if ending is None:
        return None
    return _answer(words, place, finish(words, place, ending), None)


def _answer(words: EditWords, place: Place, saved: Saved, typed: Given | None) -> FormAnswer:
    if saved.wrong:
        return FormPage(form_page(words, place, typed, saved.wrong), 422)
    if not saved.is_new:
        told = words.say(message("Nothing was changed."))
        return FormPage(form_page(words, place, told=told))
    return GoTo(address(place.kind))
