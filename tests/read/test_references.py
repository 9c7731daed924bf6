"""Ids that must exist and must exist once, each told with file and line."""

from __future__ import annotations

import pytest

from tests.support.readings import CONFIG, found, reading
from weeksync.model.household import latest_marks
from weeksync.model.problem import ProblemKind
from weeksync.read import HEADER, cross_check

HEAD = ",".join(HEADER)
MARK = "2027-03-22,ines,yes,2027-03-22T08:00:00Z,2027-03-22T08:00:01Z,tablet"


def test_a_household_that_hangs_together_has_no_problem() -> None:
    """Every kind of reference, each to something that is there."""
    files = {
        "tasks.toml": '[[tasks]]\nid = "gate"\ntitle = "Gate"\narea = "home"\nperson = "dov"\n',
        "money.toml": '[[pay_days]]\nid = "wages"\ntitle = "W"\nfirst = 2027-03-26\n'
        'person = "dov"\n'
        '[[goals]]\nid = "kiln"\ntitle = "K"\namount = 5\npay_day = "wages"\n'
        "start = 2027-03-26\nend = 2027-03-26\n",
        "terms.toml": '[[terms]]\nid = "spring"\nname = "S"\nstart = 2027-01-06\nend = 2027-03-25\n'
        '[[lessons]]\nid = "sums"\nchild = "dov"\nsubject = "S"\ndays = ["monday"]\n'
        'terms = ["spring"]\n',
        "weeks/2027-W12.toml": '[[placed]]\ntask = "gate"\ndate = 2027-03-23\n',
        "marks/2027-W12.csv": f"{HEAD}\ngate,{MARK}\nsums,{MARK}\n",
        "check-ins/2027-03-22-dov.md": "+++\nformat = 1\n+++\n",
    }
    config = CONFIG + (
        '[[calendars]]\nid = "rota"\npath = "r.ics"\nperson = ["ines", "dov"]\narea = "home"\n'
        '[[rules]]\ncalendar = "rota"\nperson = "dov"\n'
    )
    assert found(files, config) == []


UNKNOWN = {
    "a person": (
        "tasks.toml",
        '[[tasks]]\ntitle = "x"\nperson = "inez"\n',
        'tasks.toml:4: person = "inez" is nobody of config.toml; did you mean ines?',
    ),
    "one of several persons": (
        "appointments.toml",
        '[[appointments]]\ntitle = "x"\nstart = 2027-03-22\nperson = [\n"dov",\n"juno"]\n',
        'appointments.toml:7: person = "juno" is nobody of config.toml; write one of dov, ines',
    ),
    "who may see it": (
        "money.toml",
        '[[bills]]\ntitle = "x"\nfirst = 2027-03-22\nonly_for = ["dovv"]\n',
        'money.toml:5: only_for = "dovv" is nobody of config.toml; did you mean dov?',
    ),
    "an area": (
        "habits.toml",
        '[[habits]]\ntitle = "x"\nperson = "dov"\narea = "house"\n',
        'habits.toml:5: area = "house" is no area of config.toml; did you mean home?',
    ),
    "a child": (
        "terms.toml",
        '[[lessons]]\nchild = "juno"\nsubject = "x"\ndays = ["monday"]\n',
        'terms.toml:3: child = "juno" is nobody of config.toml; write one of dov, ines',
    ),
    "a term": (
        "terms.toml",
        '[[lessons]]\nchild = "dov"\nsubject = "x"\ndays = ["monday"]\nterms = ["spring"]\n',
        'terms.toml:6: terms = "spring" is no term of terms.toml; add it there, or take this away',
    ),
    "a pay day": (
        "money.toml",
        '[[goals]]\ntitle = "x"\namount = 5\npay_day = "pay"\n'
        "start = 2027-03-22\nend = 2027-03-22\n",
        'money.toml:5: pay_day = "pay" is no pay day of money.toml; '
        "add it there, or take this away",
    ),
    "a task": (
        "weeks/2027-W12.toml",
        '[[placed]]\ntask = "gate"\ndate = 2027-03-23\n',
        'weeks/2027-W12.toml:3: task = "gate" is no task of tasks.toml; '
        "add it there, or take this away",
    ),
    "the person of a place": (
        "weeks/2027-W12.toml",
        '[[placed]]\ntask = "todo-0123456789abcdef"\ndate = 2027-03-23\nperson = "juno"\n',
        'weeks/2027-W12.toml:5: person = "juno" is nobody of config.toml; write one of dov, ines',
    ),
    "the person of a break": (
        "weeks/2027-W12.toml",
        '[[breaks]]\ndate = 2027-03-23\nstart = 10:00:00\nperson = "juno"\n',
        'weeks/2027-W12.toml:5: person = "juno" is nobody of config.toml; write one of dov, ines',
    ),
    "the person of a check-in": (
        "check-ins/2027-03-22.md",
        '+++\nformat = 1\nperson = "juno"\n+++\n',
        'check-ins/2027-03-22.md:3: person = "juno" is nobody of config.toml; '
        "write one of dov, ines",
    ),
    "the person in the name of a check-in": (
        "check-ins/2027-03-22-juno.md",
        "+++\nformat = 1\n+++\n",
        'check-ins/2027-03-22-juno.md: person = "juno" is nobody of config.toml; '
        "write one of dov, ines",
    ),
}


