"""The sources on servers, as `config.toml` names them, and what the store has of each.

The note of a night holds their ids and nothing else: addresses may be secrets and passwords are,
so both are read again where they are kept. The file is known to be the one of the last night.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any

from weeksync.lean.doubt import Doubt
from weeksync.lean.look import SECONDS, Kept, Online, tokens_if_unchanged
from weeksync.lean.secret import password

if TYPE_CHECKING:
    import sqlite3

CONFIG = "config.toml"

Tokens = dict[tuple[str, str], str]
"""(source, collection) → its token."""
Asked = dict[str, tuple[int, float]]
"""Source → how many requests it was sent, and how many seconds it took."""


def config_of(household: str) -> dict[str, Any]:
    """`config.toml` as it is written."""
    import tomllib

    with open(os.path.join(household, CONFIG), "rb") as file:
        return tomllib.load(file)


def unchanged(
    sources: Iterable[str], household: str, store: sqlite3.Connection
) -> tuple[Tokens, Asked]:
    """The new tokens of these sources, where no server has anything new; else Doubt."""
    config = config_of(household)
    calendars = {one.get("id"): one for one in config["calendars"]}
    withheld = {name for one in config["calendars"] if (name := one.get("password_env"))}
    seconds = float(config.get("pull", {}).get("timeout_seconds", SECONDS))
    found: Tokens = {}
    asked: Asked = {}
    for source in sources:
        requests: list[int] = []
        secret = partial(password, calendars[source], household, withheld)
        online = _online(calendars[source], secret, partial(requests.append, 1))
        begun = time.monotonic()
        new = tokens_if_unchanged(online, dict(_kept(store, source)), seconds)
        if new is None:
            raise Doubt
        found |= {(source, name): token for name, token in new.items()}
        asked[source] = len(requests), time.monotonic() - begun
    return found, asked


def _online(
    calendar: Mapping[str, Any], secret: Callable[[], str | None], asked: Callable[[], object]
) -> Online:
    return Online(
        url=calendar.get("url", ""),
        caldav=calendar.get("caldav", ""),
        choose=tuple(calendar.get("choose", ())),
        user=calendar.get("user", ""),
        password=secret,
        asked=asked,
    )


def _kept(store: sqlite3.Connection, source: str) -> Iterator[tuple[str, Kept]]:
    collections = store.execute(
        "SELECT c.id, c.name, c.token FROM collection c JOIN source s ON s.id = c.source"
        " WHERE s.name = ? ORDER BY c.name",
        (source,),
    ).fetchall()
    for number, name, token in collections:
        tags = store.execute(
            "SELECT name, tag FROM object WHERE collection = ? AND kept = 0", (number,)
        )
        yield name, Kept(token, dict(tags))
