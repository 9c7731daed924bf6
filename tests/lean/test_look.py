"""Asking a server whether anything has changed: said only where it is certain, in few requests."""

from __future__ import annotations

import json
import ssl
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from itertools import count
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree  # type: ignore[import-untyped]

from tests.fetch.kit import PIANO, SWIM, Copy, component, source, text
from tests.fetch.relayed import kind, only
from tests.support.feeds import (
    CERTIFICATE,
    Answer,
    Behaviour,
    Digest,
    Exchange,
    WebServer,
    answer,
    basic,
    bomb,
    cut,
    cut_silently,
    drip,
    drip_head,
    endless,
    feed,
    hang,
    redirect,
    relay,
    reset,
    status,
    web_server,
)
from tests.support.servers import PASSWORD, USER, CalDavServer, radicale, xandikos
from weeksync.fetch import dav_look, dav_pull, dav_xml
from weeksync.lean import look
from weeksync.lean.answers import listing_print, name_of
from weeksync.lean.answers import multistatus as answers_of
from weeksync.lean.look import Kept, Online, is_askable, tokens_if_unchanged
from weeksync.model.pulled import KnownCollection

_numbers = count(1)
NAMES = ("school", "club", "garden")


@pytest.fixture(scope="module")
def servers() -> Iterator[dict[str, CalDavServer]]:
    """Both servers, for all tests here."""
    with radicale(users=[f"user{number}" for number in range(1, 40)]) as one, xandikos() as other:
        yield {"radicale": one, "xandikos": other}


@dataclass
class Account:
    """Three calendars behind a relay, and our copy of them."""

    server: CalDavServer
    web: WebServer
    address: str
    user: str = USER
    copy: Copy = field(default_factory=Copy)
    choose: tuple[str, ...] = ()

    def pull(self, times: int = 1) -> None:
        """As a whole run does."""
        named = source(
            caldav=self.address, user=self.user, password=PASSWORD, choose=list(self.choose)
        )
        for _ in range(times):
            self.copy.pull(named)

    def look(self, seconds: float = 20.0) -> dict[str, str] | None:
        """As a quiet night does, with its requests alone in `web.seen`."""
        self.web.seen.clear()
        online = Online("", self.address, self.choose, self.user, lambda: PASSWORD)
        return tokens_if_unchanged(online, kept(self.copy.known), seconds)

    def meddle(
        self,
        instead: Callable[[Exchange], Behaviour | None] = lambda _: None,
        edit: Callable[[Exchange, Answer], Answer] = lambda _, real: real,
    ) -> None:
        """Change what comes through from now on."""
        self.web.other = relay(self.server.url, instead=instead, edit=edit)


def kept(known: dict[str, KnownCollection]) -> dict[str, Kept]:
    """As the look is handed it."""
    return {name: Kept(one.token, one.tags) for name, one in known.items()}


@pytest.fixture
def web() -> Iterator[WebServer]:
    """A web server that does what it is told."""
    with web_server() as server:
        yield server


@pytest.fixture
def account(servers: dict[str, CalDavServer], web: WebServer) -> Account:
    """A Radicale account of its own for each test, pulled once."""
    user = f"user{next(_numbers)}"
    server = replace(servers["radicale"], user=user, home=f"/{user}/")
    server.send("PROPFIND", server.home)
    return filled(server, web, web.url, user)


def filled(server: CalDavServer, web: WebServer, address: str, user: str = USER) -> Account:
    """Calendars with something in them behind the relay."""
    for name in NAMES:
        path = server.make_calendar(name, title=name.title(), colour="#336699")
        server.put(f"{path}piano.ics", PIANO)
        server.put(f"{path}swim.ics", SWIM)
    made = Account(server, web, address, user)
    made.meddle()
    made.pull()
    return made


@pytest.fixture
def asked(account: Account) -> Account:
    """The same, after a second pull: now there are sync-tokens."""
    account.pull()
    return account


@pytest.fixture(scope="module")
def shared(servers: dict[str, CalDavServer]) -> Iterator[Account]:
    """Such an account for all tests that change nothing in it."""
    with web_server() as web:
        user = f"user{next(_numbers)}"
        server = replace(servers["radicale"], user=user, home=f"/{user}/")
        server.send("PROPFIND", server.home)
        made = filled(server, web, web.url, user)
        made.pull()
        yield made


