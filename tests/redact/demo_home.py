"""The demo household on disk, with a few things said about sharing."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

from weeksync import demo
from weeksync.model.week import IsoWeek
from weeksync.workflow.context import Context
from weeksync.workflow.opening import open_store
from weeksync.workflow.pull import pull

W11, W12 = IsoWeek(2027, 11), IsoWeek(2027, 12)
NOW = demo.NOW
APRIL = datetime(2027, 4, 12, 9, tzinfo=UTC)
"""When 2027-W12 is over, and the visit that reaches beyond it."""


def copied(folder: Path, sharing: str = "", **calendars: str) -> Path:
    """The demo household with this under `[sharing]`, and these levels for calendars."""
    home = demo.copy_to(folder)
    config = home / "config.toml"
    text = _unsaid(config.read_text("utf-8"))
    for name, level in calendars.items():
        path = f'path = "calendars/{name}.ics"\n'
        assert path in text
        text = text.replace(path, f'{path}share = "{level}"\n')
    config.write_text(f"{text}\n[sharing]\n{sharing}\n" if sharing else text, "utf-8")
    return home


def _unsaid(text: str) -> str:
    """The demo's `config.toml` without what it says about sharing itself."""
    text = re.sub(r"(?m)^(share|share_as|share_tasks|role) = .*\n", "", text)
    text, found = re.subn(r"(?ms)^\[sharing\]\n.*?(?=^\[|\Z)", "", text)
    assert found <= 1
    return f"{text.rstrip()}\n"


def read(home: Path, now: datetime = NOW) -> Context:
    """The household as a command reads it, its calendars pulled."""
    context = Context.read(home, now)
    with open_store(context) as store:
        pull(context, store)
    return Context.read(home, now)
