"""The records of the pages as tables for `site_templates/README.md`, from their docstrings.

`python -m tests.support.record_docs` writes them into that file.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "site_templates" / "README.md"
RECORDS = ROOT / "weeksync" / "site" / "record"
PAPER = ROOT / "weeksync" / "paper" / "record.py"
START, END = "<!-- records: start -->", "<!-- records: end -->"
ORDER = (
    "base",
    "week",
    "lines",
    "plan",
    "plan_evening",
    "month",
    "lists",
    "own",
    "review",
    "year",
    "search",
    "enter",
    "access",
    "form",
    "start",
    "style",
)
"""The modules in the order in which somebody reads about them."""


def classes() -> Iterator[ast.ClassDef]:
    """Every record of the pages."""
    for path in (*(RECORDS / f"{name}.py" for name in ORDER), PAPER):
        tree = ast.parse(path.read_text())
        yield from (node for node in tree.body if isinstance(node, ast.ClassDef))


def fields(record: ast.ClassDef) -> Iterator[tuple[str, str, str]]:
    """(name, type, docstring) of each field; the docstring is "" where it has none."""
    following = [*record.body[1:], None]
    for node, after in zip(record.body, following, strict=True):
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            text = ""
            if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant):
                text = " ".join(str(after.value.value).split())
            yield node.target.id, ast.unparse(node.annotation), text


def tables() -> str:
    """All records as Markdown."""
    parts = []
    for record in classes():
        base = ast.unparse(record.bases[0]) if record.bases else ""
        parts.append(f"### {record.name}\n")
        parts.append(f"{' '.join((ast.get_docstring(record) or '').split())}")
        parts.append(f"Has all fields of {base}, and:\n" if base else "")
        parts.append("| field | type | what it is |\n|---|---|---|")
        for name, kind, text in fields(record):
            parts.append(f"| `{name}` | `{kind.replace('|', chr(92) + '|')}` | {text} |")
        parts.append("")
    return "\n".join(parts).replace("\n\n\n", "\n\n")


def with_tables(text: str) -> str:
    """The README's text with the tables of today between its two marks."""
    before, _, rest = text.partition(START)
    _, _, after = rest.partition(END)
    return f"{before}{START}\n\n{tables()}\n{END}{after}"


if __name__ == "__main__":
    README.write_text(with_tables(README.read_text()))
