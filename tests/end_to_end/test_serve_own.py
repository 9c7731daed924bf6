"""`weeksync serve` with a real household: pages of one's own behind a PIN, and open pages told."""

from __future__ import annotations

import json
import threading
from http.client import HTTPConnection
from pathlib import Path
from urllib.parse import urlencode

import pytest

from tests.support.households import write_household
from tests.support.serving import PATIENCE, Serving, mark_line, until
from weeksync.serve import Access

NOW = "2027-03-24T06:40:00+00:00"
HABITS = """\
format = 1

[[habits]]
id = "water"
title = "Glasses of water"
person = "ann"
area = "home"
kind = "count"

[[habits]]
id = "quiet-page"
title = "Quiet page"
person = "bo"
area = "home"
only_for = ["bo"]
"""


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Ann, and Bo with a habit of his own and a PIN."""
    folder = write_household(tmp_path / "home", habits_toml=HABITS)
    Access(folder / "state/access.json").set_pin("bo", "4711-owl")
    return folder


class Visit:
    """A browser without script: it sends back the cookies it was given."""

    def __init__(self, serving: Serving) -> None:
        self._serving = serving
        self._cookies: dict[str, str] = {}

    def ask(self, method: str, path: str, body: str = "", kind: str = "") -> tuple[int, str]:
        """(status, body) of an answer."""
        headers = {"Origin": self._serving.origin} if method == "POST" else {}
        if self._cookies:
            headers["Cookie"] = "; ".join("=".join(one) for one in self._cookies.items())
        if kind:
            headers["Content-Type"] = kind
        connection = HTTPConnection("127.0.0.1", self._serving.port, timeout=PATIENCE)
        connection.request(method, path, body.encode() or None, headers)
        answer = connection.getresponse()
        for name, value in answer.getheaders():
            if name.lower() == "set-cookie":
                assert "HttpOnly" in value
                assert "samesite=strict" in value.lower()
                key, _, secret = value.partition(";")[0].partition("=")
                self._cookies[key] = secret
        text = answer.read().decode()
        connection.close()
        return answer.status, text

    def unlock(self, pin: str) -> tuple[int, str]:
        """Bo's pages, by that PIN."""
        form = urlencode({"person": "bo", "pin": pin})
        return self.ask("POST", "/own/unlock", form, "application/x-www-form-urlencoded")


def test_behind_the_pin_are_the_pages_of_one_person(home: Path) -> None:
    """Before it the PIN page, after it the page; locked again, the PIN page."""
    with Serving(home, now=NOW) as serving:
        visit = Visit(serving)
        assert "Quiet page" not in visit.ask("GET", "/2027-W12.html")[1]
        assert "Quiet page" not in visit.ask("GET", "/own/2027-W12.html")[1]
        visit.unlock("4711-cat")
        assert "Quiet page" not in visit.ask("GET", "/own/2027-W12.html")[1]
        assert visit.unlock("4711-owl")[0] == 303
        status, page = visit.ask("GET", "/own/2027-W12.html")
        assert (status, "Quiet page" in page) == (200, True)
        visit.ask("POST", "/own/lock")
        assert "Quiet page" not in visit.ask("GET", "/own/2027-W12.html")[1]


def test_marks_of_ones_own_are_taken_from_who_unlocked(home: Path) -> None:
    """For anybody else that habit is not there; on its own page the mark is to be seen at once."""
    line = mark_line("quiet-page", "yes").decode()
    with Serving(home, now=NOW) as serving:
        visit = Visit(serving)
        status, answer = visit.ask("POST", "/marks", line, "application/x-ndjson")
        assert (status, json.loads(answer)["new"]) == (200, 0)
        visit.unlock("4711-owl")
        before = visit.ask("GET", "/own/2027-W12.html")[1]
        answer = visit.ask("POST", "/marks", line, "application/x-ndjson")[1]
        assert json.loads(answer)["new"] == 1
        after = visit.ask("GET", "/own/2027-W12.html")[1]
        assert after.count('data-value="yes"') == before.count('data-value="yes"') + 1
    assert "quiet-page,2027-03-24,bo,yes" in (home / "marks/2027-W12.csv").read_text()


def test_a_check_in_goes_into_its_file(home: Path) -> None:
    """And a second one that did not see it is told so, with what stands there (409)."""
    entry = {"day": "2027-03-24", "feeling": "rested", "energy": 4, "seen": ""}
    with Serving(home, now=NOW) as serving:
        visit = Visit(serving)
        assert visit.ask("POST", "/check-ins", json.dumps(entry), "application/json")[0] == 403
        visit.unlock("4711-owl")
        status, answer = visit.ask("POST", "/check-ins", json.dumps(entry), "application/json")
        assert (status, json.loads(answer)["saved"]) == (200, True)
        assert "rested" in visit.ask("GET", "/own/check-in.html")[1]
        other = json.dumps({**entry, "feeling": "hurried"})
        status, answer = visit.ask("POST", "/check-ins", other, "application/json")
        assert (status, json.loads(answer)["held"]["feeling"]) == (409, "rested")
    every = "".join(path.read_text() for path in (home / "check-ins").iterdir())
    assert 'feeling = "rested"' in every
    assert "hurried" in every


def test_open_pages_are_told_when_a_mark_is_on_them(home: Path) -> None:
    """By an event of the stream (HTML, server-sent events), with the names of the pages."""
    with Serving(home, now=NOW) as serving:
        connection = HTTPConnection("127.0.0.1", serving.port, timeout=PATIENCE)
        connection.request("GET", "/changes")
        stream = connection.getresponse()
        assert stream.getheader("Content-Type", "").startswith("text/event-stream")
        events: list[list[str]] = []

        def reads() -> None:
            for line in stream:
                if line.startswith(b"data: "):
                    pages = json.loads(line.removeprefix(b"data: "))["pages"]
                    events.append(pages)

        reader = threading.Thread(target=reads, daemon=True)
        reader.start()
        assert serving.post("/marks", mark_line("water", "1234"))[1]["new"] == 1
        until(lambda: bool(events))
        assert "2027-W12.html" in events[0]
        assert b"1234" in serving.get("/2027-W12.html")[1]
        serving.end()
        connection.close()
        reader.join(PATIENCE)
