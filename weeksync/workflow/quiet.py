"""What a finished night leaves for the next one, so that it can see that nothing has changed."""

from __future__ import annotations

import os
import re
import sqlite3
import time
from collections.abc import Collection, Iterable, Iterator
from datetime import datetime, timedelta
from pathlib import Path

from markupsafe import escape

from weeksync.errors import HouseholdError
from weeksync.household.files import replace_file
from weeksync.lean import (
    CLOCKS_APART,
    NOTE,
    SETTLED,
    Note,
    code_print,
    content_print,
    newest,
    stat_print,
)
from weeksync.model.config import CalendarSource
from weeksync.site import renaming
from weeksync.site.offline import STATUS
from weeksync.store import Store
from weeksync.store.schema import version_of
from weeksync.workflow.context import Context
from weeksync.workflow.kept_pages import has_hidden, templates_of
from weeksync.workflow.outcome import Outcome, Status
from weeksync.workflow.program import code_places
from weeksync.workflow.run_log import kind_in_log
from weeksync.workflow.status_file import status_place

MADE_ONCE = ("archive", "snapshots")
"""Folders of the household whose files weeksync writes and nobody edits."""


JUMP = 1.0
"""Seconds: a clock that was set by more while the night ran cannot tell what was edited since."""


def note_quiet(
    context: Context,
    store: Store,
    outcome: Outcome,
    started: float,
    until: datetime,
    fresh: Collection[str] | None = None,
) -> None:
    """Leave the note, or take it away where the next night has to run whole.

    `started` is when the run began to read (seconds since 1970): what has been edited since may not
    be on the pages. `until` is when the same files make other pages. `fresh` are the files that
    this run has made, as `site/index.html`, where not all are to be looked through: only they can
    say when it looked.

    It is left where all is well, and where every server can be asked in a few words whether
    anything has changed (`lean.look`). Where it cannot be written the next night simply runs.
    """
    place = context.state / NOTE
    try:
        note = _note(context, store, outcome, started, until, fresh)
        if note is None:
            place.unlink(missing_ok=True)
        else:
            replace_file(place, note.written(), mode=0o600)
    except (OSError, HouseholdError, sqlite3.Error):  # the last: no room to move its log in
        return


def _note(
    context: Context,
    store: Store,
    outcome: Outcome,
    started: float,
    until: datetime,
    fresh: Collection[str] | None,
) -> Note | None:
    states = store.states().values()
    calendars = context.config.calendars
    if (
        outcome.status is not Status.FINE
        or any(one.last_good != context.now for one in states)
        or renaming.is_used(context.output)
        or until <= context.now
        or abs(time.time() - time.monotonic() - CLOCKS_APART) > JUMP
    ):
        return None
    online = [one for one in calendars if not one.path]
    if not all(_is_askable(store, one) for one in online):
        return None
    dated = [str(one) for one in _dated(context, fresh)]
    if not dated:
        return None
    dated.append(str(status_place(context).resolve()))
    folder, output = _whole(context.folder), _whole(context.output)
    templates = templates_of(context)
    files = (_whole(context.folder / Path(one.path).expanduser()) for one in calendars if one.path)
    places = {folder, *files}
    if templates is not None:
        if has_hidden(templates):  # which the look passes over
            return None
        places.add(_whole(templates))
    asked = context.config.log
    log = (
        (_whole(context.folder / asked.file), asked.level, asked.kilobytes) if asked.file else None
    )
    logs = {log[0], f"{log[0]}.1"} if log is not None else set()
    skip = sorted({_whole(context.state), output, *logs})
    by_date = [os.path.join(folder, one) for one in MADE_ONCE]
    folders, installed = code_places()
    if newest(places, skip=skip) > started - SETTLED:
        return None
    objects, entries = store.object_counts(), store.entry_counts()
    store.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    shown = sorted([output, _whole(store.file)])
    return Note(
        places=sorted(places),
        skip=skip,
        by_date=by_date,
        content=content_print(places, skip=skip, by_date=by_date),
        folders=folders,
        installed=installed,
        code=code_print(folders, installed),
        shown=shown,
        made=stat_print(shown),
        schema=version_of(store.connection),
        at=int(context.now.timestamp()),
        until=int(until.timestamp()),
        clocks=list(_clocks(context, until)),
        dated=dated,
        online=[one.id for one in online],
        sources=[
            (one.id, kind_in_log(one), objects.get(one.id, 0), entries.get(one.id, 0))
            for one in calendars
        ],
        log=log,
        well=bool(context.config.notify.well_url),
    )


def _is_askable(store: Store, source: CalendarSource) -> bool:
    from weeksync.lean.look import Kept, Online, is_askable

    online = Online(source.url, source.caldav, source.choose, source.user)
    known = store.known(source.id)
    return is_askable(online, {name: Kept(one.token, one.tags) for name, one in known.items()})


def _whole(place: Path | str) -> str:
    return os.path.abspath(place)


def _clocks(context: Context, until: datetime) -> Iterable[str]:
    moment = context.now.replace(second=0)
    while moment <= until:
        yield str(escape(context.language.moment(moment.astimezone(context.tz))))
        moment += timedelta(minutes=1)


def _dated(context: Context, fresh: Collection[str] | None) -> Iterable[Path]:
    """The files that say when it was looked at last; none where one says it in another way."""
    when = context.now.isoformat(timespec="seconds")
    clock = str(escape(context.language.moment(context.local_now)))
    said = re.compile(
        rf'<time datetime="?{re.escape(when)}"?[^>]*>{re.escape(clock)}</time>'.encode()
    )
    found = []
    for path in _files(context.output, fresh):
        content = path.read_bytes()
        if path.name == STATUS:
            found.append(path)
        elif when.encode() in content:
            if content.count(when.encode()) != len(said.findall(content)):
                return []
            found.append(path)
    return found


def _files(output: Path, fresh: Collection[str] | None) -> Iterator[Path]:
    """Those of both trees, in the order of their paths."""
    for tree in ("site", "own"):
        folder = (output / tree).resolve()
        if fresh is None:
            yield from (path for path in sorted(folder.rglob("*")) if path.is_file())
        else:
            its = (one.removeprefix(f"{tree}/") for one in fresh if one.startswith(f"{tree}/"))
            yield from sorted(folder / one for one in its)
