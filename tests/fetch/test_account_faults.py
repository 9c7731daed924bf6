"""Several calendars of an account: one fails and the others are pulled; one is new, one renamed."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from unittest.mock import patch

import pytest

from tests.fetch.kit import LIMITS, Copy, changed, component, gone, source, text
from tests.fetch.relayed import Relayed, kind
from tests.support.feeds import (
    Answer,
    Behaviour,
    Exchange,
    WebServer,
    answer,
    bomb,
    broken_gzip,
    cut,
    hang,
    reset,
    status,
)
from tests.support.servers import PASSWORD, USER
from weeksync.errors import SourceBusy, SourceRefused
from weeksync.model.limits import PullLimits
from weeksync.model.problem import ProblemKind
from weeksync.model.pulled import Pulled

pytestmark = pytest.mark.server

HTML = b"<!DOCTYPE html><html><body>Please sign in<br></body></html>"
PAGE = answer(HTML, 200, Content_Type="text/html")


@dataclass
class Account:
    """Two calendars of an account behind the relay, and our copy of both."""

    relayed: Relayed
    second: str
    copy: Copy = field(default_factory=Copy)
    more: list[str] = field(default_factory=list)

    def pull(self, limits: PullLimits = LIMITS) -> Pulled:
        """Pull the whole account."""
        self.relayed.web.seen.clear()
        account = source(caldav=self.relayed.web.url, user=USER, password=PASSWORD)
        return self.copy.pull(account, limits)

    def put(self, name: str, title: str) -> None:
        """Write an event of the second calendar."""
        server = self.relayed.server
        server.put(f"{self.second}{name}.ics", text(component("event", name, title)))

    def second_answers(self, behaviour: Behaviour, *, asked: str = "", tokens: bool = True) -> None:
        """From now on the second calendar does, to all that it is `asked` or one kind of that.

        Without `tokens` neither calendar can do sync-collection.
        """

        def instead(exchange: Exchange) -> Behaviour | None:
            what = kind(exchange.method, exchange.body)
            if exchange.path.startswith(self.second) and asked in {"", what}:
                return behaviour
            return status(403) if what == "sync" and not tokens else None

        self.relayed.meddle(instead)

    def make(self, name: str) -> str:
        """A calendar more, of one event."""
        server = self.relayed.server
        path = server.make_calendar(name, title=name)
        server.put(f"{path}one.ics", text(component("event", name, f"Of {name}")))
        self.more.append(path)
        return path

    def asked(self) -> list[str]:
        """Which calendars the last pull asked, each once."""
        paths = [one.path for one in self.relayed.web.seen if one.path in self.copy.objects]
        return list(dict.fromkeys(paths))


@pytest.fixture(params=["radicale", "xandikos"])
def account(request: pytest.FixtureRequest, web: WebServer, fresh_name: str) -> Iterator[Account]:
    """Both calendars pulled until a sync-token is in use; pauses between attempts are short."""
    server = request.getfixturevalue(f"{request.param}_server")
    first = server.make_calendar(fresh_name, title="First")
    second = server.make_calendar(f"{fresh_name}-second", title="Second")
    made = Account(Relayed(server, web, first), second)
    for name in ("piano", "chess"):
        made.relayed.put(name, f"Lesson {name}")
        made.put(name, f"Second {name}")
    made.relayed.meddle()
    with patch("weeksync.fetch.channel.BACK_OFF_SECONDS", 0.01):
        made.pull()
        made.pull()
        yield made
    for path in (first, second, *made.more):
        with suppress(OSError):
            server.delete(path)


FAULTS = [
    pytest.param(status(500), id="500"),
    pytest.param(status(503), id="503"),
    pytest.param(status(429, Retry_After="86400"), id="429"),
    pytest.param(status(401, WWW_Authenticate='Basic realm="x"'), id="401"),
    pytest.param(status(403), id="403"),
    pytest.param(status(404), id="404"),
    pytest.param(status(410), id="410"),
    pytest.param(status(507), id="507"),
    pytest.param(PAGE, id="HTML"),
    pytest.param(answer(b"", 207), id="empty"),
    pytest.param(cut(HTML, 20), id="cut"),
    pytest.param(broken_gzip(HTML), id="no gzip"),
    pytest.param(bomb(20), id="bomb"),
    pytest.param(reset, id="reset"),
]


CASES = [
    pytest.param(server, *fault.values, tokens, id=f"{server}, by {way}: {fault.id}")
    for way, tokens, server, faults in (
        ("token", True, "radicale", FAULTS),
        ("list", False, "radicale", FAULTS[::4]),
        ("token", True, "xandikos", FAULTS[::4]),
        ("list", False, "xandikos", FAULTS[::5]),
    )
    for fault in faults
]


@pytest.mark.parametrize(("account", "behaviour", "tokens"), CASES, indirect=["account"])
def test_the_others_are_pulled_and_what_failed_stays_as_it_was(
    account: Account, behaviour: Behaviour, tokens: bool
) -> None:
    """A change and a deletion of one arrive; those of the other wait, and it is named."""
    server, first, second = account.relayed.server, account.relayed.path, account.second
    account.relayed.put("piano", "Lesson piano moved")
    server.delete(f"{first}chess.ics")
    account.put("piano", "Second piano moved")
    server.delete(f"{second}chess.ics")
    had, known = dict(account.copy.objects[second]), account.copy.known[second]
    account.second_answers(behaviour, tokens=tokens)
    pulled = account.pull(PullLimits(20.0, 60.0, 300_000))
    assert gone(pulled) == [f"{first}chess.ics"]
    assert [b"Lesson piano moved" in one for one in changed(pulled)] == [True]
    assert (account.copy.objects[second], account.copy.known[second]) == (had, known)
    (problem,) = pulled.problems
    assert problem.kind is ProblemKind.SOURCE
    assert "“Second”" in str(problem.what)
    assert problem.remedy is not None
    assert "look" not in json.loads(account.copy.known[first].token), "the next night asks again"
    account.relayed.meddle()
    pulled = account.pull()
    assert pulled.problems == ()
    assert gone(pulled) == [f"{second}chess.ics"]
    assert [b"Second piano moved" in one for one in changed(pulled)] == [True]


def test_objects_that_do_not_come_leave_the_whole_calendar_as_it_was(account: Account) -> None:
    """What came before the fault is not taken: its token stands for all of it."""
    account.put("piano", "Second piano moved")
    had = dict(account.copy.objects[account.second])
    account.second_answers(PAGE, asked="multiget")
    assert len(account.pull().problems) == 1
    assert account.copy.objects[account.second] == had


def test_one_that_hangs_costs_its_own_time_alone(account: Account) -> None:
    """The others do not wait for it longer than it is asked."""
    account.relayed.put("piano", "Lesson piano moved")
    account.second_answers(hang)
    pulled = account.pull(PullLimits(timeout_seconds=0.8, budget_seconds=30.0))
    assert len(changed(pulled)) == 1
    assert len(pulled.problems) == 1


def test_a_calendar_that_is_deleted_is_told_from_one_that_fails(account: Account) -> None:
    """In the same pull: the one is dropped, the other stays."""
    third = account.make("third")
    account.pull()
    assert {third, account.second} <= set(account.copy.objects)
    account.relayed.server.delete(third)
    account.second_answers(status(500))
    pulled = account.pull()
    assert third not in account.copy.objects
    assert account.second in account.copy.objects
    assert len(pulled.problems) == 1


def test_a_calendar_deleted_while_we_pull_is_gone(account: Account) -> None:
    """Listed first, 404 then, and no longer listed when asked again: dropped, and no problem."""

    def delete_it(exchange: Exchange) -> None:
        if exchange.path.startswith(account.second):
            with suppress(OSError):
                account.relayed.server.delete(account.second)

    account.relayed.meddle(lambda exchange: delete_it(exchange))
    pulled = account.pull()
    assert account.second not in account.copy.objects
    assert account.relayed.path in account.copy.objects
    assert pulled.problems == ()


def test_a_new_calendar_that_fails_is_not_shown_as_empty(account: Account) -> None:
    """Nothing is known of it, so it is a problem and no collection."""
    account.second_answers(status(403))
    account.copy = Copy()
    pulled = account.pull()
    assert account.second not in account.copy.objects
    assert len(pulled.problems) == 1


def test_where_all_fail_the_account_has_failed(account: Account) -> None:
    """The error of the first is raised: then the age of what is shown is told, too."""
    before = dict(account.copy.known)
    for code, error in ((403, SourceRefused), (503, SourceBusy)):
        account.relayed.meddle(
            lambda one, code=code: status(code) if one.path in before else None  # type: ignore[misc]
        )
        with pytest.raises(error):
            account.pull()
    assert account.copy.known == before


@pytest.mark.parametrize(
    ("behaviour", "most"),
    [(status(503), 3), (status(403), 99)],
    ids=["503", "403"],
)
def test_a_server_that_fails_again_and_again_is_left_alone(
    account: Account, behaviour: Behaviour, most: int
) -> None:
    """The first of seven and more is handed out; each of the others is named."""
    for number in range(5):
        account.make(f"more-{number}")
    _, *failing = [one.name for one in account.pull().collections]
    account.relayed.meddle(lambda exchange: behaviour if exchange.path in failing else None)
    pulled = account.pull()
    assert len(pulled.problems) == len(failing) >= 6
    assert set(failing) <= set(account.copy.objects)
    assert sum(path in failing for path in account.asked()) == min(most, len(failing))


def test_a_new_calendar_comes_and_the_others_are_asked_by_their_tokens(account: Account) -> None:
    """It is listed with a name, and nothing of the others is fetched again."""
    third = account.make("third")
    pulled = account.pull()
    assert [b"Of third" in one for one in changed(pulled)] == [True]
    assert pulled.problems == ()
    kinds = {(one.path, kind(one.method, one.body)) for one in account.relayed.web.seen}
    assert (third, "list") in kinds
    assert (account.second, "sync") in kinds
    assert not {(account.second, "list"), (account.second, "multiget")} & kinds


def test_a_calendar_that_is_renamed_keeps_its_objects(account: Account) -> None:
    """The name that people read is another (RFC 4918, section 15.2): nothing else has changed."""
    had = dict(account.copy.objects)
    account.relayed.server.send(
        "PROPPATCH",
        account.second,
        b'<D:propertyupdate xmlns:D="DAV:"><D:set><D:prop><D:displayname>Swimming</D:displayname>'
        b"</D:prop></D:set></D:propertyupdate>",
        "application/xml",
    )
    pulled = account.pull()
    titles = {one.name: one.title for one in pulled.collections}
    assert (titles[account.second], titles[account.relayed.path]) == ("Swimming", "First")
    assert not pulled.moved
    assert account.copy.objects == had


@pytest.mark.parametrize("asked", ["sync", "list", "multiget"])
@pytest.mark.parametrize("account", ["radicale"], indirect=True)
def test_an_object_that_the_server_has_no_room_for_now_is_neither_gone_nor_lost(
    account: Account, asked: str
) -> None:
    """507 for one response of a 207 (RFC 4918, section 13): the others count, and so does it later.

    In an answer by token the whole list is asked for; in a multiget the object by itself.
    """
    path = f"{account.relayed.path}piano.ics".encode()
    account.relayed.put("piano", "Lesson piano moved")
    account.relayed.put("chess", "Lesson chess moved")

    def full(exchange: Exchange, real: Answer) -> Answer:
        code, headers, body = real
        if kind(exchange.method, exchange.body) == asked:
            for part in re.findall(rb"<response>.*?</response>", body, re.DOTALL):
                if path in part:
                    told = b"<response><href>" + path + b"</href><status>HTTP/1.1 507 Full</status>"
                    body = body.replace(part, told + b"</response>")
        return code, headers, body

    refused = status(403)
    by_list = asked == "list"
    account.relayed.meddle(
        lambda one: refused if by_list and kind(one.method, one.body) == "sync" else None, full
    )
    pulled = account.pull()
    assert gone(pulled) == []
    assert len(account.copy.objects[account.relayed.path]) == 2
    assert len(changed(pulled)) == (1 if by_list else 2)
    assert len(pulled.problems) == (1 if by_list else 0)
    account.relayed.meddle()
    account.pull()
    assert all(b"moved" in one for one in account.copy.objects[account.relayed.path].values())
