"""A household whose every secret is a word of its own, and servers that try to get it out again.

`Marked.words` has the words by what they are; each stands for a password, a token or a key. The
user's own commands write down what they are given by their surroundings: their environment, and
the command lines of weeksync and of all that it has started.
"""

from __future__ import annotations

import base64
import sys
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import quote

from tests.support.feeds import Exchange, WebServer, answer, basic, drip, feed, redirect
from tests.support.households import calendar, event, write_household
from tests.support.servers import PASSWORD, USER, CalDavServer

USER_NAME = "ann"
WORDS = {
    "environment": "qz-environment-41d7",
    "unused environment": "qz-unused-9b02",
    "file": "qz-file-7c1e",
    "wrong": "qz-wrong-c0de",
    "command": "qz-command-5a90",
    "argument": "qz-argument-e318",
    "in the address": "qz-address-2f6b",
    "in an account": "qz-account-6d19",
    "path": "qz-path-83aa",
    "query": "qz-query-d471",
    "notify": "qz-notify-0e5c",
    "caldav": PASSWORD,
}
_TELL = """\
import os, sys
told = [f"{name}={value}" for name, value in os.environ.items()]
for one in filter(str.isdecimal, os.listdir("/proc")):
    try:
        parent = open(f"/proc/{one}/stat").read().rpartition(")")[2].split()[1]
        if int(one) != os.getpid() and os.getppid() in (int(one), int(parent)):
            told.append(open(f"/proc/{one}/cmdline").read().replace("\\0", " "))
    except OSError:
        pass
with open(os.path.join(os.path.dirname(__file__), sys.argv[1]), "a") as file:
    file.write("\\n".join(told))
"""


def forms(word: str) -> tuple[bytes, ...]:
    """How a secret may be written: as it is, escaped for an address, and inside a Basic login
    (RFC 7617), where the three places a text may have in base64 (RFC 4648) differ."""
    inside = {
        base64.b64encode(b"\0" * shift + word.encode())[4 if shift else 0 : -4].strip(b"=")
        for shift in range(3)
    }
    return (word.encode(), quote(word, safe="").encode(), *sorted(inside))


def echo(exchange: Exchange) -> None:
    """500 with all that was sent, in the body and in header fields."""
    sent = f"{exchange.path} {exchange.headers['Authorization']}"
    page = f"<html><title>{sent}</title><p>{exchange.headers}</p></html>"
    exchange.answer(500, page.encode(), {"X-Error": sent, "Content-Type": "text/html"})


@dataclass
class Marked:
    """The household, and where its own commands write."""

    folder: Path
    told: Path
    server: WebServer
    environment: dict[str, str] = field(default_factory=dict)

    @property
    def words(self) -> dict[str, str]:
        """What → word."""
        return WORDS

    def change_feeds(self) -> None:
        """Two of the good ones hold something else from now on."""
        other = calendar(event("choir@home.arpa", "20270326T190000", "Choir")).encode()
        login = (USER_NAME, WORDS["file"])
        self.server["/file.ics"] = basic(*login, feed(other, etag='"2"'))
        self.server[f"/{WORDS['path']}/good.ics"] = feed(other)


def _login(way: str) -> str:
    return f'user = "{USER_NAME}"\n{way}\n'


def _keeper(told: Path) -> list[str]:
    """A command that prints a password, and writes down there what it is given."""
    told.mkdir()
    (told / "keeper.py").write_text(f"{_TELL}print({WORDS['command']!r})\n")
    return [sys.executable, str(told / "keeper.py"), "keeper.txt", WORDS["argument"]]


def quiet_home(folder: Path, told: Path, server: WebServer) -> None:
    """A household in whose nights all is well: three calendars on the server, and an address to be
    asked for after a good night."""
    good = calendar(event("choir@home.arpa", "20270325T190000", "Choir")).encode()
    same, home = feed(good, etag='"1"'), server.url
    server["/environment.ics"] = basic(USER_NAME, WORDS["environment"], same)
    server["/command.ics"] = basic(USER_NAME, WORDS["command"], same)
    server[f"/{WORDS['path']}/good.ics"] = same
    server[f"/{WORDS['notify']}"] = answer(b"")
    environment = _login('password_env = "CALENDAR_PASSWORD"')
    calendars = {
        "environment": f'url = "{home}/environment.ics"\n{environment}',
        "command": f'url = "{home}/command.ics"\n'
        + _login(f"password_command = {_keeper(told)!r}"),
        "path": f'url = "{home}/{WORDS["path"]}/good.ics"\n',
    }
    config = "".join(f'\n[[calendars]]\nid = "{name}"\n{text}' for name, text in calendars.items())
    config += f'\n[notify]\nwell_url = "{home}/{WORDS["notify"]}"\n'
    config += '\n[log]\nfile = "state/log.txt"\nlevel = "info"\n'
    write_household(folder, config)


