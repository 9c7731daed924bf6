"""The pages on the way in, and what they need: made on demand, apart from every site."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from weeksync.language import Language
from weeksync.site.record import VERSION, PinPage, SignInPage
from weeksync.site.render import Renderer

PAGES: dict[str, type[SignInPage] | type[PinPage]] = {
    "sign_in.html": SignInPage,
    "pin.html": PinPage,
}


def access_page(
    language: Language, template: str, values: Mapping[str, Any], own: Path | None = None
) -> bytes:
    """`sign_in.html` or `pin.html` over its record, or `sign_in.js`, `access.css` as they are.

    `values` are the fields of the record that are not the language's: `said`, and for the PIN
    `people`, `person`, `next`. `own` is the user's folder of templates or None. TemplateError
    where a template is missing or broken.
    """
    renderer = Renderer(language, own)
    record = PAGES.get(template)
    if record is None:
        return renderer.script(template)
    page = record(
        record=VERSION, language=language.tag, direction=language.direction, **dict(values)
    )
    return renderer.render(template, page)
