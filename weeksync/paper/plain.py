"""Markdown as plain lines of text: what is meant to be emphasised stays as words."""

from __future__ import annotations

import re

_LINK = re.compile(r"!?\[([^\]]*)\]\([^)]*\)")
_EMPHASIS = re.compile(r"(?<!\w)([*_]{1,3})(?=\S)(.+?)(?<=\S)\1(?!\w)")
_LEAD = re.compile(r"^\s*(?:[-*+]\s+|#{1,6}\s+|>\s?|\d+[.)]\s+)+")


def plain_lines(markdown: str) -> tuple[str, ...]:
    """The lines with something in them, without the signs of Markdown; lists keep a dash."""
    lines = []
    for line in markdown.splitlines():
        lead = _LEAD.match(line)
        dash = "– " if lead is not None and lead[0].lstrip()[:1] in "-*+" else ""
        text = _LEAD.sub("", line).strip().replace("`", "")
        text = _EMPHASIS.sub(r"\2", _EMPHASIS.sub(r"\2", _LINK.sub(r"\1", text)))
        if text:
            lines.append(dash + text)
    return tuple(lines)
