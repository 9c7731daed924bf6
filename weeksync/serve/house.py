"""What all handlers share: the desk, the doors, and who waits for changes."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import field
from typing import TypeVar

import anyio.to_thread

from weeksync.lazy import dataclass
from weeksync.serve.access import Access
from weeksync.serve.changes import Changes
from weeksync.serve.desk import Desk
from weeksync.serve.options import Options
from weeksync.serve.tries import Tries
from weeksync.serve.who import Doors

T = TypeVar("T")


@dataclass(slots=True)
class House:
    """One running serve."""

    desk: Desk
    access: Access
    options: Options
    doors: Doors
    changes: Changes
    tries: Tries = field(default_factory=Tries)
    writing: asyncio.Lock = field(default_factory=asyncio.Lock)
    """One household, one writer."""
    comparing: asyncio.Lock = field(default_factory=asyncio.Lock)
    """A PIN takes 128 MiB to compare: one at a time."""


async def blocking(call: Callable[[], T]) -> T:
    """What blocks, in a thread of its own."""
    return await anyio.to_thread.run_sync(call)
