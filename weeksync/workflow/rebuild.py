"""Pages kept up to date while they are served: what is marked, edited or pulled comes onto them.

One thread does it all, one thing at a time, so marks never wait for pages and two builds never
meet. What a mark touches is made first (`build_weeks`), the whole site when it has been quiet
for a while; a whole build that is under way makes room for a mark that arrives. The household's
lock keeps it from publishing while `weeksync nightly` does. Where a build fails, the last good
site stays, the reason is told once, and it is tried again after a change, or after a minute.
"""

from __future__ import annotations

import gc
import threading
import time
from collections.abc import Callable, Iterable

from weeksync.errors import StoreBusy, WeeksyncError
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.week import IsoWeek
from weeksync.workflow.build import build
from weeksync.workflow.build_weeks import build_weeks
from weeksync.workflow.context import Context
from weeksync.workflow.opening import open_store
from weeksync.workflow.reader import Reader
from weeksync.workflow.standing import changed_between, files_of, pages_of, store_of

Tell = Callable[[tuple[str, ...]], None]


@dataclass(frozen=True, slots=True)
class Pace:
    """Seconds between what is done; the defaults are what a home computer hardly notices."""

    look: float = 2.0
    """Between two looks at the files, for what was edited by hand or pulled by another run."""
    quiet: float = 1.5
    """After a mark or an edit, before the whole site is made."""
    latest: float = 30.0
    """After the first of many marks, however fast they follow each other."""
    busy: float = 0.5
    """Before another try where another run of weeksync is writing."""
    again: float = 60.0
    """Before another try where a build failed and nothing has changed."""


class _MakeRoom(Exception):
    """A mark has arrived while the whole site was being made."""


class Rebuilder:
    """Keeps the pages of a household up to date in a thread of its own.

    `context` is the household as it stands; `complain` is told why a build failed, once.
    """

    def __init__(
        self,
        reader: Reader,
        context: Context,
        *,
        complain: Callable[[Message], None],
        pace: Pace | None = None,
    ) -> None:
        self._reader = reader
        self._context = context
        self._complain = complain
        self._pace = pace or Pace()
        self._wake = threading.Condition()
        self._weeks: set[IsoWeek] = set()
        self._stopped = False
        self._whole_at: float | None = None
        self._asked_at: float | None = None
        self._tells: list[Tell] = []
        self._told: str | None = None
        self._files, self._store = files_of(context), store_of(context)
        self._today = context.today
        self._pages = pages_of(context.output / "site")
        self._thread = threading.Thread(target=self._run, name="rebuild", daemon=True)

    @property
    def context(self) -> Context:
        """The household as it was read for the last whole build that went well."""
        return self._context

    def on_built(self, tell: Tell) -> None:
        """Ask to be told which pages have changed, in the thread that makes them."""
        self._tells.append(tell)

    def start(self) -> None:
        """Begin; the whole site is made once, so that it is the one of these files and today."""
        self._ask_for_all(0.0)
        self._thread.start()

    def stop(self) -> None:
        """End when what is being published is in place."""
        with self._wake:
            self._stopped = True
            self._wake.notify()
        if self._thread.is_alive():
            self._thread.join()

    def touched(self, weeks: Iterable[IsoWeek]) -> None:
        """Something of these weeks was marked; returns at once."""
        with self._wake:
            self._weeks |= set(weeks)
            self._wake.notify()

    # All below runs in the thread.

    def _run(self) -> None:
        while True:
            with self._wake:
                if not (self._weeks or self._stopped):
                    self._wake.wait(self._pause())
                if self._stopped:
                    return
                weeks, self._weeks = self._weeks, set()
            try:
                self._one_thing(weeks)
            except StoreBusy:
                self._later(weeks)
            except WeeksyncError as error:
                self._failed(error.message)
            except Exception as error:
                # A fault of our own must not end the thread: marks are taken all the same.
                self._failed(
                    message(
                        "the pages could not be made: {kind}, a fault of weeksync; marks are "
                        "kept, and the pages of before are still there",
                        kind=type(error).__name__,
                    )
                )

    def _pause(self) -> float:
        if self._whole_at is None:
            return self._pace.look
        return max(0.0, min(self._pace.look, self._whole_at - time.monotonic()))

    def _one_thing(self, weeks: set[IsoWeek]) -> None:
        if weeks and not self._late():
            self._ask_for_all(self._pace.quiet)
            self._make_weeks(weeks)
        elif self._whole_at is not None and time.monotonic() >= self._whole_at:
            self._make_all()
        else:
            self._look()

    def _ask_for_all(self, after: float) -> None:
        now = time.monotonic()
        if self._asked_at is None:
            self._asked_at = now
        self._whole_at = min(now + after, self._asked_at + self._pace.latest)

    def _later(self, weeks: set[IsoWeek]) -> None:
        """Another run of weeksync is writing: what was to be done is done after it."""
        with self._wake:
            self._weeks |= weeks
            if not self._stopped:
                self._wake.wait(self._pace.busy)

    def _failed(self, why: Message) -> None:
        self._asked_at, self._whole_at = None, time.monotonic() + self._pace.again
        if str(why) != self._told:
            self._told = str(why)
            self._complain(why)

    def _make_weeks(self, weeks: set[IsoWeek]) -> None:
        context = self._reader.read()
        with open_store(context) as store:
            done = build_weeks(context, store, weeks)
        self._store = store_of(context)
        if done is None:
            self._ask_for_all(0.0)
        self._tell_changes()

    def _make_all(self) -> None:
        self._files = files_of(self._context)  # what is edited from here on is seen as an edit
        try:
            context = self._reader.read()
            with open_store(context) as store:
                build(context, store, progress=_Steps(self._makes_room))
        except _MakeRoom:
            return
        self._whole_at = self._asked_at = self._told = None
        if context.config.site.templates != self._context.config.site.templates:
            self._files = files_of(context)
        self._context, self._today = context, context.today
        self._store = store_of(context)
        self._tell_changes()
        gc.collect()  # a plan refers to itself; left to the thresholds it would stay for hours

    def _makes_room(self) -> bool:
        """Whether a whole build that is under way is to wait for what has just been marked."""
        return self._stopped or (bool(self._weeks) and not self._late())

    def _late(self) -> bool:
        """Whether marks have kept the whole site waiting long enough; they are on it, too."""
        asked = self._asked_at
        return asked is not None and time.monotonic() > asked + self._pace.latest

    def _look(self) -> None:
        """What others did: files edited, calendars pulled, pages built; or midnight has passed."""
        self._tell_changes()
        files, store = files_of(self._context), store_of(self._context)
        today = self._reader.now().astimezone(self._context.tz).date()
        if (files, store) != (self._files, self._store):
            self._files, self._store = files, store
            self._ask_for_all(self._pace.quiet)
        elif today != self._today:
            self._today = today
            self._ask_for_all(0.0)

    def _tell_changes(self) -> None:
        pages = pages_of(self._context.output / "site")
        names = changed_between(self._pages, pages)
        self._pages = pages
        if names:
            for tell in self._tells:
                tell(names)


@dataclass(frozen=True, slots=True)
class _Steps:
    """The steps of a whole build, between which it can be given up."""

    ends: Callable[[], bool]

    def start(self, what: Message, steps: int) -> None:
        """Nothing to show."""
        self.step()

    def step(self) -> None:
        """One more step is done: go on, or make room."""
        if self.ends():
            raise _MakeRoom
