"""Templates as Jinja compiles them, kept: in the process, and ours as Python keeps its modules."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path
from types import CodeType

import jinja2
from jinja2.bccache import Bucket

from weeksync import pycache

MAKERS = ("compiled.py", "quick.py", "render.py", "thin.py")
"""Our modules on which it hangs what a template is compiled to."""

MOST = 500
"""Compiled templates that a process keeps."""


def jinja_release() -> str:
    """The release of Jinja: as it says itself, or else as it was installed."""
    said = getattr(jinja2, "__version__", None)
    if isinstance(said, str):
        return said
    from importlib import metadata

    return metadata.version("jinja2")


@cache
def _makers() -> tuple[object, ...]:
    return pycache.made_by(*(Path(__file__).with_name(one) for one in MAKERS))


class _Place(Bucket):
    """A template's place in the cache; `file` is where it is kept on the disk, None for nowhere."""

    file: Path | None = None
    filename: str = ""

    def about(self) -> object:
        """What it was made from."""
        return _makers(), jinja_release(), self.filename, self.checksum


class Compiled(jinja2.BytecodeCache):
    """Compiled templates by name and by what stands in them; `ours` is the folder of our own.

    A night needs two dozen templates, and compiling takes longer than rendering. Those of ours are
    kept as Python keeps modules: in `__pycache__`, where who can write can change our code anyway,
    or nowhere. A household's own templates are kept in the process alone: nothing that is run
    lies in a folder that the household shares.
    """

    def __init__(self, ours: Path) -> None:
        self._ours = os.fspath(ours)
        self._made: dict[tuple[str, str], CodeType] = {}

    def get_bucket(
        self, environment: jinja2.Environment, name: str, filename: str | None, source: str
    ) -> Bucket:
        """With what was made of the same text before."""
        place = _Place(
            environment, self.get_cache_key(name, filename), self.get_source_checksum(source)
        )
        place.filename = filename or ""
        if filename == os.path.join(self._ours, name):
            place.file = pycache.place(filename)
        self.load_bytecode(place)
        return place

    def has(self, filename: str | None) -> bool:
        """Whether that file is one of our templates."""
        return filename is not None and os.path.dirname(filename) == self._ours

    def load_bytecode(self, bucket: Bucket) -> None:
        """From the process, or from the disk."""
        bucket.code = self._made.get((bucket.key, bucket.checksum))
        if bucket.code is None and isinstance(bucket, _Place) and bucket.file is not None:
            code = pycache.read(bucket.file, bucket.about())
            bucket.code = code if isinstance(code, CodeType) else None
            self._keep(bucket)

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep it; of templates that are edited while they are served, not for ever."""
        self._keep(bucket)
        if isinstance(bucket, _Place) and bucket.file is not None and bucket.code is not None:
            pycache.write(bucket.file, bucket.about(), bucket.code)

    def _keep(self, bucket: Bucket) -> None:
        if bucket.code is not None:
            if len(self._made) >= MOST:
                self._made.clear()
            self._made[bucket.key, bucket.checksum] = bucket.code
