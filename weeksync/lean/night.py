"""A night in which nothing has changed, from its words to its end."""

from __future__ import annotations

import os
import re
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from datetime import UTC, datetime

from weeksync.lean.doubt import Doubt
from weeksync.lean.note import NOTE, Note, read
from weeksync.lean.prints import code_print, content_print, stat_print

TYPE_CHECKING = False  # `typing` takes a while to import, and type checkers know the name
if TYPE_CHECKING:
    from weeksync.lean.sources import Asked, Tokens

STORE, LOCK = "store.sqlite3", "lock"
LEVELS = ("error", "warning", "info")
"""As `lean.log` has them."""
HOUSEHOLD = "WEEKSYNC_HOUSEHOLD"


def quiet_night(words: Sequence[str]) -> int | None:
    """0 where `weeksync nightly` with these words has nothing to do but say when it looked.

    None where it has to run: something has changed or cannot be told, somebody watches, other
    options are asked for, another run is at work, or the clock says another time than it can be.
    Nothing has been touched then. Servers are asked last, when all that lies here is as it was.
    """
    asked = _asked(words)
    if asked is None or _is_watched():
        return None
    begun = time.monotonic()
    household, now, level = asked
    household = os.path.abspath(household)
    state = os.path.join(household, "state")
    try:
        note = read(state)
        if note is None or not (note.at <= now < note.until):
            return None
        if os.path.join(state, STORE) not in note.shown:  # copied with another household
            return None
        with _alone(state):
            if not _is_as_noted(note) or _is_half_written(state):
                return None
            seen = _say_when(note, household, state, now)
            if level or note.log:
                from weeksync.lean.telling import log

                log(note, seen, level, now, time.monotonic() - begun)
    except (OSError, ValueError, LookupError, TypeError, AttributeError):
        return None
    except (Doubt, RecursionError, ImportError):
        return None
    return 0


def _is_watched() -> bool:
    return any(one is not None and one.isatty() for one in (sys.stdout, sys.stderr))


def _asked(words: Sequence[str]) -> tuple[str, int, str] | None:
    """(household, now, level of the log) of what cron has use for; None for any other words."""
    given = {"--household": "", "--now": "", "--log": ""}
    rest = list(words)
    while rest:
        name, equals, value = rest.pop(0).partition("=")
        if name not in given or not (equals or rest):
            return None
        given[name] = value if equals else rest.pop(0)
    household, level = given["--household"] or os.environ.get(HOUSEHOLD, "."), given["--log"]
    if level not in {"", *LEVELS}:
        return None
    if not given["--now"]:
        return household, int(datetime.now(UTC).timestamp()), level
    try:
        moment = datetime.fromisoformat(given["--now"])
    except ValueError:
        return None
    return (household, int(moment.timestamp()), level) if moment.tzinfo is not None else None


@contextmanager
def _alone(state: str) -> Iterator[None]:
    """The lock of the one writer, as `store` takes it; OSError where another run has it."""
    import fcntl

    number = os.open(os.path.join(state, LOCK), os.O_RDWR)
    try:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
        yield
    finally:
        os.close(number)


def _is_as_noted(note: Note) -> bool:
    """The cheapest first."""
    return (
        stat_print(note.shown) == note.made
        and code_print(note.folders, note.installed) == note.code
        and content_print(note.places, skip=note.skip, by_date=note.by_date) == note.content
    )


def _is_half_written(state: str) -> bool:
    """Whether the store has something in its log that is not in the file yet."""
    try:
        return os.path.getsize(os.path.join(state, f"{STORE}-wal")) > 0
    except FileNotFoundError:
        return False


def _say_when(note: Note, household: str, state: str, now: int) -> Asked:
    """Store, pages and note say that it was looked at `now`; Doubt where a server has news.

    The note is written last: a run that is cut short leaves one that fits nothing any more, and
    the next night runs whole.
    """
    before, after = (datetime.fromtimestamp(one, UTC).isoformat() for one in (note.at, now))
    seen = _store_when(note, household, os.path.join(state, STORE), after)
    passed = now // 60 - note.at // 60  # no zone of today has an offset with seconds in it
    clock, then = note.clocks[passed], note.clocks[0]
    element = re.compile(
        rf'(<time datetime="){re.escape(before)}("[^>]*>){re.escape(then)}(</time>)'
    )
    for place in note.dated:
        with open(place, encoding="utf-8", newline="") as file:
            text = file.read()
        if not place.endswith(".html"):
            text = text.replace(f'"{before}"', f'"{after}"')
        else:
            text = element.sub(rf"\g<1>{after}\g<2>{_plain(clock)}\g<3>", text)
        put(place, text.encode())
    renewed = note.looked_again(now, note.clocks[passed:], stat_print(note.shown))
    put(os.path.join(state, NOTE), renewed.written(), mode=0o600)
    return seen


def _plain(text: str) -> str:
    return text.replace("\\", r"\\")


def _store_when(note: Note, household: str, place: str, when: str) -> Asked:
    import sqlite3

    try:
        store = sqlite3.connect(f"file:{_quoted(place)}?mode=rw", uri=True, isolation_level=None)
        try:
            if store.execute("PRAGMA user_version").fetchone()[0] != note.schema:
                raise ValueError(note.schema)
            tokens: Tokens = {}
            seen: Asked = {}
            if note.online:
                from weeksync.lean.sources import unchanged

                tokens, seen = unchanged(note.online, household, store)
            if note.well:
                from weeksync.lean.telling import well

                well(household)
            store.execute("BEGIN IMMEDIATE")
            store.execute("UPDATE source SET last_tried = ?, last_good = ?", (when, when))
            store.executemany(
                "UPDATE collection SET token = ? WHERE name = ?"
                " AND source = (SELECT id FROM source WHERE name = ?)",
                [(token, name, source) for (source, name), token in tokens.items()],
            )
            store.execute("COMMIT")
        finally:
            store.close()
    except sqlite3.Error as error:
        raise OSError(str(error)) from error
    return seen


def _quoted(place: str) -> str:
    """A path in a URI (RFC 3986 section 2.1): what SQLite would read as a query is escaped."""
    return place.replace("%", "%25").replace("?", "%3f").replace("#", "%23")


def put(place: str, content: bytes, mode: int = 0o666) -> None:
    """In place whole, through a temporary file of our own and a rename; its rights stay."""
    temporary = os.path.join(os.path.dirname(place), f".{os.path.basename(place)}.tmp")
    with suppress(FileNotFoundError):  # of a night that was killed, or a link to anywhere
        os.unlink(temporary)
    number = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    try:
        with os.fdopen(number, "wb") as file:
            with suppress(FileNotFoundError):
                os.fchmod(number, os.stat(place).st_mode & 0o777)
            file.write(content)
            file.flush()
            os.fsync(number)
        os.replace(temporary, place)
    except OSError:
        with suppress(OSError):
            os.unlink(temporary)
        raise
