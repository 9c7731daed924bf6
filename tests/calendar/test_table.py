"""The table of all situations, and the page that is written from it."""

from __future__ import annotations

import pytest

from tests.calendar import cases, table
from tests.calendar.rfc_examples import examples


def test_the_page_is_that_of_the_cases() -> None:
    """`python -m tests.calendar.table --write` was run after the last change of a case."""
    assert table.DOCUMENT.read_text("utf-8") == table.document()


def test_the_table_has_every_case_and_example(capsys: pytest.CaptureFixture[str]) -> None:
    """One line each, under one head; all hold, and so the command ends with 0."""
    assert table.main([]) == 0
    lines = capsys.readouterr().out.splitlines()
    count = len(cases.names()) + len(examples())
    assert lines[-1] == f"{count} situations, {count} hold, 0 do not."
    shown = [line for line in lines if line.startswith("| ") and line.endswith(" yes |")]
    assert len(shown) == count
    assert [line for line in lines if line.startswith("| ")][2:] == shown


def test_every_case_says_what_the_rfc_says() -> None:
    """Each has a sentence, a section and the words of that section."""
    for name in cases.names():
        case = cases.read(name)
        assert case.says.endswith(".")
        assert case.rfc.endswith((".", "?", ":"))
        assert case.section


def test_lines_hold_their_cells() -> None:
    """A bar inside a cell does not begin another."""
    assert table.line(["a|b", "c"]) == "| a\\|b | c |\n"
