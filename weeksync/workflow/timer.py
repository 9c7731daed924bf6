"""The nightly timer: what would be written, word for word, and writing or taking it out again.

Where the person has a systemd of their own it is a unit with its timer, which also catches up after
a night that was missed; else two lines of the crontab. Nothing is written that was not shown,
no file and no crontab line of anybody else is changed, and what cannot be read is left alone.
"""

from __future__ import annotations

import hashlib
import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Sequence
from enum import StrEnum
from pathlib import Path

from weeksync.errors import HouseholdError
from weeksync.household import replace_file
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.read import slug

HOUR = "04:00"
"""When it runs: before anybody is up, after the clocks have changed where they do."""
SECONDS = 30.0
"""How long `systemctl` and `crontab` may take."""


class TimerKind(StrEnum):
    """What starts the nightly run on this machine."""

    SYSTEMD = "systemd"
    CRONTAB = "crontab"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class Timer:
    """A timer as it would be written: `files` whole, `lines` at the end of the crontab.

    `command` is what it runs, as typed in a shell; `set` whether it stands there already.
    """

    kind: TimerKind
    command: str
    files: tuple[tuple[Path, str], ...] = ()
    lines: tuple[str, ...] = ()
    set: bool = False

    @property
    def name(self) -> str:
        """The name of the systemd timer, "" for others."""
        return self.files[-1][0].name if self.files else ""


def timer_of(folder: Path) -> Timer:
    """The timer of the household in `folder`: the one that is set, else what would be written."""
    words = (*_program(), "nightly", "--household", str(folder.absolute()))
    command = shlex.join(words)
    units, lines = _units(folder, words), _lines(folder, command)
    for written in (units, _units_of_before(folder, words)):
        if all(_text(path) == text for path, text in written):
            return Timer(TimerKind.SYSTEMD, command, written, set=True)
    there = _crontab() if shutil.which("crontab") else None
    if there is not None and _at(there.splitlines(), lines) is not None:
        return Timer(TimerKind.CRONTAB, command, lines=lines, set=True)
    if _has_systemd():
        return Timer(TimerKind.SYSTEMD, command, units)
    if there is not None:
        return Timer(TimerKind.CRONTAB, command, lines=lines)
    return Timer(TimerKind.NONE, command)


def set_timer(timer: Timer) -> Message:
    """Write it and start it; what was done. HouseholdError, with nothing left behind, where that
    cannot be, or where a file of that name says something else."""
    if timer.kind is TimerKind.SYSTEMD:
        return _set_units(timer)
    if timer.kind is TimerKind.CRONTAB:
        there = _readable_crontab()
        if _at(there.splitlines(), timer.lines) is None:
            gap = "" if not there or there.endswith("\n") else "\n"
            _write_crontab(there, there + gap + "\n".join(timer.lines) + "\n")
        return message("The nightly run stands in the crontab: {command}", command=timer.command)
    raise HouseholdError(
        message(
            "this machine has neither a systemd of yours nor cron; let whatever starts programs "
            "on it run this once a night: {command}",
            command=timer.command,
        )
    )


def take_out(timer: Timer) -> Message:
    """Stop it and take away what `set_timer` wrote, and nothing else."""
    if timer.kind is TimerKind.SYSTEMD:
        _run("systemctl", "--user", "disable", "--now", timer.name)
        for path, _ in timer.files:
            path.unlink(missing_ok=True)
        _run("systemctl", "--user", "daemon-reload")
    elif timer.kind is TimerKind.CRONTAB:
        there = _readable_crontab()
        lines = there.splitlines(keepends=True)
        at = _at([one.rstrip("\n") for one in lines], timer.lines)
        if at is not None:
            del lines[at : at + len(timer.lines)]
            _write_crontab(there, "".join(lines))
    return message("The nightly run is taken out again; nothing is pulled by itself any more.")


def _program() -> tuple[str, ...]:
    beside = Path(sys.executable).with_name("weeksync")
    return (str(beside),) if beside.is_file() else (sys.executable, "-m", "weeksync")


# systemd


def _has_systemd() -> bool:
    if shutil.which("systemctl") is None:
        return False
    return _run("systemctl", "--user", "show-environment").returncode == 0


_Units = tuple[tuple[Path, str], ...]
"""The unit and its timer: each its place and its text."""

_CONFINED = """\
SuccessExitStatus=1
TimeoutStartSec=30min
Nice=10
NoNewPrivileges=yes
LockPersonality=yes
RestrictNamespaces=yes
RestrictRealtime=yes
RestrictSUIDSGID=yes
RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6
SystemCallArchitectures=native
SystemCallFilter=@system-service
SystemCallFilter=~@privileged
SystemCallErrorNumber=EPERM
"""
"""Of `deployment/weeksync-nightly@.service` what a systemd of one's own can keep to. What hides or
locks folders needs user namespaces there (systemd.exec(5)), and where these are switched off the
night would not run at all. UMask stays the person's: who else may read the pages is their choice.
"""


def _units(folder: Path, words: Sequence[str]) -> _Units:
    """What is written today."""
    return _written(folder, (*words, "--log", "info"), _CONFINED, "RandomizedDelaySec=10min\n")


