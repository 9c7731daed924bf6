"""Every way a web server can fail: which error, how soon, and no secret in any of it."""

from __future__ import annotations

import gzip
import logging
import threading
import time
import traceback
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from tests.fetch.kit import PIANO, Copy, plain, source
from tests.support.feeds import (
    Behaviour,
    WebServer,
    answer,
    basic,
    bomb,
    broken_gzip,
    cut,
    cut_silently,
    drip,
    drip_head,
    endless,
    feed,
    hang,
    one_after_the_other,
    redirect,
    reset,
    status,
)
from weeksync.errors import (
    SourceBusy,
    SourceError,
    SourceMissing,
    SourceRefused,
    SourceUnreachable,
    SourceUnusable,
)
from weeksync.model.limits import PullLimits

SECRETS = ("fir-cone-7", "private-7f3a", "key-9b2c", "aW5lczpmaXItY29uZS03")
"""The password, the secret in the path, the one in the query, and user:password in base64."""
PATH = "/private-7f3a/home.ics"
LIMITS = PullLimits(timeout_seconds=20.0, budget_seconds=60.0, max_bytes=300_000)
"""Room enough for a busy machine: what ends by itself does not end by these."""
SHORT = PullLimits(timeout_seconds=0.6, budget_seconds=60.0, max_bytes=300_000)
SOON = 12.0
"""Seconds in which every fault has ended, on a busy machine too; most take a few milliseconds."""

HTML = b"<!DOCTYPE html>\n<html><body>Please sign in: private-7f3a</body></html>"


@dataclass(frozen=True)
class Case:
    """A behaviour, the error it must give, and the limits under which it is met."""

    behaviour: Behaviour
    error: type[SourceError]
    limits: PullLimits


def _case(
    name: str, behaviour: Behaviour, error: type[SourceError], limits: PullLimits = LIMITS
) -> object:
    return pytest.param(Case(behaviour, error, limits), id=name)


FAULTS = [
    _case("401", basic("ines", "another", feed(PIANO)), SourceRefused),
    _case("401 without a challenge", status(401), SourceRefused),
    _case("403", status(403), SourceRefused),
    _case("404", status(404), SourceMissing),
    _case("410", status(410), SourceMissing),
    _case("418", status(418), SourceUnusable),
    _case("429", status(429), SourceBusy),
    _case("500", status(500), SourceBusy),
    _case("503", status(503), SourceBusy),
    _case("507", status(507), SourceBusy),
    _case("204", status(204), SourceUnusable),
    _case("206", answer(PIANO, 206), SourceUnusable),
    _case("empty", answer(b""), SourceUnusable),
    _case("blank", answer(b"\xef\xbb\xbf\r\n \r\n"), SourceUnusable),
    _case("HTML", answer(HTML, Content_Type="text/calendar"), SourceUnusable),
    _case("no calendar", answer(b"HELLO:WORLD\r\n"), SourceUnusable),
    _case("gzip without saying so", answer(gzip.compress(PIANO)), SourceUnusable),
    _case("cut", cut(PIANO, 200), SourceUnusable),
    _case("cut without a sign", cut_silently(PIANO, 200), SourceUnusable),
    _case("half a gzip", broken_gzip(PIANO, 0.5), SourceUnusable),
    _case("no gzip", broken_gzip(PIANO), SourceUnusable),
    _case("unknown packing", answer(PIANO, Content_Encoding="br"), SourceUnusable),
    _case("bomb", bomb(20), SourceUnusable),
    _case("bomb in a bomb", bomb(5, layers=2), SourceUnusable),
    _case("endless", endless, SourceUnusable),
    _case("hang", hang, SourceUnreachable, SHORT),
    _case("drip", drip(PIANO, 0.05), SourceUnreachable, SHORT),
    _case("headers without end", drip_head(0.05), SourceUnreachable, SHORT),
    _case("reset", reset, SourceUnreachable),
    _case("redirects without end", redirect(PATH), SourceUnreachable),
    _case("redirect to a file", redirect("file:///private-7f3a"), SourceUnreachable),
    _case("redirect to nobody", redirect("http://127.0.0.1:9/private-7f3a"), SourceUnreachable),
    _case(
        "digest nobody knows",
        status(401, WWW_Authenticate='Digest realm="private-7f3a", nonce="1", algorithm=X-7'),
        SourceUnreachable,
    ),
    _case("digest with nothing in it", status(401, WWW_Authenticate="Digest"), SourceUnreachable),
]


