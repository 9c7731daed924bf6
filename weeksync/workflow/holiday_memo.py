"""The public holidays that were looked up, kept in the store for the next run.

The library that knows them imports every country of the world, half a second on a small computer,
to say the same as the night before. What it said is kept under its release, and looked up anew
where that is another one, or where what is kept cannot be read.
"""

from __future__ import annotations

import json
import os
from contextlib import suppress
from datetime import date
from importlib.util import find_spec
from typing import Any

from weeksync.errors import StoreError
from weeksync.plan.public_holidays import KNOWN
from weeksync.store import Store

KEY = "holidays"


def recall(store: Store) -> None:
    """Take over what was looked up before, where this process has not done so."""
    try:
        held: Any = json.loads(store.get(KEY) or "{}")
        release = _release()
        if not release or held.get("release") != release:
            return
        regions = {(str(country), str(part)): bool(has) for country, part, has in held["regions"]}
        years = {
            (str(country), str(part), str(language), int(year)): {
                date.fromisoformat(day): tuple(map(str, names)) for day, names in days
            }
            for country, part, language, year, days in held["years"]
        }
    except (ValueError, TypeError, KeyError, AttributeError):
        return
    for region, has in regions.items():
        KNOWN.regions.setdefault(region, has)
    for key, found in years.items():
        KNOWN.years.setdefault(key, found)


def keep(store: Store) -> None:
    """Keep what is known now, where it is more than before; a store that only reads stays."""
    if not store.writable:
        return
    text = json.dumps(
        {
            "release": _release(),
            "regions": [[*region, has] for region, has in sorted(KNOWN.regions.items())],
            "years": [
                [*key, [[day.isoformat(), names] for day, names in sorted(found.items())]]
                for key, found in sorted(KNOWN.years.items())
            ],
        },
        ensure_ascii=False,
    )
    with suppress(StoreError):
        if store.get(KEY) != text:
            store.set(KEY, text)


def _release() -> str:
    """The name of the folder that an installation leaves beside the library (PyPA, "Recording
    installed projects"): to read the version in it takes longer than all the rest here."""
    found = find_spec("holidays")
    if found is None or found.origin is None:
        return ""
    folder = os.path.dirname(os.path.dirname(found.origin))
    return " ".join(sorted(one for one in os.listdir(folder) if one.startswith("holidays-")))
