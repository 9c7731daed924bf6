"""`weeksync devices` and `weeksync pin`: who may come in, and what is kept of it."""

from __future__ import annotations

import io
import json
import re
import stat
from pathlib import Path

import pytest

from tests.support.households import NOW, write_household
from tests.support.keyboard import Keyboard
from weeksync.cli import main
from weeksync.cli.scannable import scannable
from weeksync.serve import Access

HOME = '\n[serve]\nhost = "0.0.0.0"\naddress = "https://home.arpa:8427"\n'


def run(folder: Path, *words: str) -> int:
    """The exit status of a command."""
    command, *rest = words
    return main([command, "--household", str(folder), "--now", NOW.isoformat(), *rest])


def said(capsys: pytest.CaptureFixture[str]) -> str:
    """What it wrote."""
    return capsys.readouterr().out


def test_a_device_gets_a_code_that_opens_the_home_address(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The code once by itself, to be typed, and once behind the address; it lets in once."""
    home = write_household(tmp_path, HOME)
    assert run(home, "devices", "--add", "kitchen", "--person", "ann") == 0
    text = said(capsys)
    found = re.search(r"The code of kitchen: (\S+); once, within ten minutes", text)
    assert found is not None
    assert f"https://home.arpa:8427/sign-in#{found[1]}\n" in text
    access = Access(home / "state/access.json")
    assert access.redeem(found[1], "pages") is not None
    assert access.redeem(found[1], "pages") is None
    (device,) = access.devices()
    assert (device.name, device.person) == ("kitchen", "ann")


def test_what_is_kept_is_for_its_owner_and_holds_no_code(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Mode 0600, and of the code only a digest."""
    home = write_household(tmp_path, HOME)
    run(home, "devices", "--add", "kitchen")
    code = re.findall(r"The code of kitchen: (\S+);", said(capsys))[0]
    file = home / "state/access.json"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert code not in file.read_text()
    assert code.replace("-", "") not in file.read_text()


def test_where_nothing_says_how_tablets_write_the_address(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The code can be typed; the line says what to write where."""
    home = write_household(tmp_path, '\n[serve]\nhost = "0.0.0.0"\n')
    assert run(home, "devices", "--add", "kitchen") == 0
    text = said(capsys)
    assert "as address under [serve] of config.toml" in text
    assert "sign-in#" not in text


def test_an_address_of_this_machine_alone_is_called_that(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A tablet that scans 127.0.0.1 finds itself."""
    assert run(write_household(tmp_path), "devices", "--add", "desk") == 0
    text = said(capsys)
    assert "http://127.0.0.1:8427/sign-in#" in text
    assert "This address is of this machine alone" in text


def test_with_a_certificate_the_link_is_https(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Also where only host and port are known."""
    table = '\n[serve]\nhost = "10.0.0.5"\ncertificate = "a"\ncertificate_key = "b"\n'
    run(write_household(tmp_path, table), "devices", "--add", "desk")
    assert "https://10.0.0.5:8427/sign-in#" in said(capsys)


def test_devices_are_listed_and_revoked(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By their names; what is revoked is gone at once."""
    home = write_household(tmp_path, HOME)
    assert run(home, "devices") == 0
    assert said(capsys) == "No device yet; weeksync devices --add NAME lets one in\n"
    run(home, "devices", "--add", "kitchen", "--person", "bo")
    code = re.findall(r"The code of kitchen: (\S+);", said(capsys))[0]
    run(home, "devices")
    assert said(capsys) == "kitchen: its code is waiting\n"
    access = Access(home / "state/access.json")
    token = access.redeem(code, "pages")
    assert token is not None
    run(home, "devices")
    assert said(capsys).startswith("kitchen: of Bo, since ")
    assert run(home, "devices", "--revoke", "kitchen") == 0
    assert said(capsys) == "kitchen is let in no longer\n"
    assert access.visitor(token, "pages") is None


def test_the_list_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """For scripts: no code and no token is in it."""
    home = write_household(tmp_path, HOME)
    run(home, "devices", "--add", "kitchen", "--person", "bo")
    code = re.findall(r"The code of kitchen: (\S+);", said(capsys))[0]
    Access(home / "state/access.json").redeem(code, "marks")
    run(home, "devices", "--json")
    record = json.loads(said(capsys))
    (device,) = record["devices"]
    assert (record["format"], record["kind"], record["pins"]) == (1, "weeksync.devices", [])
    assert (device["name"], device["person"], device["may"]) == ("kitchen", "bo", ["marks"])
    assert device["code_waiting"] is False
    assert set(device) == {"name", "person", "added_at", "may", "code_waiting"}


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (["--revoke", "attic"], 'there is no device "attic"; there are: –'),
        (["--add", "x", "--person", "zed"], 'config.toml has no "zed"; it has: ann, bo'),
        (["--add", " "], "is no name for a device"),
        (["--person", "ann"], "--person goes with --add"),
    ],
)
def test_wrong_use(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], why: str
) -> None:
    """Each with what to write instead."""
    assert run(write_household(tmp_path), "devices", *words) == 2
    assert why in capsys.readouterr().err


