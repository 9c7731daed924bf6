"""The README says what is: commands, keys, and the command lines that are run elsewhere."""

from __future__ import annotations

import re
import shlex

import pytest

from tests.support.keys import BEGIN, END, README, section
from weeksync.cli.commands import COMMANDS, Command
from weeksync.cli.run import parser
from weeksync.cli.terminal import Terminal

TEXT = README.read_text("utf-8")


def test_the_readme_opens_with_the_job() -> None:
    """After the title comes one paragraph that states the job."""
    title, paragraph, *_ = TEXT.split("\n\n")
    assert title == "# weeksync"
    assert paragraph.startswith("weeksync puts a household's week on one spread")


def test_every_key_of_the_household_files_is_in_the_readme() -> None:
    """The list of keys is the models' own; `python -m tests.support.keys` renews it."""
    inside = TEXT.partition(BEGIN)[2].partition(END)[0]
    assert inside == section()
    assert "Minor units, as 4250 for 42.50" in inside


def test_every_command_stands_in_the_readme() -> None:
    """The table of commands names each command once, and no other."""
    named = re.findall(r"^\| `weeksync ([\w-]+)", TEXT, re.MULTILINE)
    assert named == [command.name for command in COMMANDS]


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command.name)
def test_every_command_has_help_with_an_example(
    command: Command, capsys: pytest.CaptureFixture[str]
) -> None:
    """`weeksync COMMAND --help` ends well, and shows an example that can be parsed."""
    name, example = command.name, command.example
    top = parser(Terminal())
    with pytest.raises(SystemExit) as ended:
        top.parse_args([name, "--help"])
    assert ended.value.code == 0
    shown = " ".join(capsys.readouterr().out.split())
    assert f"Example: {example}" in shown
    assert "--household" in shown
    assert "--now" in shown
    parsed = top.parse_args(shlex.split(example)[1:])
    assert parsed.command is command
