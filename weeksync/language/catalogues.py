"""The gettext catalogues of the package: `.po` files, compiled when they are read first."""

from __future__ import annotations

import gettext
import hashlib
import io
from functools import cache
from pathlib import Path

from weeksync import pycache

DOMAIN = "weeksync"

UNREAD = "not yet read by a native speaker"
"""What the first line of a catalogue says until somebody has read it; then it is taken out."""


def folder() -> Path:
    """Where the catalogues are: `<locale>/weeksync.po` and the template `weeksync.pot`."""
    return Path(__file__).with_name("catalogues")


def chain(locale: str) -> tuple[str, ...]:
    """The catalogues to ask, nearest first: `de_AT` asks de_AT, then de, then the source text."""
    parts = locale.split("_")
    return tuple("_".join(parts[:length]) for length in range(len(parts), 0, -1))


def compile_catalogue(content: bytes) -> bytes:
    """The text of a `.po` file as a `.mo` file; sentences marked fuzzy are not in it."""
    from babel.messages import mofile, pofile

    catalogue = pofile.read_po(io.BytesIO(content), abort_invalid=True)
    compiled = io.BytesIO()
    mofile.write_mo(compiled, catalogue)
    return compiled.getvalue()


def read(source: Path) -> gettext.GNUTranslations:
    """The translations of a `.po` file. Compiled they are kept: that takes as long as a night."""
    content = source.read_bytes()
    place, about = pycache.place(str(source)), hashlib.sha256(content).hexdigest()
    compiled = pycache.read(place, about)
    if not isinstance(compiled, bytes):
        compiled = compile_catalogue(content)
        pycache.write(place, about, compiled)
    return gettext.GNUTranslations(io.BytesIO(compiled))


def translations(locale: str) -> gettext.NullTranslations:
    """The translations for `locale` with their fallbacks; the last one is the source text."""
    found: gettext.NullTranslations | None = None
    for name in chain(locale):
        source = folder() / name / f"{DOMAIN}.po"
        if not source.is_file():
            continue
        compiled = read(source)
        if found is None:
            found = compiled
        else:
            found.add_fallback(compiled)
    return found or gettext.NullTranslations()


def nearest(locale: str) -> str:
    """The catalogue that is asked first for `locale`, as de for de_AT; "" where there is none."""
    held = available()
    return next((name for name in chain(locale) if name in held), "")


@cache
def unread(locale: str) -> bool:
    """Whether the head of the catalogue asked first for `locale` says that nobody who grew up
    with the language has read it yet. KeyError where there is no catalogue."""
    name = nearest(locale)
    if not name:
        raise KeyError(locale)
    head = (folder() / name / f"{DOMAIN}.po").read_text("utf-8").partition("\nmsgid")[0]
    return UNREAD in head


@cache
def available() -> tuple[str, ...]:
    """The locales that have a catalogue, sorted; English is the source and has none."""
    return tuple(sorted(one.name for one in folder().iterdir() if one.is_dir()))
