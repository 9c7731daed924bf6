"""The page records: documented to the last field, and the README for templates with them."""

from __future__ import annotations

import dataclasses

import pytest

from tests.support import record_docs
from weeksync.site import record
from weeksync.site.record import VERSION


def test_every_field_says_what_it_is() -> None:
    """A record is the contract for templates of one's own: no field without a sentence."""
    silent = [
        f"{one.name}.{name}"
        for one in record_docs.classes()
        for name, _, text in record_docs.fields(one)
        if not text.strip(". ")
    ]
    assert silent == []


def test_the_readme_holds_the_records_of_today() -> None:
    """Run `python -m tests.support.record_docs` after a change of a record."""
    text = record_docs.README.read_text()
    assert record_docs.with_tables(text) == text
    assert f"## The records, version {VERSION}" in text


def test_the_tables_name_every_record_and_field() -> None:
    """What the package exports, dataclass by dataclass, is in the tables."""
    tables = record_docs.tables()
    for name in record.__all__:
        made = getattr(record, name)
        if not dataclasses.is_dataclass(made):
            continue
        assert f"### {name}\n" in tables
        for field in dataclasses.fields(made):
            assert f"| `{field.name}` |" in tables


def test_every_template_is_in_the_readme() -> None:
    """The list of templates is whole, and names none that is not there."""
    text = record_docs.README.read_text()
    folder = record_docs.README.parent
    files = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    files = {name for name in files if "__pycache__" not in name} - {"README.md"}
    named = {line.split("`")[1] for line in text.splitlines() if line.startswith("| `") and
             line.split("`")[1].endswith((".html", ".css", ".js", ".svg"))}  # fmt: skip
    assert named == files


@pytest.mark.parametrize("name", [one for one in record.__all__ if one != "VERSION"])
def test_records_are_frozen(name: str) -> None:
    """A template cannot change what another one sees."""
    made = getattr(record, name)
    with pytest.raises(dataclasses.FrozenInstanceError):
        made.__new__(made).anything = 1
