"""Bytes that are no UTF-8 text."""

from __future__ import annotations

from weeksync.model.files import TasksFile
from weeksync.model.problem import ProblemKind
from weeksync.read import parse_toml

TWO = b'format = 1\n[[tasks]]\ntitle = "Caf\xe9"\n[[tasks]]\ntitle = "Tea"\n'


def test_latin_1_costs_the_entry_and_tells_the_line() -> None:
    """One sign of another encoding does not take the whole file along."""
    record, problems = parse_toml("tasks.toml", TWO, TasksFile)
    assert record is not None
    assert [task.title for task in record.tasks] == ["Tea"]
    assert [str(problem) for problem in problems] == [
        "tasks.toml:3: the line holds bytes that are no UTF-8; "
        "save the file as UTF-8; it looks like Latin-1 or Windows-1252"
    ]


def test_a_byte_order_mark_is_mentioned_and_read_over() -> None:
    """Editors of one system write it; nothing is wrong with what follows."""
    content = b"\xef\xbb\xbf" + TWO.replace(b"\xe9", "é".encode())
    record, problems = parse_toml("tasks.toml", content, TasksFile)
    assert record is not None
    assert [task.title for task in record.tasks] == ["Café", "Tea"]
    assert [(problem.kind, problem.place.line) for problem in problems] == [(ProblemKind.NOTICE, 1)]


def test_utf_16_is_named() -> None:
    """The remedy is to save it otherwise, not to look for a mistake in it."""
    for encoding in ("utf-16-le", "utf-16-be"):
        content = "\ufeffformat = 1\n".encode(encoding)
        record, problems = parse_toml("tasks.toml", content, TasksFile)
        assert record is None
        assert [str(problem) for problem in problems] == [
            "tasks.toml:1: the file is no UTF-8 text: it holds UTF-16; "
            "save it as UTF-8, or put the right file in its place"
        ]


def test_a_binary_file_is_one_problem() -> None:
    """A picture under the name of a household file is told once."""
    record, problems = parse_toml("tasks.toml", b"\x89PNG\n" + bytes(100), TasksFile)
    assert record is None
    assert len(problems) == 1
    assert problems[0].place.line == 2
