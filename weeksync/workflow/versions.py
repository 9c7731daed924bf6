"""Which version of a file a form was made from: its digest goes out with the form and comes back.

A field `seen.tasks.toml` holds the SHA-256 of the file's bytes (hexadecimal), "" where there was
none. What has been written meanwhile, by hand or by somebody else, is told by it.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from weeksync.workflow.context import Context

PREFIX = "seen."

_NAME = re.compile(
    r"(config|appointments|routines|tasks(-\d{4})?|habits|money|terms)\.toml"
    r"|weeks/\d{4}-W\d\d\.toml|marks/\d{4}-W\d\d\.csv|reviews/[\w-]{1,40}\.md",
    re.ASCII,
)


def digests(context: Context, names: Iterable[str]) -> dict[str, str]:
    """`seen.<file>` → digest of each file as `context` has read it: the hidden fields of a form.

    Only files that are part of the household's record have one; of others it is "".
    """
    return {f"{PREFIX}{name}": context.files.digests.get(name, "") for name in names}


def stale(
    context: Context, fields: Mapping[str, tuple[str, ...]], names: Iterable[str] = ()
) -> tuple[str, ...]:
    """The names of the files that are no longer what the form was made from.

    `names` are files the form must speak of: one that it leaves out counts as changed.
    """
    asked = {
        name: values[-1] if values else ""
        for key, values in fields.items()
        if key.startswith(PREFIX) and _NAME.fullmatch(name := key.removeprefix(PREFIX))
    }
    now = context.files.digests
    return tuple(
        name
        for name in dict.fromkeys((*names, *asked))
        if name not in asked or asked[name] != now.get(name, "")
    )
