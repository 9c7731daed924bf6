"""Texts of pages without what only their authors need: indentation, blank lines, comments."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from functools import lru_cache

_FORKED: list[bool] = []
os.register_at_fork(after_in_child=lambda: _FORKED.append(True))

_KINDS = {"css": "text/css", "js": "application/javascript"}

_KEPT = re.compile(
    r"(<(?P<tag>pre|textarea|script)\b.*?</(?P=tag)>|<p class=\"plain\">.*?</p>|<!--.*?-->)", re.S
)
"""Where every space counts: as written, by `white-space`, or because it is no HTML."""

_TAG = 2
"""The place of the tag's name among the three that a split gives each time."""

_VALUE = "\0"
"""Stands for a value among the texts of a template; HTML has no such character."""

_BREAK = re.compile(r"\n\s+")

_NAMES = (
    *("html", "head", "body", "meta", "link", "title", "script", "main", "header", "footer", "nav"),
    *("aside", "section", "article", "div", "p", "h1", "h2", "h3", "h4", "h5", "h6", "ul", "ol"),
    *("li", "dl", "dt", "dd", "table", "caption", "colgroup", "col", "thead", "tbody", "tr", "th"),
    *("td", "details", "form", "fieldset"),
)
_BLOCKS = frozenset(start + name for name in _NAMES for start in ("<", "</"))
"""How a block's tag begins. A line break at the start or the end of a block shows as nothing
(CSS Text 3, section 4.1.2)."""
_LONGEST = max(map(len, _BLOCKS))
_BEFORE_BLOCK = re.compile(rf">\n(?=</?(?:{'|'.join(_NAMES)})[ >])", re.I)


def thin(name: str, text: str) -> str:
    """The text of the file of that name as it is delivered: HTML, CSS or script; others as is."""
    if name.endswith(".html"):
        return thin_html(text)
    kind = _KINDS.get(name.rpartition(".")[2])
    return _minified(kind, text) + "\n" if kind else text


@lru_cache(maxsize=64)
def _minified(kind: str, text: str) -> str:
    """Names within functions become short, those that other scripts use stay.

    The library's threads do not live on in a forked process, which would wait for them for ever:
    there it delivers what it has made before, and the rest as written.
    """
    if _FORKED:
        return text
    import minify  # type: ignore[import-untyped] # with its threads only where a file is made anew

    try:
        return str(minify.string(kind, text))
    except minify.MinifyError:  # a template of the user's own; the browser says what is wrong
        return text


def thin_html(text: str) -> str:
    """HTML without indentation and blank lines, the words and the spaces between them untouched.

    A run of white space with a line break in it becomes one line break, which shows as the same
    single space; beside a block's tag it goes. What stands in `pre`, `textarea` and
    `p.plain` stays as it is.
    """
    parts = _KEPT.split(text)
    # Split gives the text between, the kept stretch, and the name of its tag, again and again.
    return "".join(
        part if place % 3 else _thinned(part)
        for place, part in enumerate(parts)
        if part is not None and place % 3 < _TAG
    )


def thin_parts(parts: Sequence[str]) -> list[str]:
    """The texts of a template, between which values and statements stand, thinned as far as can be
    told from what stands beside a break: `thin_html` has the rest to do on each page."""
    if not parts:
        return []
    halves = _KEPT.split(_VALUE.join(parts))
    return "".join(
        half if place % 3 else _VALUE.join(map(_thinned, half.split(_VALUE)))
        for place, half in enumerate(halves)
        if half is not None and place % 3 < _TAG
    ).split(_VALUE)


def _thinned(text: str) -> str:
    """By what is quick for a text that has many breaks of which few go: this is done for all of
    every page."""
    if "\r" in text:
        text = text.replace("\r", "\n")
    text = _BREAK.sub("\n", text)
    if " \n" in text or "\t\n" in text:
        *ended, open_end = text.split("\n")
        text = "\n".join((*(line.rstrip(" \t") for line in ended), open_end))
    *before, last = _BEFORE_BLOCK.sub(">", text).split(">\n")
    made = []
    for one in before:
        made.append(one)
        made.append(">" if _ends_with_block(one) else ">\n")
    made.append(last)
    return "".join(made)


def _ends_with_block(text: str) -> bool:
    """Whether the text, without the `>` it was cut at, ends with the tag of a block."""
    start = text.rfind("<")
    name = text[start : start + _LONGEST + 1].partition(" ")[0]
    return (name in _BLOCKS or name.lower() in _BLOCKS) and ">" not in text[start:]
