"""What a browser needs to install the pages and to keep a copy of them, and how old they are."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import UTC, datetime

from markupsafe import escape

from weeksync.message import Message, message
from weeksync.site.frame import household_key
from weeksync.site.inputs import SiteInput, Take
from weeksync.site.render import Renderer

STATUS = "status.js"
"""The file that differs after every run."""

KEPT = "kept.js"
"""The script of pages that the browser shows from its copies."""

COPY_OF = message("Copy of {time}: the home computer does not answer.", time="{time}")
AWAY = message("The home computer does not answer, and this page is not kept here.")
BACK = message("All weeks")

_PAPER = "#fbf8f1"
"""The ground of the pages in `style.css`, and of the icon."""


MANIFEST, WORKER = "manifest.webmanifest", "service-worker.js"


def offline_files(
    inputs: SiteInput,
    renderer: Renderer,
    made: Iterable[str],
    take: Take,
) -> dict[str, bytes]:
    """The manifest and the service worker for the site of the pages `made`, by their names."""
    head = _worker(inputs, {*made, KEPT, MANIFEST})
    return {
        KEPT: take(KEPT, lambda: renderer.script(KEPT)),
        MANIFEST: take(MANIFEST, lambda: _manifest(inputs)),
        WORKER: take(WORKER, lambda: head + renderer.script(WORKER), head),
    }


def status(inputs: SiteInput) -> bytes:
    """When each source was last pulled and when the pages were made; it moves with every run.

    A script and no JSON: a page opened from a folder may not read a file beside it.
    """
    good = {
        state.source: _instant(state.last_good)
        for state in inputs.states
        if state.last_good is not None
    }
    text = json.dumps(good, indent=1, sort_keys=True, ensure_ascii=True)
    lines = ['"use strict";', f"const lastGood = {text};"]
    if inputs.now is not None:
        lines.append(f'const built = "{_instant(inputs.now)}";')
    return ("\n".join(lines) + "\n").encode("ascii")


def _instant(moment: datetime) -> str:
    return moment.astimezone(UTC).isoformat(timespec="seconds")


def _manifest(inputs: SiteInput) -> bytes:
    """The W3C Web Application Manifest. It starts at the week of today, which the worker finds."""
    name = inputs.config.household.name
    manifest = {
        "id": "./",
        "name": name,
        "short_name": name,
        "lang": inputs.language.tag,
        "dir": inputs.language.direction,
        "start_url": "./index.html?current",
        "scope": "./",
        "display": "standalone",
        "background_color": _PAPER,
        "theme_color": _PAPER,
        "icons": [{"src": "icon.svg", "sizes": "any", "type": "image/svg+xml"}],
    }
    return (json.dumps(manifest, ensure_ascii=False, indent=1) + "\n").encode("utf-8")


def _worker(inputs: SiteInput, made: set[str]) -> bytes:
    """The first lines of the worker: what this site consists of, and the words it says."""

    def html(sentence: Message) -> str:
        return str(escape(inputs.language.text(sentence)))

    site_pages = {name for name in made if name.endswith(".html")}
    files = made - site_pages
    site = {
        "key": household_key(inputs.config),
        "zone": inputs.config.household.time_zone,
        "lang": inputs.language.tag,
        "locale": inputs.language.script_tag,
        "dir": inputs.language.direction,
        "always": sorted(files | {"index.html"}),
        "weeks": [
            [str(spread.week), spread.days[0].date.isoformat()]
            for spread in inputs.weeks
            if spread.week is not None
        ],
        "pages": sorted(site_pages),
        "copyOf": html(COPY_OF),
        "away": html(AWAY),
        "back": html(BACK),
    }
    text = json.dumps(site, ensure_ascii=False, separators=(",", ":"))
    return f'"use strict";\nconst site = {text};\n'.encode()
