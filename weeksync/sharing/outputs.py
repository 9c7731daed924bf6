"""Everything of a shared week that can be published, in memory: names and contents.

The names say what a file is and nothing of the week or the household.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from weeksync.language import Language
from weeksync.lazy import dataclass
from weeksync.message import Message
from weeksync.model.fields import DayPart
from weeksync.model.shared import (
    BusyPeriod,
    SharedArea,
    SharedDay,
    SharedEvent,
    SharedHabit,
    SharedTask,
    SharedWeek,
    ShownAs,
)
from weeksync.sharing.busy import WARNING, busy_file
from weeksync.sharing.engine import missing
from weeksync.sharing.page import Templates, html
from weeksync.sharing.pictures import GROUNDS, SIZES, pictures, sheet
from weeksync.sharing.record import SharedTint
from weeksync.sharing.view import page_of

PAGE, SHEET, BUSY = "week.html", "week.pdf", "busy.ics"
NAMES = (PAGE, SHEET, BUSY, *(f"week-{form}-{ground}.png" for form in SIZES for ground in GROUNDS))
"""All the names there may be."""

_SOME_TIME = BusyPeriod(datetime(2000, 1, 3, 9, tzinfo=UTC), datetime(2000, 1, 3, 10, tzinfo=UTC))


@dataclass(frozen=True, slots=True)
class Outputs:
    """What was made: name → content, and what is to be known of it."""

    files: dict[str, bytes]
    own: dict[str, bytes]
    """The same with nothing of the household in it: what they say by themselves."""
    notes: tuple[Message, ...]


def outputs(
    shared: SharedWeek,
    language: Language,
    templates: Templates,
    ours: Templates,
    tints: Sequence[SharedTint],
) -> Outputs:
    """Page, pictures, PDF and busy times of a week; `language` is that of the shared week.

    `ours` are the templates without those of the household: what stands in its own is looked at
    like everything else. Pictures and PDF are left out where their engine is not installed, which
    `notes` says. Same input, same bytes.
    """
    page = page_of(shared, language, tints)
    files, notes = {PAGE: html(page, templates)}, []
    lacking = missing()
    if lacking is None:
        files[SHEET] = sheet(page, templates)
        files |= {f"week-{name}.png": made for name, made in pictures(page, templates)}
    else:
        notes.append(lacking)
    if shared.busy:
        files[BUSY] = busy_file(shared.busy)
        notes.append(WARNING)
    empty = html(page_of(_sample(shared, tints), language, tints), ours)
    own = {PAGE: empty, BUSY: busy_file([_SOME_TIME])}
    return Outputs(files, own, tuple(notes))


def _sample(shared: SharedWeek, tints: Sequence[SharedTint]) -> SharedWeek:
    """A week with one of everything and nothing of anybody's: all that the page says by itself."""
    areas = tuple(SharedArea("", "", tint.name) for tint in tints)
    parts = (None, *DayPart)
    events = tuple(
        SharedEvent(ShownAs.BUSY, "", None, ("",), part, "00:00" if part else "") for part in parts
    )
    tasks = tuple(SharedTask(ShownAs.TITLE, "", areas[0], done=done) for done in (False, True))
    return SharedWeek(
        language=shared.language,
        days=tuple(SharedDay(day, events, tasks) for day in range(7)),
        habits=(SharedHabit(ShownAs.TITLE, "", (True,) * 7),),
        week=shared.week,
        areas=areas,
    )
