"""From an address to its calendars, on real servers and on answers that mislead."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.fetch.kit import LIMITS, PIANO, SWIM, Copy, plain, source
from tests.support.feeds import (
    Answer,
    Exchange,
    WebServer,
    answer,
    redirect,
    relay,
    status,
    web_server,
)
from tests.support.servers import PASSWORD, USER, CalDavServer
from weeksync.errors import SourceMissing, SourceRefused, SourceUnusable
from weeksync.fetch import Source
from weeksync.model.problem import ProblemKind

pytestmark = pytest.mark.server

HOME_SET = "<C:calendar-home-set><D:href>{}</D:href></C:calendar-home-set>"


@pytest.fixture(params=["radicale", "xandikos"])
def server(request: pytest.FixtureRequest) -> CalDavServer:
    """Either of the two servers."""
    found: CalDavServer = request.getfixturevalue(f"{request.param}_server")
    return found


@pytest.fixture
def calendar(server: CalDavServer, fresh_name: str) -> Iterator[str]:
    """The path of a calendar with one event in it; it goes again, so that accounts stay small."""
    path = server.make_calendar(fresh_name, title=f"Family {fresh_name}", colour="#2f6b4f")
    server.put(f"{path}piano.ics", PIANO)
    yield path
    server.delete(path)


def account(address: str, *names: str, password: str = PASSWORD) -> Source:
    """A source for an account, or for the calendars of these names in it."""
    return source(caldav=address, user=USER, password=password, choose=names)


def test_a_bare_address_is_enough(server: CalDavServer, calendar: str, fresh_name: str) -> None:
    """Host and port alone lead to all calendars of the account, with titles and colours."""
    pulled = account(server.url.rstrip("/")).pull({}, LIMITS)
    found = {one.name: one for one in pulled.collections}
    assert found[calendar].title == f"Family {fresh_name}"
    assert found[calendar].colour.lower().startswith("#2f6b4f")
    assert [plain(raw.content) for raw in found[calendar].changed] == [
        plain(server.get(f"{calendar}piano.ics"))
    ]


@pytest.mark.parametrize("path", ["", "/.well-known/caldav", "home", "principal"])
def test_every_usual_address_leads_to_the_same(
    server: CalDavServer, calendar: str, path: str
) -> None:
    """The well-known address, the principal, and the home that the calendars are in."""
    where = {"home": server.home, "principal": f"/{USER}/"}.get(path, path)
    pulled = account(server.url.rstrip("/") + where).pull({}, LIMITS)
    assert calendar in {one.name for one in pulled.collections}


def test_the_address_of_one_calendar_gives_that_one(server: CalDavServer, calendar: str) -> None:
    """And no other one of the account, with or without a slash at the end."""
    more = server.make_calendar(calendar.strip("/").rpartition("/")[2] + "-more", title="More")
    for address in (calendar, calendar.rstrip("/")):
        pulled = account(server.url.rstrip("/") + address).pull({}, LIMITS)
        assert [one.name.rstrip("/") for one in pulled.collections] == [calendar.rstrip("/")]
    server.delete(more)


def test_calendars_are_chosen_by_name(server: CalDavServer, calendar: str, fresh_name: str) -> None:
    """By the name that is shown, exactly."""
    pulled = account(server.url, f"Family {fresh_name}").pull({}, LIMITS)
    assert [one.name for one in pulled.collections] == [calendar]
    assert pulled.problems == ()


def test_a_name_that_does_not_exist_is_a_problem(
    server: CalDavServer, calendar: str, fresh_name: str
) -> None:
    """The other ones are pulled; the problem lists the names that exist."""
    pulled = account(server.url, f"Family {fresh_name}", "Famly").pull({}, LIMITS)
    assert [one.name for one in pulled.collections] == [calendar]
    (problem,) = pulled.problems
    assert problem.kind is ProblemKind.SOURCE
    assert '"Famly"' in str(problem)
    assert f'"Family {fresh_name}"' in str(problem)


def test_no_name_that_exists_is_an_error(
    server: CalDavServer, calendar: str, fresh_name: str
) -> None:
    """Nothing would be pulled, so what is known stays; the names that exist are listed."""
    with pytest.raises(SourceMissing, match=f'"Family {fresh_name}"'):
        account(server.url, "family").pull({}, LIMITS)


def test_a_calendar_that_was_deleted_is_no_longer_among_them(
    server: CalDavServer, calendar: str, fresh_name: str
) -> None:
    """Calendars come and go in an account: what is not listed any more is not in the pull."""
    other = server.make_calendar(f"{fresh_name}-b", title="Other")
    server.put(f"{other}swim.ics", SWIM)
    copy = Copy()
    copy.pull(account(server.url))
    assert {calendar, other} <= set(copy.objects)
    server.delete(other)
    pulled = copy.pull(account(server.url))
    assert other not in copy.objects
    assert calendar in copy.objects
    assert pulled.problems == ()


def test_a_path_that_does_not_exist_never_gives_all_other_calendars(
    server: CalDavServer, calendar: str
) -> None:
    """Whoever wrote the address of one calendar does not want every other one in its place."""
    with pytest.raises(SourceMissing):
        account(f"{server.url.rstrip('/')}{server.home}no-such-calendar/").pull({}, LIMITS)


def test_an_address_that_is_a_web_page_leads_on_to_the_well_known_one(
    web: WebServer, server: CalDavServer, calendar: str
) -> None:
    """The address of the web front: its HTML is no answer, the well-known address is asked."""
    web.other = relay(server.url)
    web["/webmail"] = answer(b"<html><p>Welcome</p></html>", Content_Type="text/html")
    pulled = account(f"{web.url}/webmail").pull({}, LIMITS)
    assert calendar in {one.name for one in pulled.collections}


def test_a_host_whose_root_forbids_leads_on(
    web: WebServer, server: CalDavServer, calendar: str
) -> None:
    """403, 404 and 405 for `/` are common where CalDAV lives below."""
    web.other = relay(server.url)
    web["/.well-known/caldav"] = redirect(f"{server.home}", 301)
    for code in (403, 404, 405):
        web["/"] = status(code)
        pulled = account(web.url).pull({}, LIMITS)
        assert calendar in {one.name for one in pulled.collections}


def test_a_web_page_everywhere_is_no_calendar_server(web: WebServer) -> None:
    """HTML by 200 and by 207, well-formed or not, is refused and never "no calendars"."""
    for code in (200, 207):
        for body in (b"<html><p>Welcome</p></html>", b"<!DOCTYPE html><p>Welcome<br>", b"Hello"):
            web.other = answer(body, code, Content_Type="text/html")
            with pytest.raises(SourceUnusable, match="not as a calendar server"):
                account(web.url).pull({}, LIMITS)


def test_two_home_sets_are_both_listed(
    web: WebServer, server: CalDavServer, calendar: str, fresh_name: str
) -> None:
    """A server may name several homes (RFC 4791, section 6.2.1)."""
    multi = f"<D:href>{server.home}</D:href><D:href>/{USER}/second/</D:href>"

    def edit(exchange: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        if b"calendar-home-set" in exchange.body and exchange.path in {"/", f"/{USER}/"}:
            start, end = body.find(b"home-set>"), body.rfind(b"home-set>")
            if 0 <= start < end:
                inner = body[start:end]
                close = inner.rfind(b"<")
                prefix = b"xmlns:Z" if b"xmlns:Z" in body else b""
                assert prefix == b""
                named = multi.replace("D:href", "href").replace("<href>", '<href xmlns="DAV:">')
                body = body[: start + 9] + named.encode() + inner[close:] + body[end:]
        return code, headers, body

    def second(exchange: Exchange) -> None:
        exchange.answer(
            207,
            (
                '<D:multistatus xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav">'
                f"<D:response><D:href>{exchange.path}</D:href><D:propstat><D:prop>"
                "<D:resourcetype><D:collection/></D:resourcetype></D:prop>"
                "<D:status>HTTP/1.1 200 OK</D:status></D:propstat></D:response>"
                f"<D:response><D:href>{calendar}</D:href><D:propstat><D:prop>"
                "<D:resourcetype><D:collection/><C:calendar/></D:resourcetype>"
                "<D:displayname>By the second home</D:displayname></D:prop>"
                "<D:status>HTTP/1.1 200 OK</D:status></D:propstat></D:response>"
                "</D:multistatus>"
            ).encode(),
        )

    web.other = relay(server.url, edit=edit)
    web[f"/{USER}/second/"] = second
    pulled = account(web.url).pull({}, LIMITS)
    titles = {one.name: one.title for one in pulled.collections}
    assert len(web.at(f"/{USER}/second/")) == 1
    assert titles[calendar] == "By the second home"


def _account_answer(inner: str) -> bytes:
    return (
        '<D:multistatus xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav"><D:response>'
        f"<D:href>/</D:href><D:propstat><D:prop>{inner}</D:prop>"
        "<D:status>HTTP/1.1 200 OK</D:status></D:propstat></D:response></D:multistatus>"
    ).encode()


def test_an_anonymous_answer_is_not_taken_for_the_account(
    web: WebServer, server: CalDavServer, calendar: str
) -> None:
    """A server that shows an empty account to anybody is asked again with the password."""
    anonymous = _account_answer(
        "<D:current-user-principal><D:unauthenticated/></D:current-user-principal>"
    )

    def instead(exchange: Exchange) -> object:
        return None if exchange.headers["Authorization"] else answer(anonymous, 207)

    web.other = relay(server.url, instead=instead)  # type: ignore[arg-type]
    pulled = account(web.url).pull({}, LIMITS)
    assert calendar in {one.name for one in pulled.collections}
    with pytest.raises(SourceRefused):
        account(web.url, password="wrong").pull({}, LIMITS)


def test_a_server_that_stays_anonymous_is_unusable(web: WebServer) -> None:
    """With the password sent and still nobody: no calendars are no answer."""
    web.other = answer(
        _account_answer(
            "<D:current-user-principal><D:unauthenticated/></D:current-user-principal>"
        ),
        207,
    )
    with pytest.raises(SourceUnusable, match="shows no calendar"):
        account(web.url).pull({}, LIMITS)


def test_an_account_without_calendars_is_unusable(web: WebServer) -> None:
    """Never "no events": whoever names an account expects calendars in it."""
    web.other = answer(_account_answer(HOME_SET.format("/")), 207)
    with pytest.raises(SourceUnusable, match="shows no calendar"):
        account(web.url).pull({}, LIMITS)


def test_an_empty_multistatus_is_unusable(web: WebServer) -> None:
    """A 207 that names nothing, not even what was asked about, says nothing."""
    for body in (b"", b'<D:multistatus xmlns:D="DAV:"/>'):
        web.other = answer(body, 207)
        with pytest.raises(SourceUnusable):
            account(web.url).pull({}, LIMITS)


def test_calendars_at_another_host_are_not_asked_with_our_password(web: WebServer) -> None:
    """A home set elsewhere would get the password: its address has to be in `config.toml`."""
    port = web.server_address[1]
    home = HOME_SET.format(f"http://localhost:{port}/elsewhere/")
    web.other = answer(_account_answer(home), 207)
    with pytest.raises(SourceRefused, match="localhost"):
        account(web.url).pull({}, LIMITS)
    assert web.at("/elsewhere/") == []


def test_a_well_known_address_elsewhere_gets_no_password(server: CalDavServer) -> None:
    """RFC 6764 redirects to other hosts at times; the sentence says which address to write."""
    with web_server() as first, web_server() as second:
        second.other = relay(server.url)
        first["/.well-known/caldav"] = redirect(f"{second.url}/", 301)
        with pytest.raises(SourceRefused, match=second.url):
            account(first.url).pull({}, LIMITS)
        assert all(one.headers["Authorization"] is None for one in second.seen)


def test_addresses_of_a_proxy_are_read_as_its_own(
    web: WebServer, server: CalDavServer, calendar: str
) -> None:
    """Behind a proxy a server writes whole addresses with its own port: the path counts."""
    inside = server.url.rstrip("/").encode()

    def edit(_: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        return code, headers, body.replace(b"href>/", b"href>" + inside + b"/")

    web.other = relay(server.url, edit=edit)
    copy = Copy()
    copy.pull(account(web.url))
    assert plain(server.get(f"{calendar}piano.ics")) in copy.contents()
    assert calendar in copy.objects
    assert not copy.pull(account(web.url)).moved


def test_a_wrong_password_is_refused_at_the_account(server: CalDavServer) -> None:
    """At once, without trying other addresses."""
    with pytest.raises(SourceRefused, match="does not accept"):
        account(server.url, password="wrong").pull({}, LIMITS)
