"""What is worked out once for all runs, kept as Python keeps its modules: in `__pycache__`, where
who can write can change our code anyway, or nowhere. Everything in it can be made again."""

from __future__ import annotations

import hashlib
import importlib.util
import marshal
import os
import sys
from contextlib import suppress
from pathlib import Path
from typing import Any

import weeksync

_HASH = hashlib.sha256


def place(name: str) -> Path:
    """Where it is kept, beside a file of that name, as Python keeps what it made of a module."""
    return Path(importlib.util.cache_from_source(f"{name}.py"))


def made_by(*modules: Path) -> tuple[object, ...]:
    """What tells these modules from any others, as Python tells whether a `.pyc` is theirs."""
    found: list[object] = []
    for module in modules:
        try:
            about = module.stat()
            found.append((about.st_size, about.st_mtime_ns))
        except OSError:  # in a zip file
            found.append(weeksync.__version__)
    return tuple(found)


def read(file: Path, about: object) -> object:
    """What was kept there with just this `about`; None where nothing of that kind is, or damaged:
    nobody would take a damaged one away."""
    try:
        content = file.read_bytes()
        head = _head(about)
        body = content[len(head) + _HASH().digest_size :]
        if not content.startswith(head + _HASH(body).digest()):
            return None
        return marshal.loads(body)  # noqa: S302 - as Python does with .pyc
    except (OSError, ValueError, EOFError, TypeError):
        return None


def write(file: Path, about: object, value: Any) -> None:
    """Whole, through a file of its own; where nobody may write it is made again next time.

    `value` is of what `marshal` takes, `about` tells by its `repr` what `value` was made from.
    """
    if sys.dont_write_bytecode:
        return
    temporary = file.with_name(f"{file.name}.{os.getpid()}")
    with suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
        try:
            body = marshal.dumps(value)
            temporary.write_bytes(_head(about) + _HASH(body).digest() + body)
            temporary.replace(file)
        finally:
            temporary.unlink(missing_ok=True)


def _head(about: object) -> bytes:
    return importlib.util.MAGIC_NUMBER + repr(about).encode() + b"\n"