def everything(error: BaseException) -> str:
    """All text that an error and its whole chain can show, with the values of their fields."""
    texts, waiting, seen = [], [error], set()
    while waiting:
        one = waiting.pop()
        if id(one) in seen:
            continue
        seen.add(id(one))
        texts += [str(one), repr(one), repr(one.args), repr(vars(one))]
        waiting += [other for other in (one.__cause__, one.__context__) if other is not None]
    texts += traceback.format_exception(error)
    return "\n".join(texts)


@pytest.mark.parametrize("case", FAULTS)
def test_a_fault_ends_soon_in_its_error_and_gives_nothing_away(
    web: WebServer, case: Case, caplog: pytest.LogCaptureFixture, capfd: pytest.CaptureFixture[str]
) -> None:
    """The kind of error, its time, its sentence; and no secret in message, chain, repr or log."""
    web[PATH] = case.behaviour
    caplog.set_level(logging.DEBUG)
    for name in ("niquests", "urllib3", "urllib3_future", "urllib3_future.connectionpool"):
        caplog.set_level(logging.DEBUG, logger=name)
    reader = source(url=f"{web.url}{PATH}?key=key-9b2c", user="ines", password="fir-cone-7")
    begun = time.monotonic()
    with pytest.raises(SourceError) as caught:
        reader.pull({}, case.limits)
    assert time.monotonic() - begun < SOON
    assert type(caught.value) is case.error
    assert caught.value.source == "family"
    assert "127.0.0.1" in str(caught.value), "the sentence names the place"
    output = capfd.readouterr()
    shown = everything(caught.value) + caplog.text + output.out + output.err + repr(reader)
    for secret in SECRETS:
        assert secret not in shown


def test_a_good_pull_logs_no_secret_either(
    web: WebServer, caplog: pytest.LogCaptureFixture
) -> None:
    """Not even the libraries at their most talkative."""
    web[PATH] = basic("ines", "fir-cone-7", feed(PIANO))
    caplog.set_level(logging.DEBUG)
    reader = source(url=f"{web.url}{PATH}?key=key-9b2c", user="ines", password="fir-cone-7")
    assert reader.pull({}, LIMITS).moved
    assert not any(secret in caplog.text for secret in SECRETS)
    assert "Piano" not in caplog.text


@pytest.mark.parametrize("passing", [status(429), status(500), status(503), reset])
def test_what_passes_is_waited_for(web: WebServer, passing: Behaviour) -> None:
    """Two failures and then the calendar: the pull succeeds, with pauses between."""
    web[PATH] = one_after_the_other(passing, passing, feed(PIANO))
    begun = time.monotonic()
    copy = Copy()
    copy.pull(source(url=web.url + PATH), LIMITS)
    assert copy.contents() == {plain(PIANO)}
    assert time.monotonic() - begun >= 1.4  # 0.5 and 1.0 seconds, without the requests


def test_what_does_not_pass_is_asked_three_times(web: WebServer) -> None:
    """And no more: the next run asks again."""
    web[PATH] = status(503)
    with pytest.raises(SourceBusy):
        source(url=web.url + PATH).pull({}, LIMITS)
    assert len(web.at(PATH)) == 3


def test_what_will_not_pass_is_asked_once(web: WebServer) -> None:
    """A 404 stays one; asking again would only be a burden."""
    web[PATH] = status(404)
    with pytest.raises(SourceMissing):
        source(url=web.url + PATH).pull({}, LIMITS)
    assert len(web.at(PATH)) == 1


def test_a_pause_that_the_server_asks_for_is_kept(web: WebServer) -> None:
    """Retry-After in seconds, longer than ours would be."""
    web[PATH] = one_after_the_other(status(429, Retry_After="1"), feed(PIANO))
    begun = time.monotonic()
    assert source(url=web.url + PATH).pull({}, LIMITS).moved
    assert time.monotonic() - begun >= 1.0


