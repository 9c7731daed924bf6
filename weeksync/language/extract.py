"""Keep the catalogues up with the sources: `python -m weeksync.language.extract`.

Reads every sentence of `weeksync/` and `site_templates/` in a checkout, writes `weeksync.pot`,
brings each `weeksync.po` up to it (new sentences untranslated, those no longer used taken out)
and lists what needs translating. `--check` writes nothing; its exit status is 1 where a
catalogue lacks a sentence or a translation.
"""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path

from babel.messages import Catalog, pofile
from babel.messages.catalog import Message
from babel.messages.extract import extract

from weeksync.language.catalogues import DOMAIN
from weeksync.lazy import dataclass

ROOT = Path(__file__).resolve().parents[2]
"""The checkout: sources are read from there, catalogues written beside this module."""

CATALOGUES = Path(__file__).parent / "catalogues"

KEYWORDS: Mapping[str, tuple[int, ...] | None] = {
    "message": None,
    "counted": (1, 2),
    "gettext": None,
    "_": None,
    "ngettext": (1, 2),
}
"""What a sentence is an argument of, and which arguments are its forms."""

_DATE = datetime(2027, 1, 1, tzinfo=UTC)
"""A fixed date in the head of the files, so that a run that finds nothing new changes nothing."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """A sentence of the sources: `ids` is the text, or (singular, plural); `files` use it."""

    ids: str | tuple[str, str]
    files: tuple[str, ...]


def sentences(root: Path = ROOT) -> tuple[Sentence, ...]:
    """Every sentence of the sources below `root`, in the order of files and places."""
    found: dict[str | tuple[str, str], list[str]] = {}
    for path, method in _sources(root):
        name = path.relative_to(root).as_posix()
        with path.open("rb") as source:
            for _, ids, _, _ in extract(method, source, KEYWORDS, ("Translators:",)):
                key = _ids(ids)
                if key and name not in found.setdefault(key, []):
                    found[key].append(name)
    return tuple(Sentence(ids, tuple(names)) for ids, names in found.items())


def _sources(root: Path) -> Iterator[tuple[Path, str]]:
    for path in sorted((root / "weeksync").rglob("*.py")):
        yield path, "python"
    for path in sorted((root / "site_templates").rglob("*.html")):
        yield path, "jinja2.ext:babel_extract"


def _ids(ids: object) -> str | tuple[str, str]:
    """What Babel found, as one id or a pair; "" for a call whose argument is no literal."""
    if isinstance(ids, str):
        return ids
    if isinstance(ids, (tuple, list)):
        texts = tuple(one for one in ids if isinstance(one, str))
        return (texts[0], texts[1]) if len(texts) > 1 else texts[0] if texts else ""
    return ""


def template(root: Path = ROOT) -> Catalog:
    """The catalogue template of the sources."""
    made = Catalog(
        project="weeksync",
        version="",
        copyright_holder="The weeksync developers",
        msgid_bugs_address="",
        creation_date=_DATE,
        revision_date=_DATE,
        fuzzy=False,
        header_comment="# Sentences of weeksync; made by python -m weeksync.language.extract",
    )
    for sentence in sentences(root):
        made.add(sentence.ids, locations=[(name, 0) for name in sentence.files])
        made[sentence.ids].flags.discard("python-format")
    return made


def as_bytes(catalogue: Catalog) -> bytes:
    """The catalogue as the text of a `.po` file, without line numbers, which only make noise."""
    out = io.BytesIO()
    pofile.write_po(out, catalogue, width=98, include_lineno=False, ignore_obsolete=True)
    lines = out.getvalue().splitlines(keepends=True)
    return b"".join(line for line in lines if not line.startswith(b'"Generated-By:'))


def read(path: Path) -> Catalog:
    """The catalogue of that file."""
    with path.open("rb") as source:
        return pofile.read_po(source, locale=path.parent.name, abort_invalid=True)


def brought_up(existing: Catalog, current: Catalog) -> Catalog:
    """`existing` with the sentences of `current`: translations kept, nothing guessed."""
    existing.update(current, no_fuzzy_matching=True)
    for entry in existing:
        entry.flags.discard("python-format")
    return existing


def untranslated(catalogue: Catalog) -> tuple[Message, ...]:
    """Sentences without a translation, with an empty form of one, or marked fuzzy."""
    return tuple(
        entry
        for entry in catalogue
        if entry.id
        and (
            entry.fuzzy
            or not entry.string
            or (isinstance(entry.string, tuple) and not all(entry.string))
        )
    )


def main(arguments: list[str] | None = None, root: Path = ROOT, folder: Path = CATALOGUES) -> int:
    """The command over the sources below `root` and the catalogues in `folder`; its exit status."""
    parser = argparse.ArgumentParser(prog="python -m weeksync.language.extract")
    parser.add_argument("--check", action="store_true", help="write nothing, only report")
    check = parser.parse_args(arguments).check
    current = template(root)
    lacking = _write(folder / f"{DOMAIN}.pot", as_bytes(current), check)
    for path in sorted(folder.glob(f"*/{DOMAIN}.po")):
        catalogue = brought_up(read(path), current)
        lacking |= _write(path, as_bytes(catalogue), check)
        for entry in untranslated(catalogue):
            lacking = True
            sys.stdout.write(f"{path.parent.name}: {entry.id!r}\n")
    return 1 if lacking else 0


def _write(path: Path, content: bytes, check: bool) -> bool:
    """Write where it differs; with `check` only say so. Whether the check found a difference."""
    if path.is_file() and path.read_bytes() == content:
        return False
    sys.stdout.write(f"{path.name}: not up to date\n" if check else f"{path.name}: written\n")
    if not check:
        path.write_bytes(content)
    return check


if __name__ == "__main__":
    raise SystemExit(main())