def marked_home(
    folder: Path, server: WebServer, elsewhere: WebServer, tls: WebServer, caldav: CalDavServer
) -> Marked:
    """Write it and set the servers up."""
    told = folder.parent / "told"
    keeper = _keeper(told)
    (told / "ring.py").write_text(_TELL)
    ring = [sys.executable, str(told / "ring.py"), "ring.txt", "{status}"]
    good = calendar(event("choir@home.arpa", "20270325T190000", "Choir")).encode()
    path, query = WORDS["path"], WORDS["query"]
    server["/environment.ics"] = basic(USER_NAME, WORDS["environment"], feed(good))
    server["/file.ics"] = basic(USER_NAME, WORDS["file"], feed(good, etag='"1"'))
    server["/wrong.ics"] = basic(USER_NAME, "another", feed(good))
    server["/command.ics"] = basic(USER_NAME, WORDS["command"], drip(good, 0.2))
    server[f"/{path}/good.ics"] = feed(good)
    server[f"/{path}/page.ics"] = echo
    server["/query.ics"] = echo
    server["/echo/"] = basic(USER_NAME, WORDS["file"], echo)
    server[f"/{path}/moved.ics"] = redirect(f"{elsewhere.url}/{path}/there.ics?token={query}")
    elsewhere.other = basic("somebody", "else", feed(good))
    server[f"/{WORDS['notify']}"] = echo
    caldav.put(caldav.make_calendar("home", "Home") + "choir.ics", good)
    home, secure = server.url, tls.url
    file = _login('password_file = "passwords/file"')
    calendars = {
        "environment": f'url = "{home}/environment.ics"\n'
        + _login('password_env = "CALENDAR_PASSWORD"'),
        "unset": f'url = "{home}/unset.ics"\n' + _login('password_env = "UNUSED_PASSWORD"'),
        "file": f'url = "{home}/file.ics"\n{file}',
        "wrong": f'url = "{home}/wrong.ics"\n' + _login('password_file = "passwords/wrong"'),
        "command": f'url = "{home}/command.ics"\n' + _login(f"password_command = {keeper!r}"),
        "address": f'url = "http://ann:{WORDS["in the address"]}@{home[7:]}/file.ics"\n',
        "account": f'caldav = "ann:{WORDS["in an account"]}@{home[7:]}/dav/"\n',
        "path": f'url = "{home}/{path}/good.ics"\n',
        "query": f'url = "{home}/query.ics?token={query}"\n',
        "page": f'url = "{home}/{path}/page.ics"\n',
        "moved": f'url = "{home}/{path}/moved.ics"\n{file}',
        "untrusted": f'url = "{secure}/{path}/safe.ics"\n{file}',
        "closed": f'url = "http://127.0.0.1:9/{path}/closed.ics"\n{file}',
        "nowhere": f'url = "http://no.such.host.invalid/{path}/nowhere.ics"\n{file}',
        "broken": f'url = "http://127.0.0.1:{path}/broken.ics"\n{file}',
        "echoing": f'caldav = "{home}/echo/"\n{file}',
        "caldav": f'caldav = "{caldav.url}"\nuser = "{USER}"\npassword_file = "passwords/caldav"\n',
    }
    config = "".join(f'\n[[calendars]]\nid = "{name}"\n{text}' for name, text in calendars.items())
    config += "\n[pull]\ntimeout_seconds = 1\n"
    config += f'\n[notify]\nfailed_url = "{home}/{WORDS["notify"]}"\nfailed_command = {ring!r}\n'
    config += '\n[log]\nfile = "state/log.txt"\nlevel = "info"\n'
    write_household(folder, config)
    (folder / "passwords").mkdir(mode=0o700)
    for name in ("file", "wrong", "caldav"):
        (folder / "passwords" / name).write_text(f"{WORDS[name]}\n")
        (folder / "passwords" / name).chmod(0o600)
    environment = {
        "CALENDAR_PASSWORD": WORDS["environment"],
        "UNUSED_PASSWORD": WORDS["unused environment"],
    }
    return Marked(folder, told, server, environment)
