"""The shared page as one self-contained HTML file, in each of its forms."""

from __future__ import annotations

import base64
import hashlib
from dataclasses import replace
from typing import Any, Protocol

from markupsafe import Markup

from weeksync.sharing.record import SharedPage

TEMPLATE, STYLE = "shared.html", "shared.css"


class Templates(Protocol):
    """What makes bytes of a template and a record; TemplateError where one is broken."""

    def render(self, template: str, page: Any) -> bytes:
        """The template over the record, as UTF-8."""


def html(page: SharedPage, templates: Templates) -> bytes:
    """The page with its style sheet in it, as UTF-8.

    Its policy lets that one style sheet in by its digest and nothing else: no script, no picture,
    no font, no request (Content Security Policy Level 3, section 2.3.1, hash-source).
    """
    style, digest = with_style(STYLE, page, templates)
    return templates.render(TEMPLATE, replace(page, style=style, style_hash=digest))


def with_style(template: str, page: Any, templates: Templates) -> tuple[Markup, str]:
    """(style sheet of a page to be put into it, its digest as a policy writes it)."""
    # Line breaks would be changed with the page's own when it is thinned, and the digest with them.
    style = " ".join(templates.render(template, page).decode("utf-8").split()).replace("</", "")
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode("ascii")
    return Markup(style), f"sha256-{digest}"  # noqa: S704
