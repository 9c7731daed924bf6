"""The XML of CalDAV: request bodies, and what a multistatus answer says (RFC 4918, 4791, 6578).

The library's own readers raise where one property of one resource failed, and skip names they
do not know; here each resource keeps what could be had of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field
from typing import Any
from urllib.parse import quote_from_bytes, unquote, unquote_to_bytes, urljoin, urlsplit
from xml.parsers import expat

from caldav.elements import cdav, dav, ical
from caldav.elements.base import BaseElement

from weeksync.lazy import dataclass

ACCOUNT_PROPS: tuple[type[BaseElement], ...] = (
    dav.ResourceType,
    dav.DisplayName,
    dav.CurrentUserPrincipal,
    cdav.CalendarHomeSet,
    cdav.SupportedCalendarComponentSet,
    ical.CalendarColor,
)
"""What is asked of an address, a home and its calendars. The sync-token is not among them: one
server works it out over all objects, for more than a minute."""
MEMBER_PROPS: tuple[type[BaseElement], ...] = (dav.GetEtag, dav.ResourceType)

_SEGMENT_SAFE = "!$&'()*+,;=:@-._~"


def propfind_body(props: Iterable[type[BaseElement]]) -> str:
    """A PROPFIND for these properties."""
    return _xml(dav.Propfind(), _with(dav.Prop(), *(prop() for prop in props)))


def sync_body(token: str) -> str:
    """A sync-collection REPORT for ETags since `token`, all of them where it is "".

    No limit is asked for (RFC 6578, section 3.7): a server that cannot obey one refuses.
    """
    prop = _with(dav.Prop(), dav.GetEtag())
    level = dav.SyncLevel(value="1")
    return _xml(dav.SyncCollection(), dav.SyncToken(value=token), level, prop)


def multiget_body(hrefs: Iterable[str]) -> str:
    """A calendar-multiget REPORT for the objects at `hrefs`, whole, without any filter."""
    prop = _with(dav.Prop(), dav.GetEtag(), cdav.CalendarData())
    return _xml(cdav.CalendarMultiGet(), prop, *(dav.Href(value=href) for href in hrefs))


def _with(element: BaseElement, *parts: BaseElement) -> BaseElement:
    return element + parts


def _xml(element: BaseElement, *parts: BaseElement) -> str:
    return str(_with(element, *parts))


def plain_xml(body: bytes) -> bool:
    """Whether `body` is well-formed XML (in an encoding that expat has) without a DOCTYPE.

    No answer of WebDAV has a document type, and everything dangerous in XML needs one.
    """

    def refuse(*_: object) -> None:
        raise ValueError

    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = refuse
    try:
        parser.Parse(body, True)
    except (expat.ExpatError, ValueError, LookupError):
        return False
    return True


def name_of(href: str) -> str:
    """The path of an href in one spelling: servers write `@` and `%40` from answer to answer.

    Segment by segment, since `%2F` inside of one is not a `/` between two.
    """
    path = urlsplit(href.strip()).path
    return "/".join(
        quote_from_bytes(unquote_to_bytes(segment), safe=_SEGMENT_SAFE)
        for segment in path.split("/")
    )


def short_name(name: str) -> str:
    """The last part of a path, to be read by people."""
    return unquote(name.rstrip("/").rpartition("/")[2], errors="replace")


@dataclass(frozen=True, slots=True)
class Resource:
    """One `response` of a multistatus.

    `name` is its path in one spelling, `href` as the server wrote it. `status` is that of the
    resource as a whole, None where only its properties have one. `props` are those that came
    with success; `failed` says that at least one did not, for another reason than not existing.
    """

    name: str
    href: str
    status: int | None = None
    props: Mapping[str, Any] = field(default_factory=dict)
    failed: bool = False

    def text(self, prop: type[BaseElement]) -> str:
        """The text of a property, "" where there is none."""
        element = self.props.get(str(prop.tag))
        return (element.text or "") if element is not None else ""

    def hrefs(self, prop: type[BaseElement]) -> tuple[str, ...]:
        """The hrefs in a property, in order."""
        element = self.props.get(str(prop.tag))
        found = () if element is None else element.iter(dav.Href.tag)
        return tuple(href.text.strip() for href in found if href.text and href.text.strip())

    def children(self, prop: type[BaseElement]) -> tuple[Any, ...]:
        """The elements in a property."""
        element = self.props.get(str(prop.tag))
        return () if element is None else tuple(element)

    def is_a(self, kind: type[BaseElement]) -> bool:
        """Whether the resource's type names `kind`."""
        return any(child.tag == kind.tag for child in self.children(dav.ResourceType))


@dataclass(frozen=True, slots=True)
class Multistatus:
    """A whole multistatus answer; `base` is the address it came from in the end."""

    base: str
    resources: tuple[Resource, ...]
    sync_token: str | None = None

    @property
    def own(self) -> Resource | None:
        """The resource that was asked about."""
        own = name_of(self.base).rstrip("/")
        return next((one for one in self.resources if one.name.rstrip("/") == own), None)

    def members(self) -> Iterator[Resource]:
        """All resources but the one that was asked about."""
        own = self.own
        return (one for one in self.resources if one is not own)


def multistatus(tree: Any, base: str) -> Multistatus | None:
    """What the root element of an answer says, None where it is no multistatus."""
    if tree is None or tree.tag != dav.MultiStatus.tag:
        return None
    resources = tuple(_resource(element, base) for element in tree.iterfind(dav.Response.tag))
    token = tree.find(dav.SyncToken.tag)
    return Multistatus(base, resources, None if token is None else (token.text or "").strip())


def _resource(response: Any, base: str) -> Resource:
    href = (response.findtext(dav.Href.tag) or "").strip()
    props: dict[str, Any] = {}
    failed = False
    for propstat in response.iterfind(dav.PropStat.tag):
        status = _status(propstat) or 200
        if 200 <= status < 300:
            found = propstat.find(dav.Prop.tag)
            props |= {child.tag: child for child in (() if found is None else found)}
        elif status != 404:
            failed = True
    path = href if href.startswith("/") else urljoin(base, href)  # the first is by far the usual
    return Resource(name_of(path), href, _status(response), props, failed)


def _status(element: Any) -> int | None:
    """The number of a `status` element, as in `HTTP/1.1 404 Not Found`; 500 for one unread."""
    text = element.findtext(dav.Status.tag)
    if text is None:
        return None
    words = text.split()
    return int(words[1]) if len(words) > 1 and words[1].isdigit() else 500
