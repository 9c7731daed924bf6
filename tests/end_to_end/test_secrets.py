"""No password, token or key comes out anywhere: every way in is given a word, and all is searched.

What a run says and writes is searched in whole: its words at every level, traces, pages, the
state database, `status.json`, notes, what its commands are given, and what goes into a zip.
"""

from __future__ import annotations

import json
import math
import os
import re
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from http.client import HTTPConnection
from pathlib import Path

import pytest

from tests.support.feeds import web_server
from tests.support.households import write_household
from tests.support.secret_home import WORDS, Marked, forms, marked_home, quiet_home
from tests.support.servers import radicale
from tests.support.serving import Serving
from weeksync.cli import main
from weeksync.errors import BuildError
from weeksync.lean import quiet_night
from weeksync.serve import Access
from weeksync.sharing.publishing import run as publish
from weeksync.workflow.certificate import certificate_folder
from weeksync.workflow.context import Context
from weeksync.workflow.nightly import nightly

pytestmark = pytest.mark.server

DAY = datetime(2027, 3, 24, 4, tzinfo=UTC)
NOW = DAY.isoformat()
FAULTS = """\
import sys
import niquests
from weeksync.cli import main
from weeksync.fetch import channel
from weeksync.workflow import nightly as night
def of_a_library(self, method, url, **more):
    raise RuntimeError(f"{method} {url} {more} {getattr(more.get('auth'), '__dict__', '')}")
niquests.Session.request = of_a_library
ask = channel.Channel.request
def of_ours(self, *given, **more):
    if self.source in {"file", "path", "query"}:
        raise RuntimeError(vars(self), given, self._password and self._password())
    return ask(self, *given, **more)
channel.Channel.request = of_ours
def at_the_end(context, *given, **more):
    raise RuntimeError("a fault of our own")
night.make = at_the_end
sys.exit(main())
"""
"""Faults that nobody foresaw: one of a library whose text has everything in it, one of ours in a
pull, with its password at hand, and one that ends the run with its trace."""

MAY_HOLD = {
    "passwords/file": {"file"},
    "passwords/wrong": {"wrong"},
    "passwords/caldav": {"caldav"},
    "config.toml": {"argument", "in the address", "in an account", "path", "query", "notify"},
    "zip: config.toml": {"argument", "in the address", "in an account", "path", "query", "notify"},
}
"""Where a secret stands because somebody wrote it there: the household's own files, and what is
packed of them. Addresses with a token are part of `config.toml`, and so of the zip."""


@pytest.fixture(scope="module")
def marked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Marked]:
    """The household with its servers, which say what they were sent."""
    folder = tmp_path_factory.mktemp("secrets") / "home"
    with (
        web_server() as server,
        web_server() as elsewhere,
        web_server(tls=True) as tls,
        radicale() as caldav,
    ):
        made = marked_home(folder, server, elsewhere, tls, caldav)
        yield made
        sent = "\n".join(f"{one.path} {one.headers}" for one in server.seen)
        sent += "\n".join(f"{one.path} {one.headers}" for one in elsewhere.seen)
        for name in ("environment", "file", "wrong", "command", "path", "query", "notify"):
            assert any(form.decode() in sent for form in forms(WORDS[name])), f"{name} was not used"
        there = [one for one in elsewhere.seen if one.headers["Authorization"]]
        assert not there, "a login went to another host"


def run(marked: Marked, *words: str, code: str = "") -> dict[str, bytes]:
    """What a command said, with every switch on that makes Python and weeksync say more."""
    program = ["-c", code] if code else ["-m", "weeksync"]
    ended = subprocess.run(
        [sys.executable, "-X", "dev", *program, *words, "--household", str(marked.folder)],
        env={**os.environ, **marked.environment, "WEEKSYNC_TRACE": "1", "LC_ALL": "C.UTF-8"},
        capture_output=True,
        check=False,
        timeout=300,
    )
    name = " ".join(words[:1]) + (" with a fault" if code else "")
    return {f"{name}: output": ended.stdout, f"{name}: errors": ended.stderr}


