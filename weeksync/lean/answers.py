"""What a multistatus answer says (RFC 4918), as far as a look has use for it.

`fetch.dav_xml` reads the same with a library and keeps what can be kept of a bad answer; here
whatever is not as it should be is a Doubt. `listing_print` is worked out by both in one spelling
(`fetch.dav_look`): where they should ever differ, the whole run happens.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from urllib.parse import quote_from_bytes, unquote_to_bytes, urljoin, urlsplit
from xml.parsers import expat

from weeksync.lean.doubt import Doubt

DAV = "{DAV:}"
CALENDAR = "{urn:ietf:params:xml:ns:caldav}calendar"
COUNTED = (
    f"{DAV}resourcetype",
    f"{DAV}displayname",
    "{urn:ietf:params:xml:ns:caldav}supported-calendar-component-set",
    "{http://apple.com/ns/ical/}calendar-color",
)
"""What the whole pull takes from the list of calendars."""

_SEGMENT_SAFE = "!$&'()*+,;=:@-._~"


@dataclass(slots=True)
class Element:
    """An element of XML; its name as `{namespace}name`."""

    name: str
    given: dict[str, str] = field(default_factory=dict)
    text: str = ""
    inner: list[Element] = field(default_factory=list)

    def all(self, name: str) -> list[Element]:
        """Those of a name right below it."""
        return [one for one in self.inner if one.name == name]

    def said(self, name: str) -> str:
        """The text of the one element of that name, "" where there is none."""
        found = self.all(name)
        if len(found) > 1:
            raise Doubt
        return found[0].text.strip() if found else ""

    def spelling(self) -> list[object]:
        """All of it as lists; servers hand out what is in it in any order."""
        inner = sorted((one.spelling() for one in self.inner), key=json.dumps)
        return [self.name, sorted(self.given.items()), self.text.strip(), inner]


@dataclass(frozen=True, slots=True)
class Answered:
    """One `response`: its path in one spelling, and the properties that it has."""

    name: str
    props: dict[str, Element]

    def is_a(self, *kinds: str) -> bool:
        """Whether the resource's type names one of them."""
        kind = self.props.get(f"{DAV}resourcetype")
        return kind is not None and any(one.name in kinds for one in kind.inner)


def multistatus(body: bytes, base: str) -> tuple[list[Answered], str]:
    """(all responses, the sync-token or ""); Doubt where one of them failed in any way."""
    root = _tree(body)
    if root.name != f"{DAV}multistatus":
        raise Doubt
    found = [_answered(one, base) for one in root.all(f"{DAV}response")]
    if len({one.name for one in found}) != len(found):
        raise Doubt
    return found, root.said(f"{DAV}sync-token")


def name_of(href: str) -> str:
    """The path of an href in one spelling, as the store has it; see `fetch.dav_xml.name_of`."""
    return "/".join(
        quote_from_bytes(unquote_to_bytes(segment), safe=_SEGMENT_SAFE)
        for segment in urlsplit(href.strip()).path.split("/")
    )


def listing_print(answers: Iterable[Answered]) -> str:
    """SHA-256 (hex) of the calendars among them, with all that is taken from a listing."""
    told = [
        [one.name, *(one.props[name].spelling() for name in COUNTED if name in one.props)]
        for one in answers
        if one.is_a(CALENDAR)
    ]
    return hashlib.sha256(json.dumps(sorted(told, key=json.dumps)).encode()).hexdigest()


def _answered(response: Element, base: str) -> Answered:
    href = response.said(f"{DAV}href")
    if not href or response.all(f"{DAV}status"):  # not there (any more), or more than can be said
        raise Doubt
    props: dict[str, Element] = {}
    for part in response.all(f"{DAV}propstat"):
        status = part.said(f"{DAV}status").split()[1:2]
        if status == ["200"]:
            props |= {one.name: one for prop in part.all(f"{DAV}prop") for one in prop.inner}
        elif status != ["404"]:
            raise Doubt
    return Answered(name_of(href if href.startswith("/") else urljoin(base, href)), props)


def _tree(body: bytes) -> Element:
    """The root element; Doubt for what is not well-formed, and for any document type.

    No answer of WebDAV has a document type, and everything dangerous in XML needs one.
    """
    top = Element("")
    path = [top]

    def start(name: str, given: dict[str, str]) -> None:
        one = Element(_full(name), {_full(key): value for key, value in given.items()})
        path[-1].inner.append(one)
        path.append(one)

    def text(piece: str) -> None:
        path[-1].text += piece

    def refuse(*_: object) -> None:
        raise Doubt

    parser = expat.ParserCreate(namespace_separator="}")
    parser.buffer_text = True
    parser.StartDoctypeDeclHandler = refuse
    parser.StartElementHandler = start
    parser.EndElementHandler = lambda _: path.pop()
    parser.CharacterDataHandler = text
    try:
        parser.Parse(body, True)
    except (expat.ExpatError, LookupError):
        raise Doubt from None
    return top.inner[0]


def _full(name: str) -> str:
    return f"{{{name}" if "}" in name else name
