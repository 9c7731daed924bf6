"""A strict reading of HTML: what a browser would silently repair is a fault here."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser

VOID = {"meta", "link", "br", "hr", "img", "input", "col", "wbr"}
PARENTS = {
    "li": {"ul", "ol"},
    "td": {"tr"},
    "th": {"tr"},
    "tr": {"thead", "tbody"},
    "thead": {"table"},
    "tbody": {"table"},
    "caption": {"table"},
    "colgroup": {"table"},
    "col": {"colgroup"},
    "dt": {"dl"},
    "dd": {"dl"},
}
"""Elements that have their place in one of these only."""
NO_BLOCKS = {"p", "h1", "h2", "h3", "span", "small", "bdi", "a", "strong", "time", "code", "dt"}
BLOCKS = {"p", "div", "ul", "ol", "li", "table", "section", "article", "aside", "h1", "h2", "h3"}


@dataclass
class Found:
    """One element with its attributes and the text right in it."""

    tag: str
    attributes: dict[str, str]
    text: str = ""
    inside: tuple[str, ...] = ()


@dataclass
class Read:
    """What a page holds: its elements in order, and its faults as sentences."""

    elements: list[Found] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    def all(self, tag: str) -> list[Found]:
        """Every element of that tag."""
        return [one for one in self.elements if one.tag == tag]

    def ids(self) -> list[str]:
        """Every id, in order."""
        return [one.attributes["id"] for one in self.elements if "id" in one.attributes]

    @property
    def text(self) -> str:
        """All text, white space joined."""
        return " ".join(" ".join(one.text for one in self.elements).split())


class _Parser(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.read = Read()
        self.open: list[Found] = []

    def fault(self, text: str) -> None:
        self.read.faults.append(f"line {self.getpos()[0]}: {text}")

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if len(names) != len(set(names)):
            self.fault(f"<{tag}> has an attribute twice: {names}")
        inside = tuple(one.tag for one in self.open)
        parent = inside[-1] if inside else ""
        if tag in PARENTS and parent not in PARENTS[tag]:
            self.fault(f"<{tag}> in <{parent}>")
        if tag in BLOCKS and parent in NO_BLOCKS:
            self.fault(f"<{tag}> in <{parent}>")
        if tag == "a" and "a" in inside:
            self.fault("a link in a link")
        made = Found(tag, {name: value or "" for name, value in attrs}, inside=inside)
        self.read.elements.append(made)
        if tag not in VOID:
            self.open.append(made)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open[-1].tag != tag:
            self.fault(f"</{tag}> while <{self.open[-1].tag if self.open else ''}> is open")
            return
        self.open.pop()

    def handle_data(self, data: str) -> None:
        if self.open:
            self.open[-1].text += data
            if self.open[-1].tag in {"ul", "ol", "table", "tr", "tbody", "thead"} and data.strip():
                self.fault(f"text in <{self.open[-1].tag}>: {data.strip()!r}")


def read_html(content: bytes) -> Read:
    """The page, with its faults: nesting, places, doubled attributes and ids, dead references."""
    parser = _Parser()
    text = content.decode("utf-8")
    if not text.startswith("<!doctype html>"):
        parser.fault("no doctype")
    parser.feed(text)
    parser.close()
    if parser.open:
        parser.fault(f"never closed: {[one.tag for one in parser.open]}")
    read = parser.read
    ids = read.ids()
    read.faults += [f"id {one} twice" for one in sorted({one for one in ids if ids.count(one) > 1})]
    for one in read.elements:
        for name in ("aria-labelledby", "aria-describedby", "for"):
            if name in one.attributes and one.attributes[name] not in ids:
                read.faults.append(f"{name} to nothing: {one.attributes[name]}")
        target = one.attributes.get("href", "")
        if target.startswith("#") and target[1:] not in ids:
            read.faults.append(f"link to nothing: {target}")
    return read
