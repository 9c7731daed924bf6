"""The pages: templates over documented records, made from spreads and month plans.

`pages` makes the common site, `own_pages` a tree of one's own with what must not hang in the
kitchen; `publish` flips a finished tree in. `weeksync.site.record` is the contract for templates.
"""

from weeksync.site.check_in import check_in_page
from weeksync.site.frozen import absent_pages, frozen_own_page, frozen_page, neighbours
from weeksync.site.generations import publish
from weeksync.site.inputs import SiteInput
from weeksync.site.overlay import overlay
from weeksync.site.pages import own_page, own_pages, pages, week_pages
from weeksync.site.tree_files import Published

__all__ = [
    "Published",
    "SiteInput",
    "absent_pages",
    "check_in_page",
    "frozen_own_page",
    "frozen_page",
    "neighbours",
    "overlay",
    "own_page",
    "own_pages",
    "pages",
    "publish",
    "week_pages",
]
