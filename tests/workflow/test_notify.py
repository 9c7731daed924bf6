"""Who is told how a night went, and what `status.json` says of it."""

from __future__ import annotations

import json
import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from weeksync import demo
from weeksync.cli import main

NOW = "2027-03-24T04:00:00+00:00"
SECRET = "kept-between-us-8731"


class Watcher(HTTPServer):
    """Writes down what it is asked for; answers 200, or what `status` says."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self.status = 200
        super().__init__(("127.0.0.1", 0), Answer)

    @property
    def address(self) -> str:
        """Where it is."""
        return f"http://127.0.0.1:{self.server_port}/{SECRET}"


class Answer(BaseHTTPRequestHandler):
    """One answer."""

    def do_GET(self) -> None:
        """Note the path."""
        assert isinstance(self.server, Watcher)
        self.server.asked.append(self.path)
        self.send_response(self.server.status)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def log_message(self, *_: object) -> None:
        """Nothing."""


@pytest.fixture
def watcher() -> Iterator[Watcher]:
    """On loopback, in a thread."""
    with Watcher() as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server
        server.shutdown()


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household."""
    return demo.copy_to(tmp_path_factory.mktemp("notify") / "home")


@pytest.fixture
def home(made: Path) -> Iterator[Path]:
    """The same; what a test writes into its files is put right after it."""
    kept = {name: (made / name).read_bytes() for name in ("config.toml", "tasks.toml")}
    yield made
    for name, content in kept.items():
        (made / name).write_bytes(content)


def night(home: Path, settings: str, *, broken: bool = False) -> int:
    """A night with `[notify]`; its exit status."""
    config = home / "config.toml"
    config.write_text(f"{config.read_text()}\n[notify]\n{settings}\n")
    if broken:
        tasks = home / "tasks.toml"
        tasks.write_text(tasks.read_text() + '\n[[tasks]]\ntitle = "Sow"\ndue = 2027-02-30x\n')
    return main(["nightly", "--household", str(home), "--now", NOW])


def test_a_good_night_is_told_at_its_address_and_the_status_says_so(
    home: Path, watcher: Watcher
) -> None:
    """Times in UTC, ids and counts; nothing that stands on a page."""
    assert night(home, f'well_url = "{watcher.address}"\nfailed_url = "{watcher.address}/no"') == 0
    assert watcher.asked == [f"/{SECRET}"]
    text = (home / "output" / "status.json").read_text()
    status = json.loads(text)
    assert (status["run_at"], status["status"]) == (NOW, 0)
    assert [one["last_good"] for one in status["sources"]] == [NOW] * 4
    assert all(one["objects"] and not one["failed"] for one in status["sources"])
    assert "Ines" not in text
    assert SECRET not in text


def test_a_night_with_problems_is_told_by_address_and_command(
    home: Path, watcher: Watcher, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """The command gets kinds, ids and file names, and the status where it asks for it."""
    told, script = tmp_path / "told", tmp_path / "tell"
    script.write_text(f'#!/bin/sh\necho "$1" > {told}\ncat >> {told}\n')
    script.chmod(0o755)
    settings = f'failed_url = "{watcher.address}"\nfailed_command = ["{script}", "{{status}}"]'
    assert night(home, settings, broken=True) == 1
    assert watcher.asked == [f"/{SECRET}"]
    first, second, *rest = told.read_text().splitlines()
    assert (first, second) == ("1", "weeksync nightly: status 1")
    assert rest == ["mistake tasks.toml 1"]
    assert json.loads((home / "output" / "status.json").read_text())["problems"] == {"mistake": 1}
    assert SECRET not in capfd.readouterr().err


@pytest.mark.parametrize(
    "settings",
    ['failed_command = ["/nowhere/to/be/found"]', 'failed_command = ["/bin/false"]'],
)
def test_a_command_that_does_not_do_its_work_is_told_too(
    home: Path, settings: str, capfd: pytest.CaptureFixture[str]
) -> None:
    """The pages are there all the same."""
    assert night(home, settings, broken=True) == 1
    assert "failed_command" in capfd.readouterr().err
    assert (home / "output" / "site" / "index.html").exists()


def test_an_address_that_does_not_answer_is_told_without_itself(
    home: Path, watcher: Watcher, capfd: pytest.CaptureFixture[str]
) -> None:
    """It may be a secret: its host is named and no more of it."""
    watcher.status = 404
    assert night(home, f'well_url = "{watcher.address}"') == 1
    said = capfd.readouterr().err
    assert "127.0.0.1" in said
    assert "well_url" in said
    assert SECRET not in said


def test_what_is_no_address_is_a_mistake_in_the_configuration(
    home: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    """With its place; nothing is asked for."""
    assert night(home, 'well_url = "monitor.home.arpa"') == 2
    assert "well_url" in capfd.readouterr().err
