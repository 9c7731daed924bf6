"""The nightly timer: shown word for word, written after a yes, taken out again, all else untouched.

systemctl and crontab are stand-ins that keep what they are given in a folder, as the real ones
do; the units themselves are read by systemd-analyze where the machine has it.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.deployment.nginx import DEPLOYMENT
from weeksync.errors import HouseholdError
from weeksync.workflow.timer import TimerKind, set_timer, take_out, timer_of

CRONTAB = """\
#!/bin/sh
# A crontab that lies in a file; what it is told to refuse it refuses.
if [ "$1" = -l ]; then
  [ -e {place}/locked ] && {{ echo "crontab: cannot read" >&2; exit 1; }}
  [ -e {place}/tab ] || {{ echo "no crontab for ines" >&2; exit 1; }}
  cat {place}/tab
else
  [ -e {place}/full ] && {{ echo "crontab: no space" >&2; exit 1; }}
  cat > {place}/tab
fi
"""
SYSTEMCTL = """\
#!/bin/sh
echo "$@" >> {place}/asked
[ "$2" = show-environment ] && [ -e {place}/no-systemd ] && exit 1
[ "$2" = enable ] && [ -e {place}/refuses ] && {{ echo "Failed to enable" >&2; exit 1; }}
exit 0
"""
OTHERS = "MAILTO=ines\n# mine\n15 3 * * 0 tar -cf \\%d.tar /home\n"


@pytest.fixture
def machine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder that stands for the machine: programs, the crontab, what systemctl was asked."""
    place = tmp_path / "machine"
    place.mkdir()
    for name, text in (("crontab", CRONTAB), ("systemctl", SYSTEMCTL)):
        program = place / name
        program.write_text(text.format(place=place))
        program.chmod(0o755)
    monkeypatch.setenv("PATH", f"{place}:/usr/bin:/bin")
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "config"))
    return place


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A folder whose name means something to systemd, cron and a shell."""
    folder = tmp_path / "our 50% $HOME's"
    folder.mkdir()
    return folder


def test_with_systemd_two_units_are_shown_and_then_written_as_shown(
    machine: Path, home: Path
) -> None:
    """Nothing is written before; afterwards it is known to be set, and the timer was started."""
    timer = timer_of(home)
    assert (timer.kind, timer.set) == (TimerKind.SYSTEMD, False)
    assert not any(path.exists() for path, _ in timer.files)
    said = set_timer(timer)
    assert timer.name in str(said)
    assert all(path.read_text() == text for path, text in timer.files)
    assert "Persistent=true" in timer.files[1][1]
    asked = (machine / "asked").read_text().splitlines()
    assert asked[-2:] == ["--user daemon-reload", f"--user enable --now {timer.name}"]
    assert timer_of(home).set


def test_the_units_are_what_systemd_reads(machine: Path, home: Path) -> None:
    """Whatever signs are in the folder's name, systemd finds nothing to say about them."""
    timer = timer_of(home)
    program = shutil.which("systemd-analyze", path="/usr/bin:/bin")
    unit = timer.files[0][1]
    run = next(line for line in unit.splitlines() if line.startswith("ExecStart="))
    assert f'"{home}"'.replace("%", "%%").replace("$", "$$") in run
    if program is None:  # no systemd on this machine: the text above is what can be held
        return
    set_timer(timer)
    ran = subprocess.run(
        [program, "verify", "--user", *(str(path) for path, _ in timer.files)],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
        env={**os.environ, "XDG_RUNTIME_DIR": str(machine)},
    )
    assert (ran.returncode, ran.stderr) == (0, "")


def test_the_unit_is_confined_as_the_shipped_one_as_far_as_a_systemd_of_ones_own_can(
    machine: Path, home: Path
) -> None:
    """What is missing needs user namespaces there, or is the person's own (systemd.exec(5))."""
    own = set(timer_of(home).files[0][1].splitlines())
    shipped = (DEPLOYMENT / "weeksync-nightly@.service").read_text().partition("[Service]\n")[2]
    lines = {one for one in shipped.splitlines() if one and not one.startswith("#")}
    assert "NoNewPrivileges=yes" in own
    assert {one.partition("=")[0] for one in lines - own} == {
        *("ExecStart", "User", "UMask"),
        *("BindPaths", "PrivateDevices", "PrivateTmp", "ProtectHome", "ProtectSystem"),
        *("AmbientCapabilities", "CapabilityBoundingSet", "RemoveIPC"),
        *("ProcSubset", "ProtectClock", "ProtectControlGroups", "ProtectHostname"),
        *("ProtectKernelLogs", "ProtectKernelModules", "ProtectKernelTunables", "ProtectProc"),
    }


def test_a_timer_of_an_earlier_weeksync_is_known_as_ours(machine: Path, home: Path) -> None:
    """Shown as it stands there, and taken out like one of today."""
    today = timer_of(home)
    (service, text), (timer, timed) = today.files
    start = next(one for one in text.splitlines() if one.startswith("ExecStart="))
    plain = start.removesuffix(" --log info")
    before = text[: text.index(start)] + plain + "\n"
    service.parent.mkdir(parents=True)
    service.write_text(before)
    timer.write_text(timed.replace("RandomizedDelaySec=10min\n", ""))
    found = timer_of(home)
    assert (found.set, found.files[0]) == (True, (service, before))
    take_out(found)
    assert not service.exists()
    assert not timer.exists()
    assert not timer_of(home).set
    service.write_text(before.replace("oneshot", "simple"))
    timer.write_text(timed)
    assert not timer_of(home).set


