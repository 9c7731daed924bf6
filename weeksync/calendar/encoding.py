"""Bytes of a calendar text → characters, whatever their encoding (RFC 5545 section 3.1.4).

The RFC has UTF-8 and nothing else. Files that are not: UTF-16, with or without its mark; bytes of
Windows-1252, of which ISO 8859-1 is a part, as the web's Encoding Standard reads "latin1"; and
both in one file, where an exporter pastes texts together. So it is decided byte by byte: what
is UTF-8 is read as such, any other byte as Windows-1252. Nothing here raises on bad input.
"""

from __future__ import annotations

import codecs

_MARKS = (b"\xff\xfe", b"\xfe\xff")
_ODD = 2_000_000
"""With more bytes beyond ASCII in a text that is no UTF-8, all of it is Windows-1252: looking at
each of them would take seconds."""

_ASCII = bytes(range(128))
_C1 = {
    number: chr(number) if (one := bytes([number]).decode("cp1252", "ignore")) == "" else one
    for number in range(0x80, 0xA0)
}
"""Windows-1252 where it differs from ISO 8859-1; its five unused bytes stay what they are there."""


def as_utf8(content: bytes) -> bytes:
    """The text in bytes of which ASCII is a part: UTF-16 becomes UTF-8, a mark is dropped."""
    if name := _utf_16(content[:4]):
        content = content.decode(name, "replace").encode("utf-8", "replace")
    # Files that were put together have marks inside, too, before what looks like no BEGIN then.
    return content.replace(codecs.BOM_UTF8, b"") if codecs.BOM_UTF8 in content else content


def _utf_16(head: bytes) -> str:
    if head[:2] in _MARKS:
        return "utf-16"
    if len(head) == 4 and head[1] == head[3] == 0 and head[0] and head[2]:
        return "utf-16-le"
    if len(head) == 4 and head[0] == head[2] == 0 and head[1] and head[3]:
        return "utf-16-be"
    return ""


def decoded(content: bytes) -> str:
    """The characters of bytes that `as_utf8` gave, or of a part of them at line ends."""
    try:
        return content.decode()
    except UnicodeDecodeError:
        if len(content.translate(None, _ASCII)) > _ODD:
            return content.decode("latin-1").translate(_C1)
        return content.decode("utf-8", _BY_BYTE)


def _one_by_one(error: UnicodeError) -> tuple[str, int]:
    """The bytes at which UTF-8 stopped, as Windows-1252."""
    if not isinstance(error, UnicodeDecodeError):  # pragma: no cover - only asked when decoding
        raise error
    odd = error.object[error.start : error.end]
    return odd.decode("latin-1").translate(_C1), error.end


_BY_BYTE = "weeksync.windows-1252"
codecs.register_error(_BY_BYTE, _one_by_one)
