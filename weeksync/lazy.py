"""Names that a package offers, each imported when somebody asks for it.

A package gathers in its `__init__` what others may use. Were all of it imported there, a mark on
the tablet would wait for what reads calendars, and a night for the forms of the served pages. So
some packages say where each name is, and the first use imports that one module (PEP 562).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from importlib import import_module
from typing import Any


def lazily(package: str, homes: Mapping[str, tuple[str, ...]]) -> Callable[[str], Any]:
    """The `__getattr__` of a package: `homes` has the full name of each module → what it gives.

    The same imports stand under TYPE_CHECKING, and the names in `__all__`, for type checkers and
    readers; `tests/test_lazy.py` holds them against each other. A name must not be that of a
    module in the package: as soon as that is imported, the name means the module.
    """
    home_of = {name: home for home, names in homes.items() for name in names}

    def find(name: str) -> Any:
        home = home_of.get(name)
        if home is None:
            raise AttributeError(f"module {package!r} has no attribute {name!r}")
        value = getattr(import_module(home), name)
        setattr(import_module(package), name, value)  # from now on it is found without us
        return value

    return find
