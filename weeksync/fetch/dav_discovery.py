"""From an address to the calendars behind it (RFC 4791, 5397, 6764)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from urllib.parse import urljoin, urlsplit

from caldav.elements import cdav, dav, ical

from weeksync.errors import SourceError, SourceMissing, SourceRefused, SourceUnusable
from weeksync.fetch.address import origin, place
from weeksync.fetch.dav import Dav, Declined
from weeksync.fetch.dav_xml import ACCOUNT_PROPS, Multistatus, Resource, name_of, short_name
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.problem import Place, Problem, ProblemKind

WELL_KNOWN = "/.well-known/caldav"
_OURS = {"VEVENT", "VTODO", "VJOURNAL"}


@dataclass(frozen=True, slots=True)
class Calendar:
    """A calendar on a server: `name` is its path in one spelling, `url` its whole address."""

    name: str
    url: str
    title: str
    colour: str = ""


@dataclass(frozen=True, slots=True)
class Listing:
    """A list of calendars as a server gave it: where, how deep, and what stood in it."""

    url: str
    depth: int
    resources: tuple[Resource, ...]


def find_calendars(
    dav_server: Dav, read: Callable[[Sequence[Listing]], None] = lambda _: None
) -> tuple[Calendar, ...]:
    """All calendars behind the address of the channel, at least one; raises SourceError.

    `read` is told the lists that they were read from.

    In this order: the address is a calendar; calendars lie in it; it or the principal it names
    has home sets; and the same from `/.well-known/caldav` of the host. Going on where one step
    finds nothing is the point: a wrong address, an anonymous answer and an account without
    calendars look alike at each single step. An address with a path that does not exist is
    where it ends: if one calendar was meant and is gone, nobody wants all others in its place.
    """
    address = dav_server.channel.address
    has_path = bool(urlsplit(address).path.strip("/"))
    first: SourceError | None = None
    for start in (address, urljoin(address, WELL_KNOWN)):
        try:
            found, listings = _from(dav_server, start)
        except Declined as declined:
            first = first or declined.error
            if has_path and start == address and declined.status in {404, 410}:
                break
        except (SourceMissing, SourceUnusable) as error:
            first = first or error
        else:
            if found:
                read(listings)
                return found
    raise first or SourceUnusable(
        dav_server.channel.source,
        message(
            "{place} answers, but shows no calendar there; write the address of the account or"
            " of one calendar in config.toml",
            place=place(address),
        ),
    )


def _from(server: Dav, start: str) -> tuple[tuple[Calendar, ...], list[Listing]]:
    depth = 1 if urlsplit(start).path.strip("/") else 0
    here = server.propfind(start, depth, ACCOUNT_PROPS)
    if server.channel.sign_in_unasked():  # it shows something to anybody, perhaps not all
        here = server.propfind(start, depth, ACCOUNT_PROPS)
    own = here.own or here.resources[0]
    server.raise_if_absent(here)
    if _is_calendar(own):
        return tuple(_calendars(server, here, [own])), [Listing(here.base, 0, (own,))]
    inside = tuple(_calendars(server, here, here.members()))
    if inside:
        return inside, [Listing(here.base, depth, here.resources)]
    found: dict[str, Calendar] = {}
    listings: list[Listing] = []
    for home in _homes(server, here, own):
        listing = server.propfind(home, 1, ACCOUNT_PROPS)
        listings.append(Listing(listing.base, 1, listing.resources))
        found |= {one.name: one for one in _calendars(server, listing, listing.resources)}
    return tuple(found.values()), listings


def _homes(server: Dav, here: Multistatus, own: Resource) -> tuple[str, ...]:
    """The addresses of the home sets; of the principal itself where it names none."""
    homes = own.hrefs(cdav.CalendarHomeSet)
    if homes:
        return tuple(_local(server, here.base, href) for href in homes)
    principals = own.hrefs(dav.CurrentUserPrincipal)
    if not principals:
        return ()
    principal = _local(server, here.base, principals[0])
    answer = server.propfind(principal, 0, ACCOUNT_PROPS)
    found = (answer.own or answer.resources[0]).hrefs(cdav.CalendarHomeSet)
    return tuple(_local(server, answer.base, href) for href in found) or (principal,)


def _is_calendar(resource: Resource) -> bool:
    """Whether it is a calendar that can hold something for us (RFC 4791, section 5.2.3)."""
    if not resource.is_a(cdav.Calendar):
        return False
    kinds = {
        str(child.get("name", "")).upper()
        for child in resource.children(cdav.SupportedCalendarComponentSet)
    }
    return not kinds or bool(kinds & _OURS)


def _calendars(
    server: Dav, listing: Multistatus, resources: Iterable[Resource]
) -> Iterator[Calendar]:
    for resource in resources:
        if _is_calendar(resource):
            url = _local(server, listing.base, resource.href)
            title = resource.text(dav.DisplayName).strip() or short_name(url)
            colour = resource.text(ical.CalendarColor).strip()
            yield Calendar(name_of(url), url, title, colour)


def _local(server: Dav, base: str, href: str) -> str:
    """The address of an href, on the server that gave it.

    Behind a proxy a server writes the scheme and the port it knows itself: the path counts.
    Another host is refused: the password would go there.
    """
    url = urljoin(base, href)
    if (urlsplit(url).hostname or "") != (urlsplit(base).hostname or ""):
        raise SourceRefused(
            server.channel.source,
            message(
                "{place} says that the calendars are at {other}; if you trust it, write that"
                " address in config.toml",
                place=place(base),
                other=place(url),
            ),
        )
    if origin(url) != origin(base):
        return urljoin(base, urlsplit(url).path)
    return url


def choose(
    source: str, where: str, calendars: Sequence[Calendar], names: Sequence[str]
) -> tuple[tuple[Calendar, ...], tuple[Problem, ...]]:
    """The calendars of these names, all of them where no name is given.

    A name that no calendar has is a problem; where none fits at all SourceMissing is raised.
    Both list the names that exist.
    """
    titles = {calendar.title for calendar in calendars}
    unknown = [name for name in names if name not in titles]
    if not names:
        return tuple(calendars), ()
    wrong = message(
        "{place} has no calendar named {names}; choose from {titles}",
        place=where,
        names=", ".join(f'"{name}"' for name in unknown),
        titles=", ".join(f'"{title}"' for title in sorted(titles)),
    )
    chosen = tuple(calendar for calendar in calendars if calendar.title in names)
    if not chosen:
        raise SourceMissing(source, wrong)
    problem = Problem(ProblemKind.SOURCE, wrong, Place(source=source))
    return chosen, (problem,) if unknown else ()
