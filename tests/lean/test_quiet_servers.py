"""Nights in which no server has anything new: pages as after a whole night, few requests."""

from __future__ import annotations

import json
import math
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from tests.fetch.kit import PIANO, SWIM
from tests.lean.test_quiet_night import FIRST, LATER, UNTIL, at, files
from tests.support.feeds import (
    Answer,
    Exchange,
    WebServer,
    feed,
    hang,
    relay,
    status,
    web_server,
)
from tests.support.servers import PASSWORD, USER, CalDavServer, radicale, xandikos
from weeksync import demo
from weeksync.cli import main
from weeksync.errors import WeeksyncError
from weeksync.household import password
from weeksync.lean import NOTE, quiet_night, secret
from weeksync.lean.doubt import Doubt
from weeksync.lean.note import read
from weeksync.model.config import CalendarSource
from weeksync.read.checked import checked
from weeksync.workflow.context import Context
from weeksync.workflow.nightly import nightly
from weeksync.workflow.opening import open_store
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.pull import pull
from weeksync.workflow.quiet import note_quiet

ADDRESS_SECRET = "spruce-9-harbour"
"""A word in the feed's address, as many feeds have one instead of a password."""
CALENDARS = 3 + 2 + 1
"""On Radicale, on Xandikos (which makes one by itself), and the feed."""


@dataclass
class Home:
    """A household with calendars on two servers and a feed, each behind a relay that counts."""

    folder: Path
    radicale: CalDavServer
    xandikos: CalDavServer
    webs: tuple[WebServer, WebServer, WebServer]

    def ask(self, now: str = LATER) -> int | None:
        """A night's words at an instant; its requests alone are counted."""
        for one in self.webs:
            one.seen.clear()
        return quiet_night(["--household", str(self.folder), f"--now={now}"])

    @property
    def requests(self) -> int:
        """How many there were."""
        return sum(len(one.seen) for one in self.webs)

    def note(self) -> None:
        """A note that fits it as it is now."""
        context = Context.read(self.folder, at(FIRST), give_ids=False)
        with open_store(context) as store:
            note_quiet(context, store, Outcome(()), math.inf, UNTIL)

    def answer(self) -> None:
        """All servers as they should be."""
        self.webs[0].other = relay(self.radicale.url)
        self.webs[1].other = relay(self.xandikos.url)
        self.webs[2][f"/{ADDRESS_SECRET}/feed.ics"] = feed(PIANO, etag='"1"')


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Home]:
    """The demo household with such calendars, after a night."""
    folder = demo.copy_to(tmp_path_factory.mktemp("servers") / "home")
    with (
        radicale() as one,
        xandikos() as other,
        web_server() as first,
        web_server() as second,
        web_server() as third,
    ):
        for name in ("school", "club", "garden"):
            path = one.make_calendar(name, title=name.title())
            one.put(f"{path}piano.ics", PIANO)
        path = other.make_calendar("rota", title="Rota")
        other.put(f"{path}swim.ics", SWIM)
        home = Home(folder, one, other, (first, second, third))
        home.answer()
        login = f'user = "{USER}"\npassword_file = "secret.txt"'
        (folder / "secret.txt").write_text(PASSWORD + "\n")
        (folder / "secret.txt").chmod(0o600)
        config = folder / "config.toml"
        written = config.read_text()
        for path, place in {
            "home": f'caldav = "{first.url}"\n{login}',
            "rota": f'caldav = "{second.url}{other.home}"\n{login}',
            "lessons": f'url = "{third.url}/{ADDRESS_SECRET}/feed.ics"',
        }.items():
            written = written.replace(f'path = "calendars/{path}.ics"', place)
        config.write_text(written)
        outcome = nightly(Context.read(folder, at(FIRST)), started=math.inf)
        assert not outcome.problems
        assert read(str(folder / "state")) is not None
        yield home


@pytest.fixture
def home(made: Home) -> Iterator[Home]:
    """The same with a note that fits; what a test changes here is put right after it."""
    kept = made.folder.parent / "kept"
    shutil.copytree(made.folder, kept, symlinks=True)
    made.note()
    yield made
    made.answer()
    shutil.rmtree(made.folder)
    kept.rename(made.folder)


def tokens(home: Home) -> dict[str, int]:
    """Collection → how often its token was believed, of those with something in them."""
    context = Context.read(home.folder, at(LATER), give_ids=False)
    with open_store(context) as store:
        known = {**store.known("home"), **store.known("rota")}
    return {name: json.loads(one.token)["pulls"] for name, one in known.items() if one.tags}


