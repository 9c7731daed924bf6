"""The pages: templates over documented records, made from spreads and month plans.

`pages.pages` makes the common site, `own_pages` a tree of one's own with what must not hang in the
kitchen; `publish` flips a finished tree in. `weeksync.site.record` is the contract for templates.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from weeksync.lazy import lazily

if TYPE_CHECKING:
    from weeksync.site.check_in import check_in_page
    from weeksync.site.frozen import absent_pages, frozen_own_page, frozen_page, neighbours
    from weeksync.site.generations import publish
    from weeksync.site.inputs import SiteInput
    from weeksync.site.pages import own_page, own_pages, week_pages
    from weeksync.site.tree_files import Published

__all__ = [
    "Published",
    "SiteInput",
    "absent_pages",
    "check_in_page",
    "frozen_own_page",
    "frozen_page",
    "neighbours",
    "own_page",
    "own_pages",
    "publish",
    "week_pages",
]

__getattr__ = lazily(
    __name__,
    {
        "weeksync.site.check_in": ("check_in_page",),
        "weeksync.site.frozen": ("absent_pages", "frozen_own_page", "frozen_page", "neighbours"),
        "weeksync.site.generations": ("publish",),
        "weeksync.site.inputs": ("SiteInput",),
        "weeksync.site.pages": ("own_page", "own_pages", "week_pages"),
        "weeksync.site.tree_files": ("Published",),
    },
)
