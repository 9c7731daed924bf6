"""Check-ins: Markdown under a TOML head, each the check-in of one person."""

from __future__ import annotations

from datetime import date

import pytest

from weeksync.model.household import CheckIn
from weeksync.read import parse_check_in

DAY = "check-ins/2027-03-22.md"
DOV = "check-ins/2027-03-22-dov.md"


def test_a_whole_check_in() -> None:
    """Every part of the head, and the text below it as it is written."""
    content = b"""+++
format = 1
feeling = "tired, hopeful"
energy = 3
why = "Night shift"
help = "A nap"
gratitude = "The beans are up"
+++

Rain *all* morning.
"""
    assert parse_check_in(DAY, content, "ines") == (
        CheckIn(
            date(2027, 3, 22),
            "ines",
            "tired, hopeful",
            3,
            "Night shift",
            "A nap",
            "The beans are up",
            "Rain *all* morning.",
        ),
        (),
    )


def test_every_part_may_be_left_out() -> None:
    """Two minutes in the morning: sometimes one word."""
    content = b'\xef\xbb\xbf+++\r\nformat = 1\r\nfeeling = "fine"\r\n+++'
    assert parse_check_in(DAY, content, "ines")[0] == CheckIn(date(2027, 3, 22), "ines", "fine")


@pytest.mark.parametrize(
    ("name", "person", "whose"),
    [(DAY, "", "ines"), (DAY, "dov", "dov"), (DOV, "", "dov"), (DOV, "dov", "dov")],
)
def test_whose_check_in_it_is(name: str, person: str, whose: str) -> None:
    """The head says it, else the name of the file, else it is the first person's."""
    content = f'+++\nformat = 1\nperson = "{person}"\n+++\n'.encode()
    check_in, problems = parse_check_in(name, content, "ines")
    assert problems == ()
    assert check_in is not None
    assert check_in.person == whose


def test_a_head_and_a_name_that_do_not_agree() -> None:
    """One person's check-in is not shown as another's."""
    check_in, problems = parse_check_in(
        DOV, b'+++\nformat = 1\n# whose?\nperson = "ines"\n+++\n', "ines"
    )
    assert check_in is None
    assert [str(problem) for problem in problems] == [
        f'{DOV}:4: person = "ines", and the name of the file says dov; '
        "let both name the same person"
    ]


@pytest.mark.parametrize(
    ("head", "line"),
    [
        ('person = "Dov M"', 3),
        ("person = dov", 3),
        ('person = "dov', 3),
        ("feeling = fine", 3),
        ("format = 2", 2),
    ],
)
def test_where_nobody_can_say_whose_it_is_it_is_not_shown(head: str, line: int) -> None:
    """A head that cannot be read may name anybody."""
    text = f"+++\n{'' if 'format' in head else 'format = 1' + chr(10)}{head}\n+++\nPrivate.\n"
    check_in, problems = parse_check_in(DAY, text.encode(), "ines")
    assert check_in is None
    assert [problem.place.line for problem in problems] == [line]


def test_where_the_name_says_whose_it_is_the_rest_is_kept() -> None:
    """A slip in the head costs the head, not the text."""
    check_in, problems = parse_check_in(
        DOV, b'+++\nformat = 1\nenergy = 9\nfeeling = "fine"\n+++\nText.\n', "ines"
    )
    assert check_in == CheckIn(date(2027, 3, 22), "dov", "fine", text="Text.")
    assert [str(problem) for problem in problems] == [
        f"{DOV}:3: energy = 9 is too large; write 5 or less"
    ]


def test_text_without_a_head_is_kept_and_told() -> None:
    """Somebody just began to write."""
    check_in, problems = parse_check_in(DAY, b"Just this.\n", "ines")
    assert check_in == CheckIn(date(2027, 3, 22), "ines", text="Just this.")
    assert [str(problem) for problem in problems] == [
        f"{DAY}:1: the check-in has no head; "
        "begin it with a line of +++, format = 1 and another line of +++"
    ]


def test_bad_bytes_in_the_text_are_told_with_their_line() -> None:
    """Lines are those of the file, below the head too."""
    check_in, problems = parse_check_in(DAY, b"+++\nformat = 1\n+++\nRain\nCaf\xe9\n", "ines")
    assert check_in is not None
    assert check_in.text.startswith("Rain")
    assert [problem.place.line for problem in problems] == [5]


@pytest.mark.parametrize("name", ["notes.md", "2027-02-30.md", "2027-3-2.md", "2027-03-22-Dov.md"])
def test_a_name_that_is_no_day(name: str) -> None:
    """The day is nowhere else."""
    check_in, problems = parse_check_in(f"check-ins/{name}", b"+++\nformat = 1\n+++\n", "ines")
    assert check_in is None
    assert [str(problem.what) for problem in problems] == ["the name of the file is no day"]
