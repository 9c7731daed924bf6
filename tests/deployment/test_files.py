"""Units, crontab lines, the Containerfile: what they run is ours, what they copy is there."""

from __future__ import annotations

import configparser
import json
import re
import shlex
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.deployment.nginx import DEPLOYMENT
from weeksync.cli.run import parser
from weeksync.cli.terminal import Terminal

ROOT = DEPLOYMENT.parents[1]
HARDENED = {
    "NoNewPrivileges": "yes",
    "ProtectSystem": "strict",
    "ProtectHome": "tmpfs",
    "PrivateTmp": "yes",
    "PrivateDevices": "yes",
    "CapabilityBoundingSet": "",
    "RestrictNamespaces": "yes",
    "SystemCallErrorNumber": "EPERM",
    "UMask": "0077",
}
"""systemd.exec(5), "Sandboxing"."""


def understood(words: list[str]) -> dict[str, object]:
    """The options of a command of ours, as our own parser reads them; SystemExit for others."""
    assert Path(words[0]).name == "weeksync"
    return vars(parser(Terminal()).parse_args(words[1:]))


# systemd


def unit(name: str) -> configparser.ConfigParser:
    """A unit (systemd.syntax(7)); of a key that is there twice the last one counts."""
    found = configparser.ConfigParser(interpolation=None, strict=False, comment_prefixes=("#", ";"))
    found.optionxform = str  # type: ignore[assignment,method-assign]
    found.read_string((DEPLOYMENT / name).read_text("utf-8"))
    return found


@pytest.mark.parametrize("name", ["weeksync-nightly@.service", "weeksync-serve@.service"])
def test_a_unit_runs_a_command_of_ours_and_may_write_to_its_household_alone(name: str) -> None:
    """As the person whose household it is, with nothing else of the machine to write to."""
    service = unit(name)["Service"]
    words = shlex.split(service["ExecStart"])
    household = str(understood(words)["household"])
    assert household == "/home/%i/household"
    assert service["BindPaths"] == household
    assert service["User"] == "%i"
    assert {key: service[key] for key in HARDENED} == HARDENED
    assert "ReadWritePaths" not in service


def test_both_units_are_confined_alike() -> None:
    """What one is not allowed the other is not allowed either."""
    own = {"Type", "ExecStart", "TimeoutStartSec", "Nice", "SuccessExitStatus"}
    own |= {"Restart", "RestartSec", "RestartPreventExitStatus"}
    nightly, serve = (
        {key: value for key, value in unit(name)["Service"].items() if key not in own}
        for name in ("weeksync-nightly@.service", "weeksync-serve@.service")
    )
    assert nightly == serve


def test_the_timer_catches_up_and_is_of_the_unit_beside_it() -> None:
    """A timer starts the service of its own name (systemd.timer(5))."""
    timer = unit("weeksync-nightly@.timer")
    assert timer["Timer"]["Persistent"] == "yes" or timer["Timer"]["Persistent"] == "true"
    assert timer["Install"]["WantedBy"] == "timers.target"
    assert (DEPLOYMENT / "weeksync-nightly@.service").is_file()


# cron


def lines(name: str) -> list[str]:
    """The lines that run something; those that are commented out, too, but no prose."""
    text = (DEPLOYMENT / name).read_text("utf-8")
    return [line for line in text.splitlines() if re.match(r"#?\d", line)]


def test_crontab_lines_run_a_command_of_ours() -> None:
    """Five fields (crontab(5)), then a command; a % that is not escaped would be a new line."""
    night, copy, watch = lines("crontab")
    for line in (night, copy):
        *fields, command = line.split(maxsplit=5)
        assert all(re.fullmatch(r"[\d*]+", one) for one in fields)
        assert not re.search(r"(?<!\\)%", command)
        words = shlex.split(command.removesuffix(" >/dev/null"))
        assert understood(words)["household"] == "$HOME/household"
    remote = shlex.split(watch.split(maxsplit=5)[5])
    assert understood(remote[2:])["household"] == "household"


