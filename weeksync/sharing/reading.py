"""Every text of an output, as somebody who looks for one finds it, and what has no place in it.

Texts that nobody sees are among them: attributes, comments, style sheets, metadata, names of files.
"""

from __future__ import annotations

import base64
import hashlib
import re
import struct
from collections.abc import Iterator, Mapping
from html.parser import HTMLParser
from typing import NamedTuple
from urllib.parse import unquote

_CHUNKS = frozenset({b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"IEND"})
"""All that a picture needs (PNG, third edition, section 5.6): pixels; no text, time, profile."""

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_HEAD = 8
"""Bytes of length and kind in front of a chunk; four of a checksum follow it."""

_IN_PDF = (b"/Metadata", b"/EmbeddedFile", b"/Author", b"/Creator", b"/Producer", b"/CreationDate")
_LAYERS = (b"/ModDate", b"/JavaScript", b"/OpenAction", b"/AcroForm", b"/Annots", b"/OCG")
"""Keys of a PDF (ISO 32000-2, sections 14.3, 7.11.4, 12.6, 12.7, 8.11) that ours has no use for."""


_HEARD = frozenset({"alt", "aria-label", "title"})
"""Attributes that are shown or read out."""


class Text(NamedTuple):
    """A text of an output and the spot where it stands."""

    file: str
    spot: str
    text: str
    seen: bool
    """Readers see or hear it."""


def texts(files: Mapping[str, bytes]) -> Iterator[Text]:
    """Every text of the outputs."""
    for name, content in files.items():
        yield of_name(name)
        if name.endswith(".html"):
            yield from of_html(name, content)
        elif name.endswith(".pdf"):
            yield from _of_pdf(name, content)
        elif name.endswith(".png"):
            for kind, data in _chunks(content):
                if kind not in _CHUNKS:
                    yield Text(name, f"chunk {_plain(kind)}", _plain(data), False)
        elif name.endswith(".ics"):
            for line in re.sub(r"\r\n[ \t]", "", content.decode("utf-8")).split("\r\n"):
                if line:
                    yield Text(name, line.partition(":")[0], line.partition(":")[2], False)


def of_name(name: str) -> Text:
    """The name of a file, as a text."""
    return Text(name, "name of the file", name, False)


def strays(files: Mapping[str, bytes]) -> Iterator[Text]:
    """What has no place in an output, whatever it says: metadata, scripts, foreign addresses."""
    for name, content in files.items():
        if name.endswith(".png"):
            yield from (
                Text(name, f"chunk {_plain(kind)}", _plain(data)[:80], False)
                for kind, data in _chunks(content)
                if kind not in _CHUNKS
            )
        elif name.endswith(".pdf"):
            found = (key for key in (*_IN_PDF, *_LAYERS) if key in content)
            yield from (Text(name, _plain(key), "", False) for key in found)
        elif name.endswith(".html"):
            for spot, pattern in _FOREIGN.items():
                met = pattern.search(content.decode("utf-8"))
                if met is not None:
                    yield Text(name, spot, met[0][:80], False)


_FOREIGN = {
    "script": re.compile(r"<script\b|\son\w+\s*=\s*[\"']|javascript:", re.I),
    "address": re.compile(
        r"https?://|<[^>]*\s(?:src|srcset|href|action|data|poster|background)\s*=|url\(|@import",
        re.I,
    ),
    "comment": re.compile(r"<!--.*?-->", re.S),
}


def of_html(name: str, content: bytes) -> Iterator[Text]:
    """The texts of a page: what is read, what is not, and every attribute."""
    reader = _Reader(name)
    reader.feed(content.decode("utf-8"))
    reader.close()
    digest = base64.b64encode(hashlib.sha256(reader.style.encode("utf-8")).digest())
    for one in reader.found:
        # The digest of the page's own style sheet is no text of anybody's.
        yield one._replace(text=one.text.replace(digest.decode("ascii"), ""))


class _Reader(HTMLParser):
    """Collects texts, attributes with their references and escapes undone, and comments."""

    def __init__(self, name: str) -> None:
        super().__init__(convert_charrefs=True)
        self.name, self.style = name, ""
        self.found: list[Text] = []
        self._inside: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._inside.append(tag)
        for key, value in attrs:
            self.found.append(Text(self.name, f"{tag} {key}", unquote(value or ""), key in _HEARD))

    def handle_endtag(self, tag: str) -> None:
        while self._inside and self._inside.pop() != tag:
            pass  # void elements have no end of their own

    def handle_data(self, data: str) -> None:
        tag = self._inside[-1] if self._inside else "page"
        if tag == "style":
            self.style += data
        if data.strip():
            self.found.append(Text(self.name, tag, data, tag != "style"))

    def handle_comment(self, data: str) -> None:
        self.found.append(Text(self.name, "comment", data, False))

    def handle_decl(self, decl: str) -> None:
        self.found.append(Text(self.name, "declaration", decl, False))

    def unknown_decl(self, data: str) -> None:
        self.found.append(Text(self.name, "declaration", data, False))

    def handle_pi(self, data: str) -> None:
        self.found.append(Text(self.name, "instruction", data, False))


def _of_pdf(name: str, content: bytes) -> Iterator[Text]:
    import pypdfium2

    opened = pypdfium2.PdfDocument(content)
    try:
        for key, value in opened.get_metadata_dict(skip_empty=True).items():
            yield Text(name, f"metadata {key}", value, key == "Title")
        for bookmark in opened.get_toc():
            yield Text(name, "bookmark", str(bookmark.get_title()), True)
        for number in range(len(opened)):
            text = opened[number].get_textpage().get_text_bounded()
            yield from (Text(name, f"page {number + 1}", line, True) for line in text.splitlines())
    finally:
        opened.close()


def _chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    """(kind, data) of each chunk of a PNG (third edition, section 5.3)."""
    at = len(_SIGNATURE)
    while at + _HEAD <= len(content):
        length, kind = struct.unpack(">I4s", content[at : at + _HEAD])
        yield kind, content[at + _HEAD : at + _HEAD + length]
        at += _HEAD + length + 4
    if at != len(content) or not content.startswith(_SIGNATURE):
        yield b"rest", content[max(0, at) :]


def _plain(data: bytes) -> str:
    return data.decode("latin-1")