def test_a_unit_of_that_name_that_says_something_else_stays(machine: Path, home: Path) -> None:
    """Somebody has written it: it is named, and nothing is written."""
    timer = timer_of(home)
    service = timer.files[0][0]
    service.parent.mkdir(parents=True)
    service.write_text("[Service]\nExecStart=/bin/true\n")
    with pytest.raises(HouseholdError, match="says something else"):
        set_timer(timer)
    assert service.read_text() == "[Service]\nExecStart=/bin/true\n"
    assert not timer.files[1][0].exists()


def test_where_systemd_refuses_nothing_is_left_behind(machine: Path, home: Path) -> None:
    """Its reason is passed on."""
    (machine / "refuses").touch()
    timer = timer_of(home)
    with pytest.raises(HouseholdError, match="Failed to enable"):
        set_timer(timer)
    assert not any(path.exists() for path, _ in timer.files)


def test_the_units_are_taken_out_again(machine: Path, home: Path) -> None:
    """Stopped first, then gone; what else lies there stays."""
    timer = timer_of(home)
    set_timer(timer)
    other = timer.files[0][0].with_name("other.timer")
    other.write_text("[Timer]\n")
    take_out(timer_of(home))
    assert [one.name for one in other.parent.iterdir()] == ["other.timer"]
    assert f"--user disable --now {timer.name}" in (machine / "asked").read_text()
    assert not timer_of(home).set


def test_without_systemd_two_lines_are_put_below_the_crontab_of_before(
    machine: Path, home: Path
) -> None:
    """Its other lines stay byte for byte, when they come and when they go."""
    (machine / "no-systemd").touch()
    (machine / "tab").write_text(OTHERS)
    timer = timer_of(home)
    assert (timer.kind, timer.set) == (TimerKind.CRONTAB, False)
    assert (machine / "tab").read_text() == OTHERS
    set_timer(timer)
    assert (machine / "tab").read_text() == OTHERS + "\n".join(timer.lines) + "\n"
    assert timer_of(home).set
    set_timer(timer_of(home))
    assert (machine / "tab").read_text().count("nightly") == 1
    take_out(timer_of(home))
    assert (machine / "tab").read_text() == OTHERS


def test_the_line_of_the_crontab_runs_what_is_meant(machine: Path, home: Path) -> None:
    """As cron reads it (crontab(5)): a % behind a backslash is a %, the rest is the shell's."""
    (machine / "no-systemd").touch()
    minute, hour, *rest = timer_of(home).lines[1].split(" ", 5)
    assert (minute, hour, rest[:3]) == ("0", "4", ["*", "*", "*"])
    command = rest[3].replace("\\%", "%")
    told = subprocess.run(
        ["/bin/sh", "-c", f"printf '%s\\n' {command}"], capture_output=True, text=True, check=True
    )
    assert told.stdout.splitlines()[-2:] == ["--household", str(home)]


def test_a_crontab_without_an_end_of_line_gets_one(machine: Path, home: Path) -> None:
    """Else the last line of before would run on into ours."""
    (machine / "no-systemd").touch()
    (machine / "tab").write_text("0 1 * * * true")
    set_timer(timer_of(home))
    assert (machine / "tab").read_text().startswith("0 1 * * * true\n# weeksync")


def test_a_crontab_that_cannot_be_read_is_not_written(machine: Path, home: Path) -> None:
    """To write it would lose its lines: then there is nothing that can be set."""
    (machine / "no-systemd").touch()
    timer = timer_of(home)
    (machine / "tab").write_text(OTHERS)
    (machine / "locked").touch()
    with pytest.raises(HouseholdError, match="cannot be read"):
        set_timer(timer)
    assert (machine / "tab").read_text() == OTHERS
    assert timer_of(home).kind is TimerKind.NONE


def test_a_crontab_that_refuses_is_as_it_was(machine: Path, home: Path) -> None:
    """Its reason is passed on."""
    (machine / "no-systemd").touch()
    (machine / "tab").write_text(OTHERS)
    (machine / "full").touch()
    with pytest.raises(HouseholdError, match="no space"):
        set_timer(timer_of(home))
    assert (machine / "tab").read_text() == OTHERS


def test_with_neither_it_is_said_what_to_do(
    machine: Path, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The command to run is named, quoted for a shell."""
    monkeypatch.setenv("PATH", str(home))
    timer = timer_of(home)
    assert (timer.kind, timer.set) == (TimerKind.NONE, False)
    with pytest.raises(HouseholdError, match="nightly --household"):
        set_timer(timer)


def test_two_households_have_timers_of_their_own(machine: Path, tmp_path: Path) -> None:
    """Also where their folders have one name."""
    one, two = tmp_path / "a" / "home", tmp_path / "b" / "home"
    for folder in (one, two):
        folder.mkdir(parents=True)
    set_timer(timer_of(one))
    assert timer_of(one).set
    assert not timer_of(two).set
    assert timer_of(one).name != timer_of(two).name
