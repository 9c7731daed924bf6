"""The docstrings under the fields of a household file's records, read from their source.

Only documentation needs them. pydantic would read the source of every record for them whenever
weeksync starts (`use_attribute_docstrings`), which took longer than making the records.
"""

from __future__ import annotations

import ast
import inspect
from functools import cache

from pydantic import BaseModel


@cache
def field_docs(record: type[BaseModel]) -> dict[str, str]:
    """Field → its docstring on one line, fields of its bases included; "" where it has none."""
    found: dict[str, str] = dict.fromkeys(record.model_fields, "")
    for base in reversed(record.__mro__):
        if issubclass(base, BaseModel) and base is not BaseModel:
            found |= _own(base)
    return found


def _own(record: type[BaseModel]) -> dict[str, str]:
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
