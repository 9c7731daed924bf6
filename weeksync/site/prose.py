"""What people and calendars write, made safe: Markdown to cleaned HTML, links of known schemes."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from markupsafe import Markup

if TYPE_CHECKING:
    from markdown import Markdown

SCHEMES = frozenset({"http", "https", "mailto", "tel", "geo"})
"""Where a link may lead; everything else is no link."""

TAGS = frozenset(
    {"p", "br", "em", "strong", "del", "ul", "ol", "li", "blockquote", "code", "a"}
)  # fmt: skip
BLOCKS = frozenset({"p", "ul", "ol"})
"""Each runs as its own first letter does: notes need not be in the language of the page."""
LONGEST = 20_000
"""Characters of Markdown that are read; what is longer is cut with an ellipsis."""
LONGEST_LINK = 2_000


def safe_link(address: str) -> str:
    """The address where it may be followed, else "".

    Only the schemes of `SCHEMES`, nothing with a user name or password in it, nothing with
    white space or control characters, at most `LONGEST_LINK` characters.
    """
    text = address.strip()
    if (
        not text
        or len(text) > LONGEST_LINK
        or any(ord(one) <= 32 or ord(one) == 127 for one in text)
    ):
        return ""
    try:
        parts = urlsplit(text)
        if parts.scheme.lower() not in SCHEMES:
            return ""
        if parts.scheme.lower() in {"http", "https"} and (
            not parts.hostname or "@" in parts.netloc
        ):
            return ""
    except ValueError:
        return ""
    return text


def _attribute(tag: str, name: str, value: str) -> str | None:
    """Keep what the cleaner sets, and the `href` of a link that may be followed.

    A relative one is dropped: it would lead to wherever the page happens to lie.
    """
    if (tag, name) == ("a", "href"):
        return safe_link(value) or None
    return value if name in {"rel", "dir"} else None


def _parser() -> Markdown:
    """A parser without headings: a note must not break into the page's outline."""
    from markdown import Markdown  # like nh3 only needed where somebody has written something

    parser = Markdown(extensions=["sane_lists", "nl2br"], output_format="html")
    parser.parser.blockprocessors.deregister("hashheader")
    parser.parser.blockprocessors.deregister("setextheader")
    return parser


def prose(text: str) -> Markup:
    """Markdown as HTML that holds only the tags of `TAGS` and links of `SCHEMES`."""
    if not text.strip():
        return Markup("")
    if len(text) > LONGEST:
        text = text[:LONGEST] + "…"
    import nh3

    html = nh3.clean(
        _parser().convert(text),
        tags=set(TAGS),
        attributes={"a": {"href"}},
        set_tag_attribute_values={tag: {"dir": "auto"} for tag in BLOCKS},
        attribute_filter=_attribute,
        url_schemes=set(SCHEMES),
        link_rel="noopener noreferrer nofollow",
    )
    return Markup(html)  # noqa: S704 - cleaned in the line above
