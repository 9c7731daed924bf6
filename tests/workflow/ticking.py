"""A household whose to-dos lie on a real CalDAV server, behind a relay that sees every request."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from pathlib import Path

from tests.support.feeds import Behaviour, Exchange, WebServer, relay
from tests.support.households import NOW, write_household
from tests.support.servers import PASSWORD, USER, CalDavServer
from weeksync.model.household import Mark
from weeksync.model.spread import PlanTask
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.gather import gather
from weeksync.workflow.mark import Taken, take_marks
from weeksync.workflow.opening import open_store
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.pull import pull

SEEDS = (
    "UID:seeds\r\nDTSTAMP:20270301T080000Z\r\nSUMMARY:Order seeds\r\nDUE;VALUE=DATE:20270326\r\n"
)
POTS = (
    "UID:pots\r\nDTSTAMP:20270301T080000Z\r\nSUMMARY:Water the pots\r\n"
    "DTSTART;VALUE=DATE:20270322\r\nDUE;VALUE=DATE:20270322\r\nRRULE:FREQ=DAILY;COUNT=5\r\n"
)


def todo(lines: str, *more: str) -> bytes:
    """An object with a to-do of these lines, and with further ones."""
    body = "".join(f"BEGIN:VTODO\r\n{one}END:VTODO\r\n" for one in (lines, *more))
    head = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//example.org//ticking//EN\r\n"
    return f"{head}{body}END:VCALENDAR\r\n".encode()


@dataclass
class Ticking:
    """The household, its server and the relay between; `now` is the instant of the next step."""

    folder: Path
    server: CalDavServer
    web: WebServer
    path: str
    title: str
    now: datetime = NOW
    instead: dict[str, Behaviour] = field(default_factory=dict)
    """Method → what is done in place of the server."""

    def __post_init__(self) -> None:
        real = relay(self.server.url)

        def between(exchange: Exchange) -> None:
            self.instead.get(exchange.method, real)(exchange)

        self.web.other = between
        self.write_config("tick_todos = true")

    def write_config(self, *lines: str) -> None:
        """The calendar with these further lines."""
        entry = [
            "[[calendars]]",
            'id = "errands"',
            f'caldav = "{self.web.url}{self.path}"',
            f'user = "{USER}"',
            'password_file = "password"',
            *lines,
        ]
        write_household(self.folder, "\n" + "\n".join(entry) + "\n")
        secret = self.folder / "password"
        secret.write_text(PASSWORD)
        secret.chmod(0o600)

    def name(self, name: str) -> str:
        """The path of an object."""
        return f"{self.path}{name}.ics"

    def put(self, name: str, content: bytes) -> None:
        """Somebody else writes an object."""
        self.server.put(self.name(name), content)

    def get(self, name: str = "seeds") -> bytes:
        """What the server has."""
        return self.server.get(self.name(name))

    def context(self) -> Context:
        """The household at the next minute."""
        self.now += timedelta(minutes=1)
        return Context.read(self.folder, self.now)

    def pull(self, *, accept: bool = False) -> Outcome:
        """`weeksync pull`, with `accept` for what is gone; the requests before are forgotten."""
        self.web.seen.clear()
        context = self.context()
        with open_store(context) as store:
            return pull(context, store, accept=["errands"] if accept else [])

    def tasks(self) -> dict[str, PlanTask]:
        """Every to-do of the week by its title and day, as the pages have it."""
        context = self.context()
        with Store.open(context.state, write=False) as store:
            found = gather(context, store, date(2027, 3, 22), date(2027, 3, 28))
        spread = found.planner.week(context.rule.week_of(context.today))
        tasks = [task for day in spread.days for task in day.tasks]
        return {
            f"{one.title} {one.shown_on or ''}".strip(): one for one in (*tasks, *spread.undated)
        }

    def task(self, title: str) -> PlanTask:
        """The one whose title begins like that."""
        return next(one for name, one in self.tasks().items() if name.startswith(title))

    def tick(self, title: str = "Order seeds", value: str = "done") -> Taken:
        """Tick it on the tablet, or take that back."""
        return self.send(self.task(title).id, value)

    def send(self, thing: str, value: str = "done") -> Taken:
        """A mark that arrives for this id."""
        context = self.context()
        at = context.now
        mark = Mark(thing, context.today, "", value, at, at, "kitchen")
        return take_marks(context, [mark])

    def sent(self, *methods: str) -> list[str]:
        """The methods of requests since the last pull began, in order; those that were let in."""
        return [
            one.method
            for one in self.web.seen
            if one.headers["Authorization"] and (not methods or one.method in methods)
        ]

    def journal(self) -> list[dict[str, object]]:
        """Its lines, the first one without."""
        found: list[dict[str, object]] = []
        for file in sorted((self.folder / "sent").glob("*.jsonl")):
            found += [json.loads(line) for line in file.read_text().splitlines()]
        return [line for line in found if "step" in line]

    def steps(self) -> list[object]:
        """What the journal says, in order."""
        return [line["step"] for line in self.journal()]