def _units_of_before(folder: Path, words: Sequence[str]) -> _Units:
    """What weeksync wrote until November 2026: still ours, to be shown and taken out."""
    return _written(folder, words)


def _written(folder: Path, words: Sequence[str], confined: str = "", delay: str = "") -> _Units:
    """The name tells several households of one person apart."""
    whole = str(folder.absolute())
    digest = hashlib.sha256(os.fsencode(whole)).hexdigest()[:4]
    name = f"weeksync-{slug(folder.absolute().name, 'household')}-{digest}"
    place = Path(os.environ.get("XDG_CONFIG_HOME") or Path.home() / ".config") / "systemd/user"
    said = whole.replace("%", "%%").replace("\n", " ")
    run = " ".join(_quoted(word) for word in words)
    return (
        (
            place / f"{name}.service",
            f"[Unit]\nDescription=Pull the calendars and build the week pages of {said}\n\n"
            f"[Service]\nType=oneshot\nExecStart={run}\n{confined}",
        ),
        (
            place / f"{name}.timer",
            f"[Unit]\nDescription=Week pages of {said} every night\n\n"
            f"[Timer]\nOnCalendar=*-*-* {HOUR}:00\nPersistent=true\n{delay}\n"
            "[Install]\nWantedBy=timers.target\n",
        ),
    )


def _quoted(word: str) -> str:
    """A word of ExecStart= (systemd.service(5), systemd.unit(5): specifiers, systemd.syntax(7))."""
    plain = word.replace("\\", "\\\\").replace('"', '\\"').replace("%", "%%").replace("$", "$$")
    return f'"{plain}"' if plain != word or not plain.isascii() or " " in plain else plain


def _set_units(timer: Timer) -> Message:
    for path, text in timer.files:
        if os.path.lexists(path) and _text(path) != text:
            raise HouseholdError(
                message(
                    "{file} is there and says something else; look at it, and move it away if it "
                    "is not needed",
                    file=str(path),
                )
            )
    try:
        for path, text in timer.files:
            path.parent.mkdir(parents=True, exist_ok=True)
            replace_file(path, text.encode())
    except OSError as error:
        raise HouseholdError(
            message(
                "{file} could not be written ({reason}); the file is as it was",
                file=str(timer.files[0][0].parent),
                reason=os.strerror(error.errno or 0),
            )
        ) from error
    for words in (("daemon-reload",), ("enable", "--now", timer.name)):
        ran = _run("systemctl", "--user", *words)
        if ran.returncode:
            take_out(timer)
            raise HouseholdError(_refused("systemctl", ran))
    return message("The timer {name} is set, every night at {hour}.", name=timer.name, hour=HOUR)


def _text(path: Path) -> str | None:
    try:
        return path.read_text("utf-8")
    except (OSError, UnicodeDecodeError):
        return None


# cron


def _lines(folder: Path, command: str) -> tuple[str, ...]:
    """Two lines: a word on what it is, and the line of cron, in which % means a new line."""
    minute, hour = HOUR.split(":")[1].lstrip("0") or "0", HOUR.split(":")[0].lstrip("0") or "0"
    said = str(folder.absolute()).replace("\n", " ")
    return f"# weeksync, every night: {said}", f"{minute} {hour} * * * " + command.replace(
        "%", "\\%"
    )


def _at(lines: Sequence[str], wanted: Sequence[str]) -> int | None:
    """Where these lines stand one after the other."""
    several = range(len(lines) - len(wanted) + 1)
    return next((at for at in several if list(lines[at : at + len(wanted)]) == list(wanted)), None)


def _crontab() -> str | None:
    """The person's crontab, "" where there is none yet; None where it cannot be read: then it is
    not written either, because every line of it would be lost."""
    ran = _run("crontab", "-l")
    if ran.returncode == 0:
        return ran.stdout
    none_yet = ("no crontab", "no such file")  # Debian's cron and cronie; busybox
    return "" if any(word in ran.stderr.lower() for word in none_yet) else None


def _readable_crontab() -> str:
    there = _crontab()
    if there is None:
        raise HouseholdError(
            message("the crontab cannot be read (crontab -l), and was left as it is")
        )
    return there


def _write_crontab(before: str, text: str) -> None:
    ran = _run("crontab", "-", given=text)
    if ran.returncode or _crontab() != text:
        if _crontab() != before:
            _run("crontab", "-", given=before)
        raise HouseholdError(_refused("crontab", ran))


def _refused(program: str, ran: subprocess.CompletedProcess[str]) -> Message:
    said = (ran.stderr.strip() or ran.stdout.strip()).splitlines()
    return message(
        "{program} refused ({reason}); everything is as it was",
        program=program,
        reason=said[0][:200] if said else str(ran.returncode),
    )


def _run(*words: str, given: str = "") -> subprocess.CompletedProcess[str]:
    """A program of the system, in its plain language; one that hangs or is missing has failed."""
    try:
        return subprocess.run(  # noqa: S603 - fixed words, and a path of ours in a file
            words,
            input=given,
            capture_output=True,
            text=True,
            errors="replace",
            timeout=SECONDS,
            check=False,
            env={**os.environ, "LC_ALL": "C"},
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        return subprocess.CompletedProcess(words, 127, "", type(error).__name__)
