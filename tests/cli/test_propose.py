"""`weeksync propose`, `confirm` and the plan in `show`: what is said, and what is written."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from tests.support.households import event, with_calendar
from tests.support.keyboard import Keyboard
from weeksync import demo
from weeksync.cli import main
from weeksync.workflow.show import schema_text

INSTANT = "2027-03-24T06:40:00Z"
TASKS = """\
format = 1
[[tasks]]
id = "report"
title = "Term report"
person = "ann"
due = 2027-03-26
estimate = 240
[[tasks]]
id = "gate"
title = "Mend the gate"
person = "ann"
estimate = 60
carried = 1
[[tasks]]
id = "chosen"
title = "Chosen already"
person = "ann"
day = 2027-03-25
estimate = 30
[[tasks]]
id = "waits"
title = "Glue the kite"
person = "ann"
waits_for = "the glue"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A household with a calendar that was pulled, and open tasks."""
    home = with_calendar(
        tmp_path / "home",
        event("dentist", "20270325T113000", "Dentist"),
        event("late", "20270325T120000", "Piano"),
    )
    (home / "tasks.toml").write_text(TASKS)
    assert main(["nightly", "--household", str(home), "--now", INSTANT]) == 0
    return home


@pytest.fixture(scope="module")
def marlowicks(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo household, pulled."""
    top = tmp_path_factory.mktemp("demo")
    home = demo.copy_to(top / "home")
    words = ["pull", "--household", str(home), "--now", INSTANT]
    assert main(words) in {0, 1}
    return home


def typed(*words: str, folder: Path, status: int = 0, now: str = INSTANT) -> None:
    """Type a command and hold its exit status."""
    assert main([words[0], *words[1:], "--household", str(folder), "--now", now]) == status


def placed(folder: Path, week: str = "2027-W12") -> Iterator[str]:
    """The tasks put on days in a week's file."""
    path = folder / "weeks" / f"{week}.toml"
    data = tomllib.loads(path.read_text()) if path.exists() else {}
    return (one["task"] for one in data.get("placed", ()))


