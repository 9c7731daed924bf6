"""What reads the household and makes its pages: the program, told from any other one."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import weeksync
from weeksync.lean import code_print, installed_in
from weeksync.site.render import own_templates

NEEDS = ("tzdata", "babel", "jinja2")
"""Distributions whose folders hold, between them, all that pages are made with."""


@cache
def code_places() -> tuple[list[str], list[str]]:
    """(folders of our own, folders of distributions) that hold all that pages are made with."""
    folders = sorted({str(Path(weeksync.__file__).parent), str(own_templates())})
    return folders, installed_in(NEEDS)


def program_print() -> str:
    """The digest of our own files and of what is installed."""
    return code_print(*code_places())
