"""Objects that we have written ourselves, noted in the token of their collection.

The next sync-collection names them as changed under the tag that we know. From anything else that
would show that the server did not understand the token.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

KEY = "ours"


def with_own_changes(token: str, names: Iterable[str]) -> str:
    """The token of a CalDAV collection, with the names of objects that were written."""
    try:
        kept: Any = json.loads(token)
    except ValueError:
        return token
    if not isinstance(kept, dict):
        return token
    return json.dumps({**kept, KEY: sorted({*own_changes(kept), *names})})


def own_changes(kept: dict[str, Any]) -> frozenset[str]:
    """The names in a token that was read."""
    found = kept.get(KEY, [])
    return frozenset(map(str, found)) if isinstance(found, list) else frozenset()
