"""A renderer that lasts: compiled templates kept between the builds of one process.

To compile them takes longer than to fill in two pages. A template that is edited meanwhile is
compiled anew: its file is looked at each time.
"""

from __future__ import annotations

from pathlib import Path

from weeksync.language import Language
from weeksync.site.render import Renderer

_kept: dict[tuple[str, Path | None], Renderer] = {}


def lasting_renderer(language: Language, own: Path | None) -> Renderer:
    """The renderer for a language and a folder of the user's templates, made once.

    TemplateError where there is no such folder, also where it has gone since.
    """
    key = language.tag, own
    if key not in _kept or (own is not None and not own.is_dir()):
        _kept[key] = Renderer(language, own)
    return _kept[key]
