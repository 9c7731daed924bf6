"""`weeksync serve`: how it may not start, and what it says then."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from tests.support.households import NOW, write_household
from weeksync.cli import main
from weeksync.workflow.context import Context
from weeksync.workflow.reader import Reader
from weeksync.workflow.serve import Asked, options_of

AT = ["--now", NOW.isoformat()]


def run(folder: Path, *words: str) -> int:
    """The exit status of the command."""
    return main(["serve", "--household", str(folder), *AT, *words])


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--host", "http://x"], '--host = "http://x" is no address to listen on; write 127.0.0.1'),
        (["--address", "home"], '--address = "home" is no address of a home; write http or https'),
        (["--certificate", "c.pem"], "certificate stands without certificate_key; give both"),
        (
            ["--certificate", "c.pem", "--certificate-key", "k.pem"],
            "[serve] certificate: there is no file",
        ),
        (["--host", "0.0.0.0"], "no device may come in yet; add one first with weeksync devices"),
    ],
)
def test_what_cannot_be_served(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    """Wrong use, told with its remedy; nothing is listened at."""
    assert run(write_household(tmp_path), *words) == 2
    assert said in capsys.readouterr().err


@pytest.mark.parametrize("port", ["-1", "65536", "many"])
def test_a_port_that_is_none(tmp_path: Path, capsys: pytest.CaptureFixture[str], port: str) -> None:
    """Refused before anything is read."""
    with pytest.raises(SystemExit) as ended:
        run(write_household(tmp_path), f"--port={port}")
    assert ended.value.code == 2
    assert "--port" in capsys.readouterr().err


def test_a_port_that_is_taken(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By another serve, as a rule."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        assert run(write_household(tmp_path), "--port", str(port)) == 2
    said = capsys.readouterr().err
    assert f"127.0.0.1, port {port} cannot be listened at (Address already in use)" in said


def test_without_a_household_there_is_nothing_to_serve(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As of every command."""
    assert run(tmp_path) == 2
    assert "config.toml" in capsys.readouterr().err


def test_the_command_line_goes_before_the_file(tmp_path: Path) -> None:
    """Paths of the file are from the household folder on; `~` is a home."""
    table = '\n[serve]\nhost = "::1"\nport = 9000\ncertificate = "state/tls/a.crt"\n'
    context = Context.read(
        write_household(tmp_path, table + 'certificate_key = "/keys/a.key"\nlock_minutes = 7\n'),
        NOW,
    )
    plain = options_of(context)
    assert (plain.host, plain.port, plain.lock_minutes) == ("::1", 9000, 7)
    assert plain.certificate == tmp_path / "state/tls/a.crt"
    assert plain.certificate_key == Path("/keys/a.key")
    asked = options_of(context, Asked(host="127.0.0.1", port=0, address="https://home.arpa"))
    assert (asked.host, asked.port, asked.address) == ("127.0.0.1", 0, "https://home.arpa")
    assert asked.certificate == plain.certificate


def test_a_reader_reads_what_is_there_now(tmp_path: Path) -> None:
    """At its own clock, in whole seconds."""
    home = write_household(tmp_path)
    reader = Reader(home, lambda: NOW.replace(microsecond=5))
    assert reader.read().now == NOW
    config = home / "config.toml"
    config.write_text(config.read_text().replace("Test household", "Marrow house"))
    assert reader.read().config.household.name == "Marrow house"
