"""The docstrings under the fields of a household file's records, read from their source.

Only documentation needs them.
"""

from __future__ import annotations

import ast
import dataclasses
import inspect

from weeksync.model.record import Record


def field_docs(record: type[Record]) -> dict[str, str]:
    """Field → its docstring on one line, fields of its bases included; "" where it has none."""
    found: dict[str, str] = dict.fromkeys(record.field_names(), "")
    for base in reversed(record.__mro__):
        if issubclass(base, Record) and base is not Record:
            found |= _own(base)
    return found


def _own(record: type[Record]) -> dict[str, str]:
    [tree] = ast.parse(inspect.getsource(record)).body
    assert isinstance(tree, ast.ClassDef)
    return {
        node.target.id: " ".join(after.value.value.split())
        for node, after in zip(tree.body, tree.body[1:], strict=False)
        if isinstance(node, ast.AnnAssign)
        and isinstance(node.target, ast.Name)
        and isinstance(after, ast.Expr)
        and isinstance(after.value, ast.Constant)
        and isinstance(after.value.value, str)
    }


def defaults_of(record: type[Record]) -> dict[str, object]:
    """Field → what it is where nothing is said; `NEEDED` where something must be."""
    return {
        one.name: one.default_factory()
        if one.default_factory is not dataclasses.MISSING
        else one.default
        for one in dataclasses.fields(record)
    }


NEEDED = dataclasses.MISSING