def test_on_a_terminal_the_code_is_drawn(tmp_path: Path) -> None:
    """In half blocks, black on white whatever the terminal's colours are."""
    home = write_household(tmp_path, HOME)
    with Keyboard("devices", "--add", "kitchen", folder=home, now=NOW.isoformat()) as person:
        assert person.end() == 0
    drawn = [line for line in person.seen.splitlines() if "\x1b[38;5;16;48;5;231m" in line]
    assert len(drawn) > 15
    assert len({len(line) for line in drawn}) == 1


def test_what_is_drawn_is_the_code(tmp_path: Path) -> None:
    """Taken apart again, each half block gives two modules of the symbol, border included."""
    import segno

    link = "https://home.arpa:8427/sign-in#ABCD-EFGH"
    out = io.TextIOWrapper(io.BytesIO(), "utf-8")
    lines = [re.sub("\x1b\\[[0-9;]*m", "", line) for line in scannable(link, out).splitlines()]
    rows: list[list[int]] = []
    for line in lines:
        rows.append([int(sign in "▀█") for sign in line])
        rows.append([int(sign in "▄█") for sign in line])
    symbol = segno.make(link, error="m", micro=False)
    wanted = [[int(bool(one)) for one in row] for row in symbol.matrix_iter(border=2)]
    assert rows[: len(wanted)] == wanted
    assert not any(map(any, rows[len(wanted) :]))


def test_an_old_terminal_gets_spaces_in_colours(tmp_path: Path) -> None:
    """Where there are no block signs."""
    drawn = scannable("https://home.arpa", io.TextIOWrapper(io.BytesIO(), "ascii"))
    assert drawn.isascii()
    assert "\x1b[" in drawn


def test_a_pin_is_typed_twice_and_never_shown(tmp_path: Path) -> None:
    """Neither on the terminal nor in the file."""
    home = write_household(tmp_path)
    with Keyboard("pin", "ann", folder=home, now=NOW.isoformat()) as person:
        person.types("4711-owl", after="PIN of Ann: ")
        person.types("4711-owl", after="The same once more: ")
        assert person.end() == 0
        assert "The PIN of Ann is set" in person.seen
        assert "4711" not in person.seen
    access = Access(home / "state/access.json")
    assert access.pins() == {"ann"}
    assert access.try_pin("ann", "4711-owl").right
    assert "4711" not in (home / "state/access.json").read_text()


@pytest.mark.parametrize(
    ("first", "second", "why"),
    [
        ("4711-owl", "4711-cat", "the two are not the same; nothing was changed"),
        ("471", "471", "a PIN has 4 to 64 letters or digits; choose another"),
    ],
)
def test_a_pin_that_is_not_set(tmp_path: Path, first: str, second: str, why: str) -> None:
    """A slip, or too short; the status is that of wrong use."""
    home = write_household(tmp_path)
    with Keyboard("pin", "ann", folder=home, now=NOW.isoformat()) as person:
        person.types(first, after="PIN of Ann: ")
        person.types(second, after="The same once more: ")
        assert person.end() == 2
        assert why in person.seen
    assert Access(home / "state/access.json").pins() == frozenset()


def test_the_end_of_the_input_is_no_pin(tmp_path: Path) -> None:
    """Control and D."""
    with Keyboard("pin", "bo", folder=write_household(tmp_path), now=NOW.isoformat()) as person:
        person.ends_input(after="PIN of Bo: ")
        assert person.end() == 2
        assert "nothing was typed" in person.seen


def test_a_pin_is_taken_away(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Once; then there is none."""
    home = write_household(tmp_path)
    Access(home / "state/access.json").set_pin("ann", "4711-owl")
    assert run(home, "pin", "ann", "--remove") == 0
    assert said(capsys) == "The PIN of Ann is gone; their pages stay closed\n"
    assert run(home, "pin", "ann", "--remove") == 2


def test_a_pin_is_typed_by_a_person(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Not handed over by a pipe, where it would stand in a file of commands; nobody's is none."""
    home = write_household(tmp_path)
    assert run(home, "pin", "ann") == 2
    assert "typed at the keyboard" in capsys.readouterr().err
    assert run(home, "pin", "zed") == 2
    assert 'config.toml has no "zed"' in capsys.readouterr().err