def test_the_anacrontab_line_runs_a_command_of_ours() -> None:
    """Period, delay, name (anacrontab(5)), and the command as somebody who is not root."""
    (line,) = lines("anacrontab")
    period, delay, _, command = line.split(maxsplit=3)
    assert (period, delay) == ("1", "10")
    words = shlex.split(command)
    assert words[:4] == ["runuser", "-u", "ines", "--"]
    assert understood(words[4:])["household"] == "/home/ines/household"


# The container


def instructions() -> list[tuple[str, str]]:
    """(instruction, its words) of the Containerfile (Containerfile(5)), in order."""
    text = (DEPLOYMENT / "Containerfile").read_text("utf-8")
    plain = "\n".join(line for line in text.splitlines() if not line.startswith("#"))
    joined = re.sub(r"\\\n\s*", "", plain)
    return [
        (one.split(maxsplit=1)[0], one.split(maxsplit=1)[1]) for one in joined.split("\n") if one
    ]


def of(name: str) -> list[str]:
    """The words of all instructions of that name."""
    return [words for instruction, words in instructions() if instruction == name]


@pytest.fixture(scope="module")
def copied(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with what the container is built from, and nothing else of the source."""
    folder = tmp_path_factory.mktemp("source")
    for words in of("COPY"):
        *sources, target = words.split()
        if sources[0].startswith("--from"):
            continue
        for source in sources:
            place = ROOT / source
            assert place.exists(), f"{source} is not there"
            if place.is_dir():
                shutil.copytree(
                    place, folder / target, ignore=shutil.ignore_patterns("__pycache__")
                )
            else:
                shutil.copy(place, folder / target)
    return folder


def test_what_the_container_copies_is_all_that_a_wheel_needs(copied: Path, tmp_path: Path) -> None:
    """Built from that alone, as pip does it inside, templates and example included."""
    build = [sys.executable, "-m", "hatchling", "build", "--target", "wheel"]
    subprocess.run([*build, "--directory", str(tmp_path)], cwd=copied, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as packed:
        names = set(packed.namelist())
    assert {
        "weeksync/cli/__init__.py",
        "weeksync/site_templates/base.html",
        "weeksync/config.example.toml",
        "weeksync/deployment/nginx.conf",
    } <= names


def test_the_container_runs_commands_of_ours() -> None:
    """What it starts with, and what asks whether it is well."""
    (entry,), (command,) = of("ENTRYPOINT"), of("CMD")
    words = [*json.loads(entry), *json.loads(command)]
    assert understood(words)["host"] == "0.0.0.0"
    (health,) = of("HEALTHCHECK")
    assert understood(json.loads(health.partition("CMD ")[2]))
    text = (DEPLOYMENT / "Containerfile").read_text("utf-8")
    assert re.findall(r"\bweeksync (nightly|serve|status)\b", text)


def test_the_container_writes_to_the_household_alone_and_is_not_root() -> None:
    """The person's number is that of the folder's owner; the household is a volume."""
    (user,), (volume,) = of("USER"), of("VOLUME")
    names = [instruction for instruction, _ in instructions()]
    assert user == "household"
    assert names.index("USER") < names.index("ENTRYPOINT")
    assert names.index("USER") > max(n for n, name in enumerate(names) if name in {"RUN", "COPY"})
    assert f"WEEKSYNC_HOUSEHOLD={volume}" in " ".join(of("ENV"))
    assert any(
        f"useradd --uid 1000 --user-group --no-create-home --home-dir {volume}" in one
        for one in of("RUN")
    )


def test_what_the_container_installs_for_pdfs_is_what_the_readme_says() -> None:
    """The libraries that WeasyPrint loads."""
    wanted = set(re.findall(r"\blib[\w.-]+", " ".join(of("RUN")))) - {"lib"}
    readme = (ROOT / "README.md").read_text("utf-8")
    assert wanted == {"libpango-1.0-0", "libpangoft2-1.0-0", "libharfbuzz-subset0"}
    assert all(one in readme for one in wanted)
