"""While pages are served: ticks of to-dos written to their servers soon after they are made.

A thread of its own does it, so that neither an answer nor a page waits for somebody else's server.
The store is only held for as long as taking over takes, not while a server is asked.
"""

from __future__ import annotations

import threading
from collections.abc import Callable

from weeksync.errors import StoreBusy, WeeksyncError
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.workflow.reader import Reader


@dataclass(frozen=True, slots=True)
class SendPace:
    """Seconds: after a tick, since it is often taken back at once; before another try where one
    failed, twice as long each time, up to the longest; and for the store of another run."""

    quiet: float = 3.0
    again: float = 60.0
    longest: float = 3600.0
    store: float = 60.0


class TickSender:
    """Writes what waits for a server; `complain` is told what goes wrong, once."""

    def __init__(
        self,
        reader: Reader,
        *,
        complain: Callable[[Message], None],
        pace: SendPace | None = None,
    ) -> None:
        self._reader = reader
        self._complain = complain
        self._pace = pace or SendPace()
        self._wake = threading.Condition()
        self._asked = True  # what was left over by the last run
        self._stopped = False
        self._told: set[str] = set()
        self._thread = threading.Thread(target=self._run, name="ticks", daemon=True)

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def stop(self) -> None:
        """End; a request that is under way may end by itself, and what waits goes on waiting."""
        with self._wake:
            self._stopped = True
            self._wake.notify()
        if self._thread.is_alive():
            self._thread.join(timeout=self._pace.quiet)

    def ask(self) -> None:
        """Something was marked; returns at once."""
        with self._wake:
            self._asked = True
            self._wake.notify()

    # All below runs in the thread.

    def _run(self) -> None:
        pause: float | None = None
        while True:
            with self._wake:
                if not (self._asked or self._stopped):
                    self._wake.wait(pause)
                if not self._stopped and self._asked:
                    self._asked = False
                    self._wake.wait_for(lambda: self._stopped, self._pace.quiet)
                if self._stopped:
                    return
            before = pause or self._pace.again / 2
            pause = None if self._send() else min(before * 2, self._pace.longest)

    def _send(self) -> bool:
        """Write what waits; whether nothing is left to be tried again."""
        try:
            return self._send_all()
        except StoreBusy:
            return False
        except WeeksyncError as error:
            self._say(error.message)
        except Exception as error:  # a fault of our own must not end the thread: ticks are kept
            self._say(
                message(
                    "ticks could not be written: {kind}, a fault of weeksync; they are kept",
                    kind=type(error).__name__,
                )
            )
        return False

    def _send_all(self) -> bool:
        context = self._reader.read(give_ids=False)
        if not any(one.tick_todos for one in context.config.calendars):
            return True
        # A library for HTTP comes with it.
        from weeksync.store import Store
        from weeksync.workflow.opening import open_store
        from weeksync.workflow.run_log import tick_line, to_file
        from weeksync.workflow.write_ticks import collect, keep, send

        with Store.open(context.state, write=False) as store:
            found = collect(context, store)
        for sending, jobs in found:
            send(context, sending, jobs)
            if sending.lines or sending.problems:
                with open_store(context, wait=self._pace.store) as store:
                    keep(context, store, sending)
            ends = [one for one in sending.ends(jobs) if one[1]]  # what waits is tried often
            lines = [tick_line(sending.source.id, *one) for one in ends]
            for problem in (*sending.problems, *to_file(context, lines)):
                self._say(problem.what)
        return not any(sending.unreached for sending, _ in found)

    def _say(self, what: Message) -> None:
        if str(what) not in self._told:
            self._told.add(str(what))
            self._complain(what)