@pytest.fixture(scope="module")
def found(marked: Marked) -> dict[str, bytes]:
    """All that came out of several runs, by where."""
    said: dict[str, bytes] = {}
    night = run(marked, "nightly", "--now", NOW, "--log", "info")
    said |= night
    marked.change_feeds()
    said |= run(marked, "nightly", "--now", NOW, "--log", "info", code=FAULTS)
    said |= run(marked, "check", "--now", NOW)
    zipped = marked.folder.parent / "household.zip"
    said |= run(marked, "pack", "--now", NOW, str(zipped))
    for errors in ("nightly: errors", "check: errors"):
        lines = said[errors].decode()
        assert "does not accept the name and the password (401)" in lines
        assert "has a name or a password in it" in lines
        assert "did not answer in full within 1" in lines
    assert b"fault of weeksync" in said["nightly with a fault: errors"]
    assert b"a fault of our own" in said["nightly with a fault: errors"]
    with zipfile.ZipFile(zipped) as packed:
        said |= {f"zip: {one}": packed.read(one) for one in packed.namelist()}
    for place in sorted(marked.folder.rglob("*")):
        if place.is_file():
            said[place.relative_to(marked.folder).as_posix()] = place.read_bytes()
    site = marked.folder / "output" / "site"
    said |= {f"site: {one.name}": one.read_bytes() for one in site.glob("*.html")}
    said |= {f"told: {one.name}": one.read_bytes() for one in marked.told.glob("*.txt")}
    return said


@pytest.mark.parametrize("name", WORDS)
def test_a_secret_stands_only_where_somebody_wrote_it(name: str, found: dict[str, bytes]) -> None:
    """Every form of it, in everything that was said and written."""
    said = forms(WORDS[name])
    held = {where for where, content in found.items() if any(one in content for one in said)}
    allowed = {where for where, names in MAY_HOLD.items() if name in names}
    assert held == allowed


def test_what_was_searched_is_everything(found: dict[str, bytes]) -> None:
    """Words, log, pages, state and notes are among it, and the log speaks of each calendar."""
    assert {
        "nightly: errors",
        "nightly with a fault: errors",
        "check: output",
        "state/log.txt",
        "state/store.sqlite3",
        "output/status.json",
        "site: problems.html",
        "site: 2027-W12.html",
        "zip: config.toml",
        "told: keeper.txt",
        "told: ring.txt",
    } <= set(found)
    lines = found["state/log.txt"].decode().splitlines()
    sources = {match[1] for line in lines if (match := re.search(r"source=(\S+)", line))}
    assert len(sources) == 17
    assert {line.split()[1] for line in lines} == {"info", "warning", "error"}
    assert b"Choir" in found["site: 2027-W12.html"]
    assert json.loads(found["output/status.json"])["sources"]


def test_a_users_command_is_not_given_passwords_of_the_environment(found: dict[str, bytes]) -> None:
    """What it is given otherwise, as where to find programs, stays."""
    for one in ("told: keeper.txt", "told: ring.txt"):
        assert b"CALENDAR_PASSWORD" not in found[one]
        assert b"UNUSED_PASSWORD" not in found[one]
        assert b"PATH=" in found[one]


