"""A household whose calendars come by file, feed and CalDAV, and whole nights over it.

The feed and the account stand behind one web server of ours, the account's calendars are on a
real Radicale behind it. Each has one event on a page, whose title says which edition it is: so a
page shows by itself which sources are fresh and which are a last good copy.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Mapping
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from pathlib import Path
from typing import Any, Self
from unittest.mock import patch

from tests.support.feeds import Answer, Behaviour, Exchange, Seen, WebServer, basic, relay
from tests.support.households import write_household
from tests.support.servers import PASSWORD, CalDavServer
from weeksync.cli.run import run
from weeksync.model.pulled import KnownCollection, SourceState
from weeksync.store import Store

START = datetime(2027, 3, 24, 4, 0, tzinfo=UTC)
"""The first night; each later one is a minute after the one before."""
PAUSE = 0.01
"""Seconds before the second of three attempts, for 0.5: how many there are is what counts here."""
SECRET_PATH = "/private-7f3a/school.ics"
SECRETS = (PASSWORD, "aW5lczpm", "private-7f3a", "Traceback", "secret-of-a-file-7")
"""What no output may hold: the password, plain and in base64, the feed's address, our own code."""
TITLE = "Café"
"""With a letter that shows a wrong charset."""


class Kind(StrEnum):
    """What a fault is played to."""

    FILE = "file"
    FEED = "feed"
    ACCOUNT = "CalDAV account"
    CALENDAR = "one calendar of it"


SOURCE = {
    Kind.FILE: "kitchen",
    Kind.FEED: "school",
    Kind.ACCOUNT: "family",
    Kind.CALENDAR: "family",
}
"""The calendar of `config.toml` that it is."""
EVENTS = {
    Kind.FILE: ("Kitchen",),
    Kind.FEED: ("School",),
    Kind.ACCOUNT: ("Home", "Club"),
    Kind.CALENDAR: ("Club",),
}
"""First words of the titles that stand still when it fails."""

_CALENDARS = """
[pull]
timeout_seconds = {seconds}
budget_seconds = 60
run_seconds = {run_seconds}
max_megabytes = 4

[[calendars]]
id = "kitchen"
path = "kitchen.ics"

[[calendars]]
id = "school"
url = "{feed}"
user = "{user}"
password_file = ".password"

[[calendars]]
id = "family"
caldav = "{account}"
user = "{user}"
password_file = ".password"
"""

HABITS = """\
format = 1

[[habits]]
id = "walk"
title = "Walk"
person = "ann"
"""


def event(title: str, uid: str = "", day: str = "20270325") -> str:
    """A VEVENT of an hour."""
    return (
        f"BEGIN:VEVENT\r\nUID:{uid or title.split()[0]}@example.org\r\nDTSTAMP:20270101T000000Z\r\n"
        f"DTSTART:{day}T100000Z\r\nDURATION:PT1H\r\nSUMMARY:{title}\r\nEND:VEVENT\r\n"
    )


def text(*events: str) -> bytes:
    """A calendar of them."""
    head = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//example.org//faults//EN\r\n"
    return f"{head}{''.join(events)}END:VCALENDAR\r\n".encode()


@dataclass(frozen=True)
class Night:
    """One run: its exit status, each line it said, and what was asked of the web server."""

    status: int
    said: tuple[str, ...]
    requests: tuple[Seen, ...]
    at: datetime

    def about(self, source: str) -> list[str]:
        """The lines about one calendar, without its id."""
        begin = (f"{source}: ", f"{source} (")
        return [line.removeprefix(f"{source}: ") for line in self.said if line.startswith(begin)]