@pytest.mark.parametrize(("name", "text", "said"), UNKNOWN.values(), ids=UNKNOWN.keys())
def test_what_does_not_exist(name: str, text: str, said: str) -> None:
    """Each kind of reference to nothing, with its line."""
    assert found({name: text}) == [said]


def test_references_inside_the_config() -> None:
    """Calendars and rules name people, areas and calendars, too."""
    config = CONFIG + (
        '[[calendars]]\nid = "rota"\npath = "r.ics"\nperson = "juno"\narea = "homes"\n'
        '[[rules]]\ncalendar = "rotta"\nonly = 1\n'
    )
    assert found({}, config) == [
        'config.toml:19: person = "juno" is nobody of config.toml; write one of dov, ines',
        'config.toml:20: area = "homes" is no area of config.toml; did you mean home?',
        'config.toml:22: calendar = "rotta" is no calendar of config.toml; did you mean rota?',
    ]


def test_an_entry_with_another_mistake_is_checked_as_well() -> None:
    """Both mistakes come in one run, and who is named in a broken entry is known."""
    config = CONFIG.replace('colour = "moss"', 'colour = "red"')
    files = {"tasks.toml": '[[tasks]]\ntitle = "x"\ndue = 5\nperson = "inez"\narea = "home"\n'}
    assert found(files, config) == [
        'tasks.toml:5: person = "inez" is nobody of config.toml; did you mean ines?'
    ]


def test_what_a_broken_table_names_is_known() -> None:
    """A quote left open in a task does not make the week that places it wrong, too."""
    files = {
        "tasks.toml": '[[tasks]]\nid = "gate"\ntitle = "Gate\n',
        "weeks/2027-W12.toml": '[[placed]]\ntask = "gate"\ndate = 2027-03-23\n',
    }
    assert found(files) == []


@pytest.mark.parametrize("config", [None, "\0" * 30, "format = 2\n"])
def test_without_a_config_nobody_is_unknown(config: str | None) -> None:
    """Hundreds of messages that follow from one would hide it."""
    assert found({"tasks.toml": '[[tasks]]\ntitle = "x"\nperson = "inez"\n'}, config) == []


TWICE = {
    "in one file": (
        {"tasks.toml": '[[tasks]]\nid = "a"\ntitle = "x"\n[[tasks]]\nid = "a"\ntitle = "y"\n'},
        'tasks.toml:6: id = "a" stands twice, before in tasks.toml:3',
    ),
    "in the file of a year": (
        {
            "tasks.toml": '[[tasks]]\nid = "a"\ntitle = "x"\n',
            "tasks-2026.toml": '[[tasks]]\nid = "a"\ntitle = "x"\ndone = 2026-03-01\n',
        },
        'tasks-2026.toml:3: id = "a" stands twice, before in tasks.toml:3',
    ),
    "of two kinds": (
        {
            "habits.toml": '[[habits]]\nid = "a"\ntitle = "x"\nperson = "dov"\n',
            "money.toml": '[[bills]]\nid = "a"\ntitle = "x"\nfirst = 2027-03-01\n',
        },
        'money.toml:3: id = "a" stands twice, before in habits.toml:3',
    ),
    "in an entry with a mistake": (
        {"tasks.toml": '[[tasks]]\nid = "a"\n[[tasks]]\nid = "a"\ntitle = "y"\n'},
        'tasks.toml:5: id = "a" stands twice, before in tasks.toml:3',
    ),
}


