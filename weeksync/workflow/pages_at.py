"""Where the pages are, for opening them."""

from __future__ import annotations

from pathlib import Path

from weeksync.errors import BuildError
from weeksync.message import message
from weeksync.workflow.context import Context
from weeksync.workflow.spans import week_named


def page_of(context: Context, week: str | None) -> Path:
    """The start page, or the page of the week that `week` names; BuildError where there is none."""
    name = "index.html" if week is None else f"{week_named(week, context)}.html"
    page = context.output / "site" / name
    if not page.is_file():
        raise BuildError(
            message(
                "there is no page {place}; run weeksync build, or widen weeks_back and "
                "weeks_ahead under [site]",
                place=str(page),
            )
        )
    return page.absolute()