@dataclass
class Home:
    """The household and its servers; `edition` is what the calendars are at now."""

    folder: Path
    web: WebServer
    server: CalDavServer
    calendars: Mapping[str, str]
    """First word of a title → path of its calendar on the server."""
    now: datetime = START
    edition: int = 0
    feed_text: bytes = b""
    addresses: dict[str, str] = field(default_factory=dict)
    seconds: int = 30
    run_seconds: int = 900
    good: dict[str, tuple[int, datetime]] = field(default_factory=dict)
    """The edition and the time at which each calendar of `config.toml` was last pulled well."""
    is_well: bool = False
    """False from the beginning of a fault until the good night after it."""

    @classmethod
    def begun(cls, folder: Path, web: WebServer, server: CalDavServer) -> Self:
        """A household after two good nights: the second one has tokens to go by."""
        folder.mkdir(parents=True)
        calendars = {
            word: server.make_calendar(word.lower(), title=word) for word in ("Home", "Club")
        }
        home = cls(folder, web, server, calendars)
        for _ in range(2):
            home.edit()
            home.good_night()
        return home

    @property
    def feed_url(self) -> str:
        """The feed's address."""
        return f"http://localhost:{self.web.server_address[1]}{SECRET_PATH}"

    @property
    def account_url(self) -> str:
        """The account's address."""
        return f"http://localhost:{self.web.server_address[1]}{self.server.home}"

    @property
    def site(self) -> Path:
        """Where pages are read."""
        return self.folder / "output" / "site"

    def configure(self) -> None:
        """Write `config.toml`, with other `addresses` where there are some."""
        words = {"feed": self.feed_url, "account": self.account_url, **self.addresses}
        times = {"seconds": self.seconds, "run_seconds": self.run_seconds}
        config = _CALENDARS.format(user=self.server.user, **times, **words)
        write_household(self.folder, config, habits_toml=HABITS)
        file = self.folder / "config.toml"
        small = file.read_text("utf-8").replace("weeks_back = 1", "weeks_back = 0")
        file.write_text(small.replace("weeks_ahead = 2", "weeks_ahead = 0"), "utf-8")
        secret = self.folder / ".password"
        secret.write_text(f"{PASSWORD}\n")
        secret.chmod(0o600)

    def title(self, word: str, edition: int | None = None) -> str:
        """What its event is called."""
        return f"{word} {TITLE} {self.edition if edition is None else edition:03}"

    def edit(self) -> None:
        """Every calendar changes: the next edition."""
        self.edition += 1
        (self.folder / "kitchen.ics").write_bytes(text(event(self.title("Kitchen"))))
        self.feed_text = text(event(self.title("School")))
        for word, path in self.calendars.items():
            self.server.put(f"{path}{word}.ics", text(event(self.title(word))))
        self.well()

    def well(self) -> None:
        """Feed and server answer as they should; addresses and time-outs are right."""
        self.web[SECRET_PATH] = self.feed_answer()
        self.web.other = relay(self.server.url)
        self.addresses, self.seconds, self.run_seconds = {}, 30, 900
        self.configure()

    def feed_answer(self, content: bytes | None = None, **headers: str) -> Behaviour:
        """The feed as it should be, or with another content or headers."""
        body = self.feed_text if content is None else content
        tag = f'"{self.edition}-{len(body)}"'
        named = {"Content-Type": "text/calendar", "ETag": tag, **headers}

        def answer(exchange: Exchange) -> None:
            same = exchange.headers["If-None-Match"] == tag
            exchange.answer(304 if same else 200, b"" if same else body, named)

        return basic(self.server.user, PASSWORD, answer)

    def answers(self, kind: Kind, behaviour: Behaviour) -> None:
        """From now on `behaviour` in place of each answer of that kind."""
        if kind is Kind.FEED:
            self.web[SECRET_PATH] = behaviour
        else:
            its = self._is(kind)
            self.web.other = relay(
                self.server.url, instead=lambda one: behaviour if its(one) else None
            )

    def changes(self, kind: Kind, edit: Callable[[Exchange, Answer], Answer]) -> None:
        """From now on each good answer of that kind is changed: `edit(exchange, answer)`."""
        if kind is Kind.FEED:
            good = (200, {"Content-Type": "text/calendar"}, self.feed_text)
            self.web[SECRET_PATH] = basic(
                self.server.user, PASSWORD, lambda one: _answer(one, edit(one, good))
            )
            return
        its = self._is(kind)

        def changed(one: Exchange, real: Answer) -> Answer:
            return edit(one, real) if its(one) and 200 <= real[0] < 300 else real

        self.web.other = relay(self.server.url, edit=changed)

    def _is(self, kind: Kind) -> Callable[[Exchange], bool]:
        """Whether a request is for what the kind stands for."""
        begin = "/" if kind is Kind.ACCOUNT else self.calendars["Club"]
        return lambda exchange: exchange.path.startswith(begin)

    def night(self, *words: str) -> Night:
        """A whole `weeksync nightly` at the next minute, or the command of `words`."""
        self.now += timedelta(minutes=1)
        self.web.seen.clear()
        out, errors = io.StringIO(), io.StringIO()
        arguments = [*(words or ("nightly",)), "--household", str(self.folder)]
        short = patch("weeksync.fetch.channel.BACK_OFF_SECONDS", PAUSE)
        with short, redirect_stdout(out), redirect_stderr(errors):
            status = run([*arguments, "--now", self.now.isoformat()])
        assert out.getvalue() == ""
        return Night(status, tuple(errors.getvalue().splitlines()), tuple(self.web.seen), self.now)

    def good_night(self) -> None:
        """A night in which all is well: every calendar is shown as it is now."""
        night = self.night()
        assert (night.status, night.said) == (0, ()), night
        assert all(self.shows(word, self.edition) for kind in Kind for word in EVENTS[kind])
        self.good = dict.fromkeys(SOURCE.values(), (self.edition, self.now))
        self.is_well = True

    def page(self, name: str = "2027-W12.html") -> str:
        """A page as it is shown now."""
        return (self.site / name).read_text("utf-8")

    def shows(self, word: str, edition: int) -> bool:
        """Whether the week's page has the event in that edition, and in no other."""
        page = self.page()
        return self.title(word, edition) in page and page.count(f"{word} {TITLE}") == page.count(
            self.title(word, edition)
        )

    def known(self, source: str) -> dict[str, KnownCollection]:
        """Tokens and tags in the store."""
        with Store.open(self.folder / "state", write=False) as store:
            return store.known(source)

    def state(self, source: str) -> SourceState:
        """How it stands in the store."""
        with Store.open(self.folder / "state", write=False) as store:
            return store.states()[source]

    def spilled(self, night: Night) -> list[str]:
        """The secrets that are in what was said or in any file of the pages."""
        shown = ["\n".join(night.said).encode()]
        shown += [
            path.read_bytes() for path in (self.folder / "output").rglob("*.*") if path.is_file()
        ]
        return [one for one in SECRETS if any(one.encode() in text for text in shown)]

    def status_file(self) -> dict[str, Any]:
        """`status.json`, by calendar."""
        found = json.loads((self.folder / "output" / "status.json").read_text("utf-8"))
        return {one["id"]: one for one in found["sources"]}


def _answer(exchange: Exchange, answer: Answer) -> None:
    code, headers, body = answer
    exchange.answer(code, body, headers)
