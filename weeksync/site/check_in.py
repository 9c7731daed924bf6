"""The record of the form of a check-in: empty in the tree of one's own, filled in when served."""

from __future__ import annotations

from datetime import date

from weeksync.message import message
from weeksync.model.check_in import MOST_SIGNS, STEPS, CheckInFields
from weeksync.site.caution import caution
from weeksync.site.frame import frame
from weeksync.site.inputs import SiteInput
from weeksync.site.record import CheckInPage
from weeksync.site.render import Renderer
from weeksync.site.words import Words

NOTHING = CheckInFields()
"""A check-in that says nothing yet."""


def check_in_page(
    inputs: SiteInput,
    person: str = "",
    day: date | None = None,
    fields: CheckInFields = NOTHING,
    seen: str = "",
) -> bytes:
    """The form of a person and a day with what stands there; without them, of any.

    `seen` stands for the file as it was read, and comes back with what is written.
    """
    words = Words(inputs)
    page = _record(inputs, words, person, day, fields, seen)
    return Renderer(inputs.language, inputs.templates).render("check_in.html", page)


def _record(
    inputs: SiteInput,
    words: Words,
    person: str,
    day: date | None,
    said: CheckInFields,
    seen: str,
) -> CheckInPage:
    texts = {
        "saved": message("Saved."),
        "kept": message("Kept on this device, and not handed over yet."),
        "locked": message("Kept on this device: unlock your pages, then hand it over."),
        "empty": message("There is nothing to save: all five are empty."),
        "unkept": message("This browser keeps nothing, so nothing was saved: save it as a file."),
        "filed": message("Saved as a file; it is kept here until it is handed over, too."),
    }
    return CheckInPage(
        **frame(inputs, words, "own-check-in", words.text(message("Check-in"))),
        person=words.person(person) if person else None,
        people=words.persons(one.id for one in inputs.config.people),
        day=words.stamp(day) if day is not None else None,
        feeling=said.feeling,
        energy=said.energy,
        why=said.why,
        help=said.help,
        gratitude=said.gratitude,
        seen=seen,
        steps=tuple((step, words.language.number(step)) for step in STEPS),
        most=MOST_SIGNS,
        texts=tuple((key, words.text(text)) for key, text in texts.items()),
        caution=tuple(map(words.text, caution(inputs.config.household.region or ""))),
    )