def test_a_quiet_night_with_servers_says_what_a_whole_one_would(
    home: Home, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Pages, status and store are byte for byte the same, for at most two requests a calendar."""
    before = files(home.folder)
    assert home.ask() == 0
    assert CALENDARS <= home.requests <= 2 * CALENDARS
    quiet, believed = files(home.folder), tokens(home)
    assert quiet != before
    home.note()
    shutil.rmtree(home.folder / "output")
    shutil.rmtree(home.folder / "state")
    shutil.copytree(home.folder.parent / "kept" / "state", home.folder / "state")
    monkeypatch.setattr("weeksync.workflow.pull._look", lambda *_: None)
    assert not nightly(Context.read(home.folder, at(LATER))).problems
    assert files(home.folder) == quiet
    assert tokens(home) == believed


def test_one_quiet_night_follows_another(home: Home) -> None:
    """The tokens go along."""
    assert [home.ask(), home.ask(), home.ask("2027-03-24T07:32:00Z")] == [0, 0, 0]
    assert set(tokens(home).values()) == {3}


_EVENT = (
    b"<response><href>/ines/club/new.ics</href><propstat><prop><getetag>1</getetag></prop>"
    b"<status>HTTP/1.1 200 OK</status></propstat></response></multistatus>"
)
_CALENDAR = (
    b"<response><href>/ines/new/</href><propstat><prop><resourcetype><collection/>"
    b'<calendar xmlns="urn:ietf:params:xml:ns:caldav"/></resourcetype></prop>'
    b"<status>HTTP/1.1 200 OK</status></propstat></response></multistatus>"
)
NEWS: dict[str, Callable[[Home], object]] = {
    "one event": lambda home: _said_more(home, "REPORT", _EVENT),
    "a calendar": lambda home: _said_more(home, "PROPFIND", _CALENDAR),
    "a server that is ill": lambda home: setattr(home.webs[1], "other", status(503)),
    "the feed": lambda home: _of_feed(home, feed(SWIM, etag='"2"')),
    "a server that hangs": lambda home: _of_feed(home, hang),
    "another password": lambda home: _password(home, "other"),
    "a password others can read": lambda home: (home.folder / "secret.txt").chmod(0o644),
}


def _said_more(home: Home, method: str, more: bytes) -> None:
    def edit(exchange: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        if exchange.method == method:
            assert b"</multistatus>" in body
            body = body.replace(b"</multistatus>", more)
        return code, headers, body

    home.webs[0].other = relay(home.radicale.url, edit=edit)


def _of_feed(home: Home, behaviour: Callable[..., None]) -> None:
    home.webs[2][f"/{ADDRESS_SECRET}/feed.ics"] = behaviour


def _password(home: Home, said: str) -> None:
    (home.folder / "secret.txt").write_text(said)
    home.note()


@pytest.mark.parametrize("news", NEWS)
def test_whatever_is_new_the_night_runs(
    home: Home, news: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """And nothing is touched by having asked."""
    NEWS[news](home)
    monkeypatch.setattr("weeksync.lean.look.SECONDS", 1.0)
    note, before = (home.folder / "state" / NOTE).read_bytes(), files(home.folder)
    assert home.ask() is None
    assert (home.folder / "state" / NOTE).read_bytes() == note
    assert files(home.folder) == before


def test_the_note_holds_neither_passwords_nor_addresses(home: Home) -> None:
    """It names the calendars; the rest is read again where it is kept. It is its owner's alone."""
    place = home.folder / "state" / NOTE
    assert home.ask() == 0
    assert place.stat().st_mode & 0o077 == 0
    told = place.read_text()
    assert '"online": ["home", "lessons", "rota"]' in told
    assert not any(one in told for one in (PASSWORD, ADDRESS_SECRET, "127.0.0.1"))
    stored = (home.folder / "state" / "store.sqlite3").read_bytes()
    assert not any(one.encode() in stored for one in (PASSWORD, ADDRESS_SECRET))


LOG = '\n[log]\nfile = "log.txt"\n'


def logged(home: Home) -> list[str]:
    """The log's lines, without their seconds."""
    lines = (home.folder / "log.txt").read_text().splitlines()
    return [re.sub(r"seconds=\S+|requests=\d+", "…", one) for one in lines]


def test_a_quiet_night_logs_what_a_whole_one_does(
    home: Home, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """To its file, and to standard error where it is asked to; the log is no news itself."""
    config = home.folder / "config.toml"
    config.write_text(config.read_text() + LOG)
    words = ["nightly", "--household", str(home.folder), "--log=info"]
    monkeypatch.setattr("weeksync.cli.runs.STARTED", math.inf)
    assert main([*words, "--now", FIRST]) == 0
    whole, said = logged(home), capsys.readouterr().err
    (home.folder / "log.txt").unlink()
    assert quiet_night([*words[1:], "--now", LATER]) == 0
    assert [one.replace(LATER, FIRST) for one in logged(home)] == whole
    again = capsys.readouterr().err
    assert len(again.splitlines()) == len(said.splitlines()) == len(whole) == 5
    assert "source=home kind=caldav outcome=same objects=3 entries=3 changed=0 requests=4" in again
    assert quiet_night([*words[1:], "--now", LATER]) == 0
    assert len(logged(home)) == 2 * len(whole)
    assert quiet_night([*words[1:-1], "--log=loud", "--now", LATER]) is None


def test_who_waits_to_hear_of_good_nights_hears_of_quiet_ones(home: Home) -> None:
    """And where nobody answers there the night runs, and says so."""
    place = f"/{ADDRESS_SECRET}/well"
    config = home.folder / "config.toml"
    config.write_text(config.read_text() + f'\n[notify]\nwell_url = "{home.webs[2].url}{place}"\n')
    home.note()
    assert ADDRESS_SECRET not in (home.folder / "state" / NOTE).read_text()
    for answer, expected in ((204, 0), (500, None), (302, None), (200, 0)):
        home.webs[2][place] = status(answer, Location="/")
        assert home.ask() == expected
        assert len(home.webs[2].at(place)) == 1


def test_a_pull_asks_first_and_needs_no_library_then(home: Home) -> None:
    """Where only a task has changed; seen from the process itself."""
    program = (
        "import sys; from weeksync.cli import main; status = main(sys.argv[1:]); "
        "print(status, *({'caldav', 'niquests', 'lxml'} & set(sys.modules)))"
    )
    words = ["pull", "--household", str(home.folder), "--now", LATER]
    for one in home.webs:
        one.seen.clear()
    done = subprocess.run(
        [sys.executable, "-c", program, *words], capture_output=True, text=True, check=True
    )
    assert done.stdout.split()[-1] == "0"
    assert CALENDARS <= home.requests <= 2 * CALENDARS
    assert set(tokens(home).values()) == {1}


def test_what_was_chosen_anew_is_pulled(home: Home) -> None:
    """The server's answer is the same, the question is another."""
    config = home.folder / "config.toml"
    written = config.read_text()
    chosen = f'caldav = "{home.webs[0].url}"\n'
    for names in (["School"], ["School", "Club"]):
        config.write_text(written.replace(chosen, f"{chosen}choose = {json.dumps(names)}\n"))
        context = Context.read(home.folder, at(LATER), give_ids=False)
        with open_store(context) as store:
            assert not pull(context, store, accept=["home"]).problems
            assert sorted(store.collections("home").values()) == sorted(names)


def test_a_source_that_failed_is_well_again_by_a_look(home: Home) -> None:
    """Its complaint goes, its last good copy is from now."""
    context = Context.read(home.folder, at(LATER), give_ids=False)
    with open_store(context) as store:
        store.record_failure("home", [], at(FIRST))
        assert not pull(context, store).problems
        state = store.states()["home"]
    assert (state.failed, state.last_good) == (False, at(LATER))


@pytest.mark.parametrize(
    "how",
    [
        {"password_env": "HEDGE"},
        {"password_env": "NOWHERE"},
        {"password_file": "one"},
        {"password_file": "none"},
        {"password_file": "empty"},
        {"password_file": "binary"},
        {"password_command": ("sh", "-c", "cat one; pwd")},
        {"password_command": ("sh", "-c", "cat one; exit 3")},
        {"password_command": ("no-such-program-here",)},
        {"password_command": ("true",)},
        {},
    ],
    ids=str,
)
def test_a_password_is_found_as_the_whole_run_finds_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, how: dict[str, str | tuple[str, ...]]
) -> None:
    """The same word, or trouble for both."""
    for name, content in {"one": b" p w \r\nmore", "empty": b"\nx", "binary": b"\xff\n"}.items():
        (tmp_path / name).write_bytes(content)
        (tmp_path / name).chmod(0o600)
    monkeypatch.setenv("HEDGE", "rose")
    calendar = checked(
        CalendarSource,
        {"id": "a", "url": "https://x.example/", **({"user": "u"} if how else {}), **how},
    )
    expected: str | None = "trouble"
    try:
        expected = password(calendar, tmp_path)
    except WeeksyncError:
        with pytest.raises(Doubt):
            secret.password(how, str(tmp_path))
        return
    assert secret.password(how, str(tmp_path)) == expected


def test_a_password_command_gets_no_password_of_another_calendar(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What else is in the environment it may need."""
    monkeypatch.setenv("HEDGE", "rose")
    monkeypatch.setenv("FIELD", "clover")
    command = {"password_command": ["sh", "-c", "echo $HEDGE $FIELD"]}
    assert secret.password(command, str(tmp_path), {"HEDGE"}) == "clover"


def test_a_password_command_that_hangs_is_ended(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With what it has started."""
    monkeypatch.setattr(secret, "COMMAND_SECONDS", 3.0)
    command = ["sh", "-c", "echo $$ > at; sleep 600 & sleep 600"]
    with pytest.raises(Doubt):
        secret.password({"password_command": command}, str(tmp_path))
    group = int((tmp_path / "at").read_text())
    end = time.monotonic() + 60
    while any(_group(one) == group and _state(one) != "Z" for one in _processes()):
        assert time.monotonic() < end  # killed is not gone at once on a machine with much to do
        time.sleep(0.02)


def _processes() -> list[Path]:
    return [one for one in Path("/proc").iterdir() if one.name.isdigit()]


def _fields(process: Path) -> list[str]:
    """State, parent, group … of a process (proc(5)); nothing where it has gone."""
    try:
        return (process / "stat").read_text().rpartition(")")[2].split()
    except OSError:
        return ["X", "0", "0"]


def _state(process: Path) -> str:
    return _fields(process)[0]


def _group(process: Path) -> int:
    return int(_fields(process)[2])