def test_the_proposal_says_what_goes_where_and_why(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Minutes of each day, tasks with their times and reasons, and what has no place."""
    typed("propose", folder=folder)
    out = capsys.readouterr().out
    assert out.startswith("Proposed for 2027-W12, from Wed 24 Mar 06:40\n\nAnn\n")
    assert re.search(
        r"Wed 24 Mar +720 free, 432 to plan, 0 planned, 300 with what is proposed\n", out
    )
    assert re.search(
        r"Fri 26 Mar +720 free, 432 to plan, 240 planned, 0 with what is proposed\n", out
    )
    assert re.search(
        r"\+ \d\d:\d\d\s–\s\d\d:\d\d +Term report\n +due Fri, 26 Mar 2027: 240 of", out
    )
    assert re.search(r"Without a place\n  Glue the kite \[A\]\n    waits for: the glue\n", out)
    assert not (folder / "weeks").exists()


def test_a_day_that_is_too_full_says_what_to_move(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The proposal names the tasks as `show` does."""
    more = (
        f'[[tasks]]\nid = "{name}"\ntitle = "{name.title()}"\nperson = "ann"\n'
        "day = 2027-03-27\nestimate = 240\n"
        for name in ("hedge", "attic")
    )
    (folder / "tasks.toml").write_text(TASKS + "".join(more))
    for command in ("propose", "show"):
        typed(command, folder=folder)
        one_line = " ".join(capsys.readouterr().out.split())
        assert re.search(r"48 too much; move “(Hedge|Attic)”", one_line), command


def test_of_a_day_under_way_it_is_told_what_is_still_to_come(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """At 14:00 half of the hours from 8 to 20 are over: 216 of the 432 minutes, as reasons say."""
    call = '[[tasks]]\nid = "call"\ntitle = "Call"\nperson = "ann"\ndue = 2027-03-24\n'
    (folder / "tasks.toml").write_text(f"{TASKS}{call}estimate = 30\n")
    told = "432 to plan (216 of them still to come)"
    for command in ("propose", "show"):
        typed(command, folder=folder, now="2027-03-24T14:00:00Z")
        one_line = " ".join(capsys.readouterr().out.split())
        found = re.findall(r"Wed 24 Mar:? [^:]*?(432 to plan[^,]*), \d+ planned", one_line)
        assert found, command
        assert set(found) == {told}, command
        assert one_line.count("still to come") == len(found), command
        assert command == "show" or "30 of 216 plannable minutes" in one_line


def test_nothing_is_written_unasked(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Without a terminal and without --yes it is wrong use; what would be written was shown."""
    typed("propose", "--take", folder=folder, status=2)
    out, err = capsys.readouterr()
    assert "Term report, 240 minutes" in out
    assert "--yes" in err
    assert not (folder / "weeks").exists()
    with Keyboard("propose", "--take", folder=folder, now=INSTANT) as keys:
        keys.types("n")
        assert keys.end() == 0
        assert "Nothing was written." in keys.seen
    assert not (folder / "weeks").exists()


def test_taking_all_writes_places_priorities_and_counts(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """After that nothing more is proposed for them, and nothing chosen has moved."""
    typed("propose", "--take", "--yes", folder=folder)
    assert set(placed(folder)) == {"report", "gate"}
    data = tomllib.loads((folder / "weeks" / "2027-W12.toml").read_text())
    assert [task for day in data["days"] for task in day["priorities"]]
    tasks = {one["id"]: one for one in tomllib.loads((folder / "tasks.toml").read_text())["tasks"]}
    assert tasks["gate"]["carried"] == 1
    assert tasks["gate"]["carried_until"].isoformat()[:8] == "2027-03-"
    before = (folder / "weeks" / "2027-W12.toml").read_bytes()
    capsys.readouterr()
    typed("propose", "--take", "--yes", folder=folder)
    assert "There is nothing to take." in capsys.readouterr().out
    assert (folder / "weeks" / "2027-W12.toml").read_bytes() == before
    typed("check", "--offline", folder=folder)


def test_each_file_is_announced_before_the_question_and_after(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The count of a carried task goes on in the file of tasks; of others that is not touched."""
    typed("propose", "--take", "gate", folder=folder, status=2)
    assert re.search(
        r"To be written into tasks\.toml, so that the count goes on:\n"
        r"  Mend the gate: carried 1 week\n",
        capsys.readouterr().out,
    )
    assert (folder / "tasks.toml").read_text() == TASKS
    typed("propose", "--take", "gate", "--yes", folder=folder)
    assert f"Written: {folder / 'tasks.toml'}\n" in capsys.readouterr().out
    before = (folder / "tasks.toml").read_bytes()
    typed("propose", "--take", "report", "--yes", folder=folder)
    assert "tasks.toml" not in capsys.readouterr().out
    assert (folder / "tasks.toml").read_bytes() == before


def test_taking_some_writes_those_alone(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By their ids; one without a place is wrong use, and those that have one are named."""
    typed("propose", "--take", "gate", "--yes", folder=folder)
    assert set(placed(folder)) == {"gate"}
    for name in ("waits", "chosen", "nonsense"):
        capsys.readouterr()
        typed("propose", "--take", name, "--yes", folder=folder, status=2)
        assert "those with one are: report" in capsys.readouterr().err
    assert set(placed(folder)) == {"gate"}


def test_planning_anew_shows_what_would_change_first(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A task left on a day that is over is named with that day; what was chosen is not in it."""
    typed("propose", "--take", "report", "--yes", folder=folder)
    capsys.readouterr()
    typed("propose", "--from-now", folder=folder, now="2027-03-26T06:40:00Z")
    out = capsys.readouterr().out
    change, _, rest = out.partition("Proposed for 2027-W12, from Fri 26 Mar")
    assert change.startswith("What would change\n")
    assert re.search(r"  Term report\n    Fri 26 Mar .*; it was left on Wed 24 Mar\n", change)
    assert rest
    capsys.readouterr()
    typed("propose", "--from-now", "--take", "--yes", folder=folder, now="2027-03-26T06:40:00Z")
    data = tomllib.loads((folder / "weeks" / "2027-W12.toml").read_text())
    days = [one["date"].isoformat() for one in data["placed"] if one["task"] == "report"]
    assert days == ["2027-03-24", "2027-03-26"]


@pytest.mark.parametrize("week", ["last", "2028-W10"])
def test_no_proposal_for_a_week_out_of_reach(
    folder: Path, capsys: pytest.CaptureFixture[str], week: str
) -> None:
    """Over, or further ahead than the household looks."""
    typed("propose", week, folder=folder, status=2)
    assert "look_ahead_weeks" in capsys.readouterr().err


def test_the_proposal_as_json_is_that_of_the_week(
    marlowicks: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same records as in `show --json`, by the same schema."""
    typed("propose", "--json", folder=marlowicks)
    record = json.loads(capsys.readouterr().out)
    main(["show", "--json", "--household", str(marlowicks), "--now", INSTANT])
    shown = json.loads(capsys.readouterr().out)
    assert record["proposal"] == shown["plan"]["proposal"]
    assert record["loads"] == shown["plan"]["loads"]
    Draft202012Validator(json.loads(schema_text())).validate(shown)


def test_one_persons_proposal(marlowicks: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Only their days and tasks; nobody else's name."""
    typed("propose", "--person", "dov", folder=marlowicks)
    out = capsys.readouterr().out
    assert "\nDov\n" in out
    assert "Ines" not in out
    assert "VAT-style sales sheet" not in out
    typed("propose", "--person", "zed", folder=marlowicks, status=2)


def test_a_confirmed_week_lists_what_has_changed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Until then there is nothing to count from; afterwards each change, where it stood before."""
    typed("show", folder=folder)
    assert "Changes since print" not in capsys.readouterr().out
    typed("confirm", folder=folder)
    assert (folder / "snapshots" / "2027-W12.json").is_file()
    capsys.readouterr()
    typed("show", folder=folder)
    assert "Changes since print (24 Mar 2027, 06:40)\n  none\n" in capsys.readouterr().out
    tasks = folder / "tasks.toml"
    tasks.write_text(tasks.read_text().replace("day = 2027-03-25", "day = 2027-03-27"))
    typed("show", folder=folder, now="2027-03-25T06:40:00Z")
    out = capsys.readouterr().out
    assert "Chosen already: Sat 27 Mar, before Thu 25 Mar\n" in out
    typed("confirm", "this", folder=folder, now="2027-03-25T06:40:00Z")
    typed("confirm", "last", folder=folder, status=2)


def test_the_plan_of_the_demo_in_the_terminal(
    marlowicks: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Clashes, the hand-over, load and hours worked as the household's figures have them."""
    main(["show", "--household", str(marlowicks), "--now", INSTANT])
    out = capsys.readouterr().out
    one_line = " ".join(out.split())
    for part in (
        "Ines, Mon 22 Mar 10:30: “Optician - Ines” and “Call with Nana Brice (moved)” overlap by "
        "10 minutes",
        "Ines, Tue 23 Mar 11:30: “Home lessons (spring term)” and “Dentist - Juno” overlap by "
        "30 minutes",
        "Ines, Sat 27 Mar 09:00: “Market stall” and “Swimming lesson - Juno” overlap by 60 minutes",
        "Thu 25 Mar 19:00: Dov is free after “Dov day shift”, Ines is engaged with “Traders "
        "meeting”: 0 minutes between",
        "Dov: 47 h",
    ):
        assert part in one_line
    assert re.search(
        r"Tue 23 Mar: 555 free \(morning \d+, afternoon \d+, evening \d+\), 333 to plan, "
        r"540 planned \(afternoon 240\): 207 too much",
        one_line,
    )
    for found in re.findall(r": (\d+) free \(([^)]+)\)", one_line):
        assert int(found[0]) == sum(map(int, re.findall(r"\d+", found[1])))
    assert all(len(line) <= 80 for line in out.splitlines())
    assert "\x1b" not in out


def test_habits_of_the_same_title_say_whose_they_are(
    marlowicks: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Both parents write down their sleep."""
    typed("show", folder=marlowicks)
    out = capsys.readouterr().out
    assert re.search(r"\n  Sleep \[I\] +7\.5 .*\n  Sleep \[D\] +\? ", out)


def test_what_is_struck_through_says_so_in_words(
    marlowicks: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The piano lesson of the Wednesday is cancelled."""
    typed("show", folder=marlowicks)
    assert re.search(r"16:00–16:30  Piano - Pell \[I P\] \(cancelled\)", capsys.readouterr().out)


def test_three_engagements_at_one_moment_are_told_with_their_number(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Once a day, under the clashes; each pair of them stands there, too."""
    home = with_calendar(
        tmp_path / "home",
        *(event(name, "20270325T113000", name.title()) for name in ("dentist", "piano", "choir")),
    )
    typed("pull", folder=home)
    capsys.readouterr()
    typed("show", folder=home)
    out = capsys.readouterr().out
    assert out.count("at one moment at most") == 1
    assert "Clashes\n  Ann, Thu 25 Mar: 3 at one moment at most\n  Ann, Thu 25 Mar 11:30" in out


def test_what_is_fixed_stands_on_top_of_a_day(
    marlowicks: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All-day, bills, pay, the term week, the public holiday; then priorities, then the parts."""
    main(["show", "--household", str(marlowicks), "--now", INSTANT])
    out = capsys.readouterr().out
    days = out.replace(",", "")  # CLDR has this date with and without a comma
    thursday = days.partition("Thursday 25 March 2027")[2].partition("Friday")[0]
    order = ["Library books due", "− Pitch on the market", "+ Dov's pay", "Spring term week", "!"]
    order += ["\n  Morning\n", "\n  Afternoon\n", "\n  Evening\n"]
    places = [thursday.index(text) for text in order]
    assert places == sorted(places)
    friday = days.partition("Friday 26 March 2027")[2].partition("Saturday")[0]
    assert friday.index("Cousin Tamsin") < friday.index("Good Friday") < friday.index("!")


def test_a_mistake_that_hides_a_choice_is_told(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was chosen in a file that cannot be read would be proposed anew: that is said."""
    (folder / "weeks").mkdir()
    (folder / "weeks" / "2027-W12.toml").write_text("format = 1\nbroken = =\n")
    for words in (("propose",), ("carry", "--list")):
        typed(*words, folder=folder, status=1)
        assert "weeks/2027-W12.toml:2:" in capsys.readouterr().err


def test_from_friday_on_the_coming_week_is_proposed(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where no week is named, and not for what remains of this one."""
    for day, week in (("25", "2027-W12"), ("26", "2027-W13")):
        typed("propose", folder=folder, now=f"2027-03-{day}T06:40:00Z")
        assert f"Proposed for {week}" in capsys.readouterr().out
