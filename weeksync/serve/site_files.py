"""Files of the built site: read from one generation, never from outside it."""

from __future__ import annotations

import errno
import hashlib
import os
import re
import stat
from html import unescape
from pathlib import Path

MOST_BYTES = 32 * 1024 * 1024

TYPES = {
    "html": "text/html; charset=utf-8",
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "json": "application/json",
    "webmanifest": "application/manifest+json",
    "svg": "image/svg+xml",
    "png": "image/png",
    "jpg": "image/jpeg",
    "ico": "image/vnd.microsoft.icon",
    "woff2": "font/woff2",
    "pdf": "application/pdf",
    "ics": "text/calendar; charset=utf-8",
    "txt": "text/plain; charset=utf-8",
}
"""Media types as IANA registers them; whatever else is bytes."""

_NOT_THERE = {errno.ENOENT, errno.ENOTDIR, errno.ELOOP, errno.ENAMETOOLONG, errno.EISDIR}
_POLICY = re.compile(
    rb"""<meta\s+http-equiv=["']?content-security-policy["']?\s+content="([^"]*)\"""", re.I
)


class NoSite(Exception):
    """There is no built site yet."""


def read(site: Path, path: str) -> bytes | None:
    """The file at `path` (as `2027-W12.html`, decoded once) below the folder; None for none.

    The folder is opened once: `site` may be a link that is flipped meanwhile. From there each
    part is opened by its name alone and no link is followed, so there is no way out. A part that
    begins with a dot is not there. NoSite where the folder is missing.
    """
    parts = path.split("/")
    if not all(_is_name(part) for part in parts):
        return None
    try:
        folder = os.open(site, os.O_RDONLY | os.O_DIRECTORY)
    except FileNotFoundError as error:
        raise NoSite from error
    try:
        for part in parts[:-1]:
            inner = os.open(part, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW, dir_fd=folder)
            os.close(folder)
            folder = inner
        # O_NONBLOCK: opening a pipe would wait for ever.
        number = os.open(parts[-1], os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK, dir_fd=folder)
    except OSError as error:
        if error.errno in _NOT_THERE:
            return None
        raise
    finally:
        os.close(folder)
    about = os.fstat(number)
    if not stat.S_ISREG(about.st_mode) or about.st_size > MOST_BYTES:
        os.close(number)
        return None
    with os.fdopen(number, "rb") as file:
        return file.read(MOST_BYTES)


def _is_name(part: str) -> bool:
    if not part or part.startswith(".") or len(part) > 255:
        return False
    return part.isprintable() and "\\" not in part and "\ufffd" not in part


def media_type(path: str) -> str:
    """The media type by the file's ending."""
    return TYPES.get(path.rpartition(".")[2].lower(), "application/octet-stream")


def etag(content: bytes) -> str:
    """A strong validator (RFC 9110 section 8.8.3): the same for the same bytes."""
    return f'"{hashlib.sha256(content).hexdigest()[:32]}"'


def is_known(if_none_match: str, tag: str) -> bool:
    """Whether If-None-Match (RFC 9110 section 13.1.2) names that validator."""
    tags = [one.strip().removeprefix("W/") for one in if_none_match.split(",")]
    return "*" in tags or tag in tags


def policy(path: str, content: bytes) -> str:
    """The Content-Security-Policy a file is sent with: for a page, the one in its own head.

    A worker takes its policy from its own answer (CSP Level 3 section 4.2), so scripts may
    reach their own server.
    """
    if path.endswith(".html"):
        found = _POLICY.search(content[:4096])
        inside = unescape(found[1].decode("utf-8", "replace")) if found else "default-src 'none'"
        return f"{' '.join(inside.split())}; frame-ancestors 'none'"
    if path.endswith(".js"):
        return "default-src 'none'; script-src 'self'; connect-src 'self'; frame-ancestors 'none'"
    return "default-src 'none'; frame-ancestors 'none'"
