"""Forms that `weeksync serve` shows and takes, by the first part of their address.

A handler is a module with two functions; `rest` is what stands behind the first part, as
"2027-W12", and the household is read anew for each request, with everything that is only for
somebody: what `sender` may not see is narrowed by the handler (`visible.as_seen_by`).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from weeksync.serve.desk import FormAnswer, Sender
from weeksync.workflow import edit_forms, evening, find_served, review_answers, start_forms
from weeksync.workflow.context import Context

Fields = Mapping[str, tuple[str, ...]]
"""Name → values as sent, in their order; line breaks as LF."""


class Handler(Protocol):
    """What a module of forms offers."""

    def show(
        self, context: Context, rest: str, query: Mapping[str, str], sender: Sender
    ) -> FormAnswer | None:
        """The page; None where there is none. UsageError for an address that cannot be."""

    def take(
        self, context: Context, rest: str, fields: Fields, sender: Sender
    ) -> FormAnswer | None:
        """Do it. UsageError where nothing sensible was sent; other errors where a file could
        not be written, and then nothing is lost."""


HANDLERS: Mapping[str, Handler] = {
    "answers": review_answers,
    "edit": edit_forms,
    "plan": evening,
    "search": find_served,
    "start": start_forms,
}
"""First part of the address → what answers for it."""


def show(
    context: Context, path: str, query: Mapping[str, str], sender: Sender
) -> FormAnswer | None:
    """The page at `/<path>`, None where there is none."""
    part, _, rest = path.partition("/")
    handler = HANDLERS.get(part)
    return handler.show(context, rest, query, sender) if handler is not None else None


def take(context: Context, path: str, fields: Fields, sender: Sender) -> FormAnswer | None:
    """What was sent to `/<path>`, done; None where nothing answers for it."""
    part, _, rest = path.partition("/")
    handler = HANDLERS.get(part)
    return handler.take(context, rest, fields, sender) if handler is not None else None