@pytest.fixture
def steady(shared: Account) -> Iterator[Account]:
    """The same; what a test has put between is taken away before and after it."""
    assert shared.look() is not None
    yield shared
    shared.meddle()


def only_tokens(known: dict[str, KnownCollection]) -> dict[str, str]:
    """Collection → token."""
    return {name: one.token for name, one in known.items()}


def test_the_same_account_is_known_by_one_list_and_a_word_for_each_calendar(
    account: Account,
) -> None:
    """The tokens are those that a whole pull would leave, from the first night on."""
    for _ in range(3):
        tokens = account.look()
        requests = [(one.method, kind(one.method, one.body)) for one in account.web.seen]
        assert requests == [("PROPFIND", "list"), *[("REPORT", "sync")] * 3]
        account.pull()
        assert tokens == only_tokens(account.copy.known)


def test_a_server_that_serves_a_calendar_itself_is_asked_twice(account: Account) -> None:
    """Its name, and what has changed in it."""
    account.address += account.server.home + "school/"
    account.pull(2)
    assert account.look() is not None
    assert [one.headers["Depth"] for one in account.web.seen] == ["0", "0"]


def test_another_server_is_understood_as_well(
    servers: dict[str, CalDavServer], web: WebServer
) -> None:
    """Xandikos: other paths, other tokens."""
    other = filled(servers["xandikos"], web, web.url)
    for _ in range(2):
        tokens = other.look() or {}
        assert len(web.seen) <= 2 * len(tokens)
        other.pull()
        # Of a calendar with nothing in it a pull has no use for a token.
        used = {name: one.token for name, one in other.copy.known.items() if one.tags}
        assert {name: tokens[name] for name in used} == used != {}
    other.server.put(f"{other.server.home}club/new.ics", text(component("event", "new", "New")))
    assert other.look() is None


def test_a_server_without_tokens_is_asked_for_its_list_of_tags(account: Account) -> None:
    """Compared with the tags that are kept."""
    account.meddle(only("sync", status(403)))
    account.pull(2)
    tokens = account.look()
    assert [one.method for one in account.web.seen] == ["PROPFIND"] * 4
    account.pull()
    assert tokens == only_tokens(account.copy.known)
    account.server.delete(f"{account.server.home}club/swim.ics")
    assert account.look() is None


_NEW = text(component("event", "new", "New"))
_MOVED = SWIM.replace(b"Dov", b"Ines")
CHANGES: dict[str, Callable[[CalDavServer], object]] = {
    "a new event": lambda server: server.put(f"{server.home}club/new.ics", _NEW),
    "a changed event": lambda server: server.put(f"{server.home}club/swim.ics", _MOVED),
    "an event gone": lambda server: server.delete(f"{server.home}garden/swim.ics"),
    "a calendar gone": lambda server: server.delete(f"{server.home}garden/"),
    "a new calendar": lambda server: server.make_calendar("new", title="New"),
    "another name": lambda server: _rename(server, "<D:displayname>Chess</D:displayname>"),
    "another colour": lambda server: _rename(
        server, '<A:calendar-color xmlns:A="http://apple.com/ns/ical/">#993333</A:calendar-color>'
    ),
}


def _rename(server: CalDavServer, prop: str) -> None:
    body = (
        '<?xml version="1.0"?><D:propertyupdate xmlns:D="DAV:"><D:set><D:prop>'
        f"{prop}</D:prop></D:set></D:propertyupdate>"
    )
    server.send("PROPPATCH", f"{server.home}school/", body.encode(), "application/xml")


@pytest.mark.parametrize("change", CHANGES)
def test_whatever_has_changed_on_the_server_is_seen(asked: Account, change: str) -> None:
    """And after a whole pull there is quiet again."""
    CHANGES[change](asked.server)
    assert asked.look() is None
    asked.pull(2)
    assert asked.look() is not None