def test_a_quiet_night_keeps_and_tells_no_secret_either(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It signs in and asks by itself, from a note that holds neither addresses nor passwords."""
    home, told = tmp_path / "home", tmp_path / "told"
    names = ("environment", "command", "path", "notify", "argument")
    with web_server() as server:
        quiet_home(home, told, server)
        monkeypatch.setenv("CALENDAR_PASSWORD", WORDS["environment"])
        night = nightly(Context.read(home, DAY), started=math.inf)
        assert not night.problems
        asked = len(server.seen)
        monkeypatch.setenv("CALENDAR_PASSWORD", WORDS["environment"])
        later = (DAY + timedelta(minutes=5)).isoformat()
        assert quiet_night(["--household", str(home), "--now", later]) == 0
        sent = "".join(f"{one.path} {one.headers}" for one in server.seen[asked:])
    for name in names[:-1]:
        assert any(form.decode() in sent for form in forms(WORDS[name])), f"{name} was not used"
    said = {one.name: one.read_bytes() for one in home.rglob("*") if one.is_file()}
    said["keeper.txt"] = (told / "keeper.txt").read_bytes()
    assert {"night.json", "log.txt", "store.sqlite3", "status.json"} <= set(said)
    for name in names:
        held = {where for where, text in said.items() if any(f in text for f in forms(WORDS[name]))}
        assert held == ({"config.toml"} if name in {"path", "notify", "argument"} else set()), name


def test_a_command_that_publishes_is_quoted_without_its_words() -> None:
    """The last line of what it complained of is told: an address in it may be the secret one."""
    with pytest.raises(BuildError, match="did not do its work") as raised:
        publish([sys.executable, "-c", COMPLAINS, PUBLISHED], Path("/x"))
    assert PUBLISHED not in str(raised.value)
    assert "cannot reach …, try later" in str(raised.value)


PUBLISHED = "web:/qz-publish-77e1"
COMPLAINS = "import sys; sys.exit(f'cannot reach {sys.argv[1]}, try later')"
PIN = "739164805"


def test_what_lets_devices_in_is_kept_by_its_digest(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Codes, cookies, PINs and addresses of feeds: neither in the files nor in serve's words."""
    home = write_household(tmp_path / "home", '\n[serve]\nhost = "127.0.0.1"\n')
    at_home = ["--household", str(home)]
    assert main(["devices", "--add", "kitchen", *at_home]) == 0
    code = re.findall(r"The code of kitchen: (\S+);", capsys.readouterr().out)[0]
    assert main(["devices", "--feed", "phone", "--person", "ann", *at_home]) == 0
    feed_token = re.findall(r"/feeds/([^/\s]+)/plan\.ics", capsys.readouterr().out)[0]
    assert main(["certificate", *at_home]) == 0
    Access(home / "state/access.json").set_pin("ann", PIN)
    with Serving(home) as serving:
        status, cookie = _sign_in(serving, code)
        assert status == 303
        assert _sign_in(serving, "AAAA-BBBB-CCCC")[0] != 303
        asked = _post(serving, "/own/unlock", f"person=ann&pin={PIN}&next=index.html", cookie)
        assert asked[0] == 303
        assert _post(serving, "/own/unlock", f"person=ann&pin={PIN}1&next=", cookie)[0] == 403
        assert serving.get(f"/feeds/{feed_token}/plan.ics")[0] == 200
        assert serving.get(f"/feeds/{feed_token}x/plan.ics")[0] == 404
        assert serving.get(f"/%00{feed_token}?{code}")[0] >= 400
        lines = Path(f"/proc/{serving.process.pid}/cmdline").read_bytes()
        ended = serving.end()
    secrets = {"code": code, "plain code": code.replace("-", ""), "feed": feed_token, "pin": PIN}
    secrets |= {"device": cookie.partition("=")[2], "unlocked": asked[1].partition("=")[2]}
    folder = certificate_folder(Context.read(home, DAY))
    keys = {one.name: one.read_text().split("\n")[3] for one in folder.glob("*.key")}
    assert set(keys) == {"server.key", "household-ca.key"}
    assert all(len(value) > 3 for value in (secrets | keys).values())
    said = {"words": repr(ended).encode(), "command line": lines}
    for place in home.rglob("*"):
        if place.is_file():
            said[place.relative_to(home).as_posix()] = place.read_bytes()
    assert "state/access.json" in said
    for what, secret in (secrets | keys).items():
        held = {where for where, content in said.items() if secret.encode() in content}
        assert held == ({f"state/tls/{what}"} if what in keys else set()), what
    for place in (*folder.glob("*.key"), home / "state/access.json"):
        assert place.stat().st_mode & 0o077 == 0


def _sign_in(serving: Serving, code: str) -> tuple[int, str]:
    return _post(serving, "/sign-in", f"code={code}", "")


def _post(serving: Serving, path: str, body: str, cookie: str) -> tuple[int, str]:
    """(status, the cookie that was set)"""
    connection = HTTPConnection("127.0.0.1", serving.port, timeout=60)
    headers = {"Content-Type": "application/x-www-form-urlencoded", "Origin": serving.origin}
    try:
        connection.request("POST", path, body, headers | ({"Cookie": cookie} if cookie else {}))
        answer = connection.getresponse()
        answer.read()
        given = [v.partition(";")[0] for n, v in answer.getheaders() if n.lower() == "set-cookie"]
        return answer.status, next((one for one in given if not one.endswith('""')), "")
    finally:
        connection.close()