@pytest.mark.parametrize(("files", "said"), TWICE.values(), ids=TWICE.keys())
def test_an_id_given_twice(files: dict[str, str], said: str) -> None:
    """A mark names nothing but the id, so all that can be marked shares one space of them."""
    assert found(files) == [f"{said}; give this one an id of its own"]


@pytest.mark.parametrize("array", ["people", "areas", "calendars"])
def test_an_id_given_twice_in_the_config(array: str) -> None:
    """People, areas and calendars each have a space of their own."""
    entry = {
        "people": 'id = "home"\nname = "X"\nletter = "{}"\n',
        "areas": 'id = "ines"\nname = "Y"\ncolour = "fir"\nletter = "{}"\n',
        "calendars": 'id = "dov"\nname = "{}"\npath = "z.ics"\n',
    }[array]
    config = CONFIG + "".join(f"[[{array}]]\n{entry.format(letter)}" for letter in "XY")
    assert len(found({}, config)) == 1
    assert "stands twice, before in config.toml:17" in found({}, config)[0]


def test_a_term_and_a_task_may_have_the_same_id() -> None:
    """Terms cannot be marked."""
    files = {
        "tasks.toml": '[[tasks]]\nid = "spring"\ntitle = "x"\n',
        "terms.toml": '[[terms]]\nid = "spring"\nname = "S"\n'
        "start = 2027-01-06\nend = 2027-03-25\n",
    }
    assert found(files) == []


def test_marks_for_what_is_gone_are_a_notice() -> None:
    """What has ended keeps its history: one line for all of them, at the first."""
    lines = f"{HEAD}\nold,{MARK}\nold,{MARK}\nolder,{MARK.replace('ines', 'nana')}\n"
    problems = cross_check(reading({"marks/2027-W12.csv": lines}))
    assert {problem.kind for problem in problems} == {ProblemKind.NOTICE}
    assert [str(problem) for problem in problems] == [
        "marks/2027-W12.csv:2: 2 marks have id = old, which is in no file; "
        "they are kept; an id that was changed can be changed back",
        "marks/2027-W12.csv:4: 1 mark has id = older, which is in no file; "
        "they are kept; an id that was changed can be changed back",
        "marks/2027-W12.csv:4: 1 mark has person = nana, which is in no file; "
        "they are kept; an id that was changed can be changed back",
    ]


def test_marks_are_not_unknown_while_a_file_cannot_be_read() -> None:
    """The habit may stand in the file of a later format."""
    read = reading({"habits.toml": "", "marks/2027-W12.csv": f"{HEAD}\nwalk,{MARK}\n"})
    assert len(cross_check(read)) == 1
    read.files[0].checked = None
    assert cross_check(read) == ()


def test_what_only_a_task_can_be_is_a_mistake_elsewhere() -> None:
    """A mark "done" is a task's; of a lesson it says nothing, and the line is told."""
    word = MARK.replace(",yes,", ",done,")
    files = {
        "tasks.toml": '[[tasks]]\nid = "gate"\ntitle = "Gate"\n',
        "terms.toml": '[[terms]]\nid = "spring"\nname = "S"\nstart = 2027-01-06\nend = 2027-03-25\n'
        '[[lessons]]\nid = "sums"\nchild = "dov"\nsubject = "S"\ndays = ["monday"]\n',
        "marks/2027-W12.csv": f"{HEAD}\ngate,{word}\nsums,{word}\n",
    }
    assert found(files) == [
        'marks/2027-W12.csv:3: value = "done" is no mark; '
        "write yes, no or a number with a point before decimals, as 7.5"
    ]
    [sums] = [one for one in reading(files).marks[0].marks if one.id == "sums"]
    assert latest_marks((sums,)) == {}