@pytest.mark.parametrize(
    ("value", "seconds"),
    [
        ("172800", 172_800.0),
        ("99999999999999999999", 1e9),
        ("Mon, 22 Mar 2027 12:00:00 GMT", 7_200.0),
        ("Mon, 22 Mar 2027 09:00:00 GMT", 0.0),
        ("soon", None),
        ("-5", None),
    ],
)
def test_a_long_pause_is_left_to_the_next_run(
    web: WebServer, value: str, seconds: float | None
) -> None:
    """Two days are not waited for; the error says how long, by the server's own clock."""

    def behave(exchange: object) -> None:
        from tests.support.feeds import Exchange

        assert isinstance(exchange, Exchange)
        exchange.write(
            b"HTTP/1.1 503 Busy\r\nDate: Mon, 22 Mar 2027 10:00:00 GMT\r\nContent-Length: 0\r\n"
            + f"Retry-After: {value}\r\n\r\n".encode()
        )

    web[PATH] = behave
    with pytest.raises(SourceBusy) as caught:
        source(url=web.url + PATH).pull({}, LIMITS)
    assert caught.value.retry_after == seconds
    assert len(web.at(PATH)) == (1 if seconds and seconds > 30 else 3)


def test_pauses_stay_within_the_budget(web: WebServer) -> None:
    """A pause after which no time would be left is not begun."""
    web[PATH] = status(503, Retry_After="20")
    begun = time.monotonic()
    with pytest.raises(SourceBusy):
        source(url=web.url + PATH).pull({}, PullLimits(10.0, 19.0))
    assert time.monotonic() - begun < SOON


def test_the_budget_holds_over_all_answers(web: WebServer) -> None:
    """Each answer in time, and all together not: the source is given up."""

    def slow(exchange: object) -> None:
        from tests.support.feeds import Exchange

        assert isinstance(exchange, Exchange)
        time.sleep(0.3)
        exchange.answer(302, b"", {"Location": f"{PATH}?{len(web.seen)}"})

    web[PATH] = slow
    begun = time.monotonic()
    with pytest.raises(SourceUnreachable, match="budget_seconds"):
        source(url=web.url + PATH).pull({}, PullLimits(5.0, 0.7))
    assert time.monotonic() - begun < SOON


def test_nothing_stays_behind_after_a_deadline(web: WebServer) -> None:
    """The thread of an exchange that was cut ends with it, and so does its connection."""

    def waiting() -> list[threading.Thread]:
        return [one for one in threading.enumerate() if one.name == "weeksync exchange"]

    behaviours: tuple[Behaviour, ...] = (hang, drip(PIANO, 0.05), drip_head(0.05), endless)
    for behaviour in behaviours:
        web[PATH] = behaviour
        with pytest.raises(SourceError):
            source(url=web.url + PATH).pull({}, SHORT)
        end = time.monotonic() + SOON
        while waiting() and time.monotonic() < end:
            time.sleep(0.01)
        assert waiting() == []


def test_a_host_that_does_not_exist_is_missing() -> None:
    """`.invalid` is reserved for that (RFC 6761); a machine without a network is told apart."""
    with pytest.raises((SourceMissing, SourceUnreachable), match=r"home\.invalid"):
        source(url="http://home.invalid/home.ics").pull({}, PullLimits(5.0, 5.0))


def test_nobody_at_the_port_is_said_at_once(web: WebServer) -> None:
    """A refused connection is not asked again: the server is not running."""
    from tests.support.servers import free_port

    begun = time.monotonic()
    with pytest.raises(SourceUnreachable, match="nothing answers"):
        source(url=f"http://127.0.0.1:{free_port()}/home.ics").pull({}, LIMITS)
    assert time.monotonic() - begun < SOON


def test_a_large_answer_within_the_cap_is_taken_whole(web: WebServer) -> None:
    """To the byte: at the cap it is taken, one byte over it is not."""
    filler: Callable[[int], bytes] = lambda size: PIANO + b" " * (size - len(PIANO))  # noqa: E731
    web[PATH] = feed(filler(300_000), packed=True)
    assert source(url=web.url + PATH).pull({}, LIMITS).moved
    web[PATH] = feed(filler(300_001), packed=True)
    with pytest.raises(SourceUnusable, match="max_megabytes"):
        source(url=web.url + PATH).pull({}, LIMITS)