_EMPTY = b'<?xml version="1.0"?><multistatus xmlns="DAV:"/>'
_ENTITY = b'<!DOCTYPE x [<!ENTITY y "z">]><multistatus xmlns="DAV:"><sync-token>a</sync-token>'
FAULTS: dict[str, Behaviour] = {
    **{f"status {code}": status(code) for code in (200, 204, 401, 403, 404, 410, 412, 429)},
    **{f"status {code}": status(code) for code in (500, 502, 503, 507)},
    "redirect": redirect("/elsewhere/", 307),
    "empty multistatus": answer(_EMPTY, 207),
    "nothing": answer(b"", 207),
    "web page": answer(b"<html><body>Sign in</body></html>", 207),
    "document type": answer(_ENTITY + b"</multistatus>", 207),
    "no end": answer(_ENTITY[len(b'<!DOCTYPE x [<!ENTITY y "z">]>') :], 207),
    "cut": cut(b" " * 500, 300),
    "reset": reset,
    "packed": bomb(1),
    "too much": answer(b'<?xml version="1.0"?>' + b" " * 300_000 + _EMPTY[21:], 207),
}


@pytest.mark.parametrize("asks", ["list", "sync"])
@pytest.mark.parametrize("fault", FAULTS)
def test_every_other_answer_is_a_doubt(steady: Account, asks: str, fault: str) -> None:
    """The whole run then finds out, and has the words for it."""
    steady.meddle(only(asks, FAULTS[fault]))
    assert steady.look() is None


ENDLESS: dict[str, Behaviour] = {
    "no answer": hang,
    "drop by drop": drip(b" " * 300_000, 0.05),
    "head without end": drip_head(0.05),
    "no end": endless,
}


@pytest.mark.parametrize("fault", ENDLESS)
def test_a_slow_answer_is_waited_for_so_long_and_no_longer(steady: Account, fault: str) -> None:
    """However it keeps coming."""
    steady.meddle(only("sync", ENDLESS[fault]))
    begun = time.monotonic()
    assert steady.look(0.5) is None
    assert time.monotonic() - begun < 60  # not for ever; no figure of speed


