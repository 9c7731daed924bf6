"""The README's list of keys, made from the models: `python -m tests.support.keys` renews it."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

from tests.support.field_docs import NEEDED, defaults_of, field_docs
from weeksync.model.chosen import WeekFile
from weeksync.model.files import AppointmentsFile, HabitsFile, RoutinesFile, TasksFile, TermsFile
from weeksync.model.money import MoneyFile
from weeksync.model.record import Record
from weeksync.read.fields import hints_of

README = Path(__file__).parents[2] / "README.md"
BEGIN, END = "<!-- keys -->\n", "<!-- end of keys -->"
FILES: tuple[tuple[str, type[Record]], ...] = (
    ("appointments.toml", AppointmentsFile),
    ("routines.toml", RoutinesFile),
    ("tasks.toml", TasksFile),
    ("habits.toml", HabitsFile),
    ("money.toml", MoneyFile),
    ("terms.toml", TermsFile),
    ("weeks/2027-W12.toml", WeekFile),
)


def table(file: str, model: type[Record]) -> str:
    """One file's keys as Markdown: a table for its tables, one for each table inside them."""
    lines = [f"`{file}`", "", "| key | what it is |", "|---|---|"]
    lines += _rows(model, "")
    return "\n".join(lines) + "\n"


def _rows(model: type[Record], prefix: str) -> list[str]:
    rows = []
    for name, default in defaults_of(model).items():
        inner = _inner(hints_of(model)[name])
        key = f"{prefix}{name}"
        text = field_docs(model)[name]
        needed = " (needed)" if default is NEEDED else ""
        rows.append(f"| `{f'[[{key}]]' if inner else key}` | {text}{needed} |")
        if inner:
            rows += _rows(inner, f"{key}.")
    return rows


def _inner(annotation: object) -> type[Record] | None:
    """The record that an array of tables holds."""
    for one in get_args(annotation):
        if isinstance(one, type) and issubclass(one, Record):
            return one
    return None


def section() -> str:
    """All files' tables."""
    return "\n".join(table(*one) for one in FILES)


def main() -> None:
    """Put the tables into the README."""
    text = README.read_text("utf-8")
    head, _, rest = text.partition(BEGIN)
    tail = rest[rest.index(END) :]
    README.write_text(f"{head}{BEGIN}{section()}{tail}", "utf-8")


if __name__ == "__main__":
    main()
