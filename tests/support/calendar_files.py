"""Calendar files taken apart as a CalDAV server wants them: one object for each UID."""

from __future__ import annotations

import re


def objects_of(content: bytes) -> dict[str, bytes]:
    """UID → a calendar object with all its components (RFC 4791, section 4.1).

    For files without VTIMEZONE; the components keep their text as it is.
    """
    text = content.decode().replace("\r\n", "\n")
    found: dict[str, list[str]] = {}
    for part in re.findall(r"BEGIN:VEVENT\n.*?END:VEVENT\n", text, re.S):
        uid = re.search(r"^UID:(.*)$", part, re.M)
        assert uid is not None
        found.setdefault(uid[1], []).append(part)
    return {
        uid: (
            "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//test//EN\n"
            + "".join(parts)
            + "END:VCALENDAR\n"
        )
        .replace("\n", "\r\n")
        .encode()
        for uid, parts in found.items()
    }