def _said(old: bytes, new: bytes) -> Callable[[Exchange, Answer], Answer]:
    def edit(exchange: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        if kind(exchange.method, exchange.body) == "sync":
            assert old in body
            body = body.replace(old, new)
        return code, headers, body

    return edit


_END = b"</multistatus>"
_OWN = b"<response><href>%s</href><status>HTTP/1.1 %d x</status></response>"


@pytest.mark.parametrize(
    "more",
    [
        _OWN % (b"/x/school/", 507),
        _OWN % (b"/x/school/swim.ics", 404),
        b"<response><href>/x/school/a.ics</href><propstat><prop><getetag>1</getetag></prop>"
        b"<status>HTTP/1.1 200 OK</status></propstat></response>",
        b"<response><href>/x/school/a.ics</href><propstat><prop><getetag/></prop>"
        b"<status>HTTP/1.1 500 x</status></propstat></response>",
        b"<sync-token>second</sync-token>",
    ],
)
def test_a_token_is_believed_only_where_nothing_at_all_is_named(
    steady: Account, more: bytes
) -> None:
    """Cut short, gone, new, failed, or two tokens at once."""
    steady.meddle(edit=_said(_END, more + _END))
    assert steady.look() is None


def test_a_new_token_without_changes_is_kept(steady: Account) -> None:
    """Some servers hand out another one each time."""
    steady.meddle(edit=_said(b"<sync-token>", b"<sync-token>another-"))
    tokens = steady.look()
    assert tokens is not None
    assert all(json.loads(one)["sync"].startswith("another-") for one in tokens.values())


def test_from_time_to_time_everything_is_compared(asked: Account) -> None:
    """As often as the pull itself does."""
    assert look.FULL_EVERY == dav_pull.FULL_EVERY
    looked = 0
    while (tokens := asked.look()) is not None:
        known = asked.copy.known
        asked.copy.known = {n: KnownCollection(t, known[n].tags) for n, t in tokens.items()}
        looked += 1
    assert looked == dav_pull.FULL_EVERY - 1
    assert not asked.web.seen


@pytest.mark.parametrize(
    "other",
    [
        {"user": "dov"},
        {"choose": ("School",)},
        {"caldav": "http://127.0.0.1:9/"},
        {"password": lambda: None},
        {"password": lambda: "ä"},
    ],
)
def test_another_way_of_asking_is_another_account(
    steady: Account, other: dict[str, object]
) -> None:
    """What was known of one account says nothing of another."""
    steady.web.seen.clear()
    online = Online("", steady.address, (), steady.user, lambda: PASSWORD)
    assert tokens_if_unchanged(replace(online, **other), kept(steady.copy.known)) is None  # type: ignore[arg-type]
    assert not steady.web.seen


def test_name_and_password_go_to_no_other_place(steady: Account) -> None:
    """Not even where the store says that a calendar is there."""
    with web_server() as other:
        known = {
            name: KnownCollection(one.token.replace(steady.web.url, other.url), one.tags)
            for name, one in steady.copy.known.items()
        }
        online = Online("", steady.address, (), steady.user, lambda: PASSWORD)
        assert tokens_if_unchanged(online, kept(known)) is None
        assert not other.seen


def test_a_way_through_a_proxy_is_left_to_the_whole_run(
    steady: Account, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It knows the exceptions to it as well."""
    monkeypatch.setenv("HTTP_PROXY", "http://127.0.0.1:9/")
    assert steady.look() is None
    assert not steady.web.seen


def test_a_pull_with_a_problem_leaves_nothing_to_ask_by(asked: Account) -> None:
    """What is wrong has to be said each night."""
    asked.choose = ("School", "Nowhere")
    asked.pull()
    online = Online("", asked.address, asked.choose, asked.user)
    assert not is_askable(online, kept(asked.copy.known))
    asked.choose = ("School",)
    asked.pull()
    assert asked.look() is not None


def test_tokens_of_an_earlier_weeksync_say_nothing(asked: Account) -> None:
    """Nor do those that are damaged."""
    online = Online("", asked.address, (), asked.user)
    for token in ('{"account": "x", "sync": "y", "pulls": 1, "works": true}', "", "[]", "{"):
        assert not is_askable(online, {"/x/": Kept(token, {})})
        assert tokens_if_unchanged(online, {"/x/": Kept(token, {})}) is None
    assert not is_askable(online, {})


_LISTED = """<?xml version="1.0" encoding="{encoding}"?>
<!-- of a server --><m:multistatus xmlns:m="DAV:" xmlns="urn:ietf:params:xml:ns:caldav">
<m:response><m:href>/a/b%40c/</m:href><m:propstat><m:prop>
 <m:resourcetype>{types}</m:resourcetype>
 <m:displayname> Kl\u00e9 &amp; <![CDATA[<Dov>]]> <!-- x -->end </m:displayname>
 <supported-calendar-component-set>{kinds}</supported-calendar-component-set>
 <c:calendar-color xmlns:c="http://apple.com/ns/ical/" c:is="blue">#123</c:calendar-color>
</m:prop><m:status>HTTP/1.1 200 OK</m:status></m:propstat></m:response>
<m:response><m:href>/a/</m:href><m:propstat><m:prop><m:resourcetype><m:collection/></m:resourcetype>
</m:prop><m:status>HTTP/1.1 200 OK</m:status></m:propstat></m:response></m:multistatus>"""


def _listing(encoding: str, types: str, kinds: str) -> bytes:
    return _LISTED.format(encoding=encoding, types=types, kinds=kinds).encode(encoding)


def test_a_list_is_read_alike_by_a_pull_and_by_a_look() -> None:
    """Whatever its spelling; and in whatever order a server puts what has none."""
    types, kinds = ("<m:collection/>", "<calendar/>"), ('<comp name="VEVENT"/>', "<comp/>")
    first = _listing("utf-8", "".join(types), "".join(kinds))
    other = _listing("iso-8859-1", "\n".join(reversed(types)), " ".join(reversed(kinds)))
    seen = set()
    for body in (first, other):
        whole = dav_xml.multistatus(etree.fromstring(body), "http://x.example/a/")
        assert whole is not None
        answers, _ = answers_of(body, "http://x.example/a/")
        seen |= {dav_look.listing_print(whole.resources), listing_print(answers)}
    assert len(seen) == 1
    assert seen != {
        listing_print(answers_of(_listing("utf-8", types[1], kinds[0]), "http://x/")[0])
    }


@given(st.text(st.sampled_from("/%4fF0 aé@:;+~?#.") | st.characters(codec="utf-8"), max_size=30))
def test_a_path_has_one_spelling_for_both(href: str) -> None:
    """Names of objects are compared with those of the store."""
    said = []
    for spell in (dav_xml.name_of, name_of):
        try:
            said.append(spell(href))
        except ValueError as error:  # as an address in brackets that is none
            said.append(repr(error))
    assert said[0] == said[1]


# Feeds --------------------------------------------------------------------------------------

BASIC, OTHER = basic(USER, PASSWORD, feed(PIANO, etag='"1"')), feed(SWIM, etag='"2"')


def pulled_feed(web: WebServer, behaviour: Behaviour, **more: str) -> tuple[Copy, Online]:
    """A feed after a pull."""
    web["/a/feed.ics"] = behaviour
    address = f"{web.url}/a/feed.ics"
    copy = Copy()
    copy.pull(source(Path(), PASSWORD, url=address, **more))
    web.seen.clear()
    return copy, Online(address, user=more.get("user", ""), password=lambda: PASSWORD)


@pytest.mark.parametrize(
    ("behaviour", "more"),
    [
        (feed(PIANO, etag='"1"'), {}),
        (feed(PIANO, modified="Mon, 22 Mar 2027 10:00:00 GMT"), {}),
        (feed(PIANO), {}),
        (BASIC, {"user": USER}),
    ],
    ids=["tag", "date", "bytes", "password"],
)
def test_a_feed_is_asked_once(web: WebServer, behaviour: Behaviour, more: dict[str, str]) -> None:
    """Whether it is modified; one that cannot tell has its few bytes compared."""
    copy, online = pulled_feed(web, behaviour, **more)
    tokens = tokens_if_unchanged(online, kept(copy.known))
    assert [one.method for one in web.seen] == ["GET"]
    copy.pull(source(Path(), PASSWORD, url=online.url, **more))
    assert tokens == only_tokens(copy.known) != {}
    web["/a/feed.ics"] = OTHER if not more else basic(USER, PASSWORD, OTHER)
    assert tokens_if_unchanged(online, kept(copy.known)) is None


@pytest.mark.parametrize(
    "behaviour",
    [
        *(status(code) for code in (200, 204, 401, 404, 429, 500)),
        answer(PIANO),
        redirect("/b.ics"),
        cut_silently(PIANO, 40),
        reset,
    ],
)
def test_of_a_feed_only_not_modified_counts(web: WebServer, behaviour: Behaviour) -> None:
    """Its bytes too are taken only where the server has no other way to say it."""
    copy, online = pulled_feed(web, feed(PIANO, etag='"1"'))
    web["/a/feed.ics"] = behaviour
    assert tokens_if_unchanged(online, kept(copy.known), 5.0) is None


def test_not_modified_counts_only_for_what_is_there(web: WebServer) -> None:
    """Of another address, or without the bytes in hand, it would be said of something else."""
    copy, online = pulled_feed(web, feed(PIANO, etag='"1"'))
    known = kept(copy.known)
    elsewhere = replace(online, url=online.url + "?other")
    assert tokens_if_unchanged(elsewhere, known) is None
    without = {name: Kept(one.token, {}) for name, one in known.items()}
    assert tokens_if_unchanged(online, without) is None


def test_a_server_that_asks_a_question_first_is_left_to_the_whole_run(web: WebServer) -> None:
    """A digest login takes two requests, and is not sent in the first."""
    behaviour = Digest(USER, PASSWORD, feed(PIANO, etag='"1"'))
    copy, online = pulled_feed(web, behaviour, user=USER)
    assert not is_askable(online, kept(copy.known))


def test_a_certificate_nobody_knows_ends_the_look(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the household's own it is read, as the whole run reads it."""
    with web_server(tls=True) as web:
        monkeypatch.setenv("REQUESTS_CA_BUNDLE", str(CERTIFICATE))
        copy, online = pulled_feed(web, feed(PIANO, etag='"1"'))
        assert tokens_if_unchanged(online, kept(copy.known)) is not None
        monkeypatch.delenv("REQUESTS_CA_BUNDLE")
        assert ssl.create_default_context().check_hostname
        web.seen.clear()
        assert tokens_if_unchanged(online, kept(copy.known)) is None
        assert not web.seen
