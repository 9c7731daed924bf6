"""Clients that take their time, and too many of them: each is cut off, the others are served."""

from __future__ import annotations

import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack, suppress
from pathlib import Path

import pytest

from tests.serve.serving import Served, answer_from, serving, wait_until

HEAD, BODY, ANSWER, IDLE, CONNECTIONS = 1.5, 2.0, 2.0, 1, 12
LARGE = 24 * 1024 * 1024
ROOM = 6.0
"""Seconds that a busy machine may take longer."""


@pytest.fixture(scope="module")
def hurried(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A serve with short times and room for few; the rules are those of the long ones."""
    folder = tmp_path_factory.mktemp("hurried")
    limits = {
        "head_seconds": HEAD,
        "body_seconds": BODY,
        "answer_seconds": ANSWER,
        "idle_seconds": IDLE,
        "connections": CONNECTIONS,
    }
    with serving(folder, limits=limits) as running:
        (folder / "output" / "site" / "large.txt").write_bytes(b"x" * LARGE)
        yield running


@pytest.fixture
def connection(hurried: Served) -> Iterator[socket.socket]:
    """A connection to it."""
    with socket.create_connection(("127.0.0.1", hurried.port), timeout=30) as found:
        yield found


def _until_closed(connection: socket.socket, drip: bytes = b"") -> float:
    """Seconds until the other side ends it, while `drip` is sent ten times a second."""
    start = time.monotonic()
    connection.settimeout(0.1)
    while time.monotonic() - start < 30:
        try:
            if drip:
                connection.sendall(drip)
            if not connection.recv(65536):
                break
        except TimeoutError:
            continue
        except ConnectionError:
            break
    return time.monotonic() - start


def test_a_connection_that_says_nothing_is_ended(connection: socket.socket) -> None:
    """uvicorn alone would keep it for ever."""
    assert HEAD - 0.2 < _until_closed(connection) < HEAD + ROOM


def test_a_head_that_comes_byte_by_byte_is_ended(
    connection: socket.socket, hurried: Served
) -> None:
    """However steadily it comes."""
    connection.sendall(b"GET / HTTP/1.1\r\nHost: " + hurried.host + b"\r\nX: ")
    assert HEAD - 0.2 < _until_closed(connection, b"a") < HEAD + ROOM


def test_the_next_head_on_a_connection_has_no_more_time(
    connection: socket.socket, hurried: Served
) -> None:
    """The first byte ends the wait between two requests, and begins the time for the head."""
    connection.sendall(b"GET /style.css HTTP/1.1\r\nHost: " + hurried.host + b"\r\n\r\n")
    assert answer_from(connection).status == 200
    assert _until_closed(connection, b"G") < HEAD + ROOM


def test_a_body_that_comes_byte_by_byte_is_ended(
    connection: socket.socket, hurried: Served
) -> None:
    """Where it is read, and where it was refused before."""
    for origin in (hurried.address.encode(), b"http://evil.example"):
        with socket.create_connection(("127.0.0.1", hurried.port), timeout=30) as slow:
            slow.sendall(
                b"POST /marks HTTP/1.1\r\nHost: " + hurried.host + b"\r\nOrigin: " + origin
                + b"\r\nContent-Type: application/json\r\nContent-Length: 100000\r\n\r\n"
            )  # fmt: skip
            assert BODY - 0.2 < _until_closed(slow, b" ") < BODY + ROOM


def test_an_answer_that_nobody_fetches_is_thrown_away(hurried: Served) -> None:
    """The connection is reset; 24 MB are more than the system keeps for it."""
    with socket.socket() as lazy:
        lazy.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        lazy.connect(("127.0.0.1", hurried.port))
        lazy.sendall(b"GET /large.txt HTTP/1.1\r\nHost: " + hurried.host + b"\r\n\r\n")
        time.sleep(ANSWER + 2)
        lazy.settimeout(30)
        fetched = 0
        try:
            while piece := lazy.recv(1 << 20):
                fetched += len(piece)
        except ConnectionError:
            pass
        assert fetched < LARGE


def test_an_answer_that_is_fetched_slowly_arrives(hurried: Served) -> None:
    """As long as it is fetched within its time."""
    with socket.create_connection(("127.0.0.1", hurried.port), timeout=30) as slow:
        slow.sendall(
            b"GET /large.txt HTTP/1.1\r\nHost: " + hurried.host + b"\r\nConnection: close\r\n\r\n"
        )
        time.sleep(0.5)
        fetched = 0
        while piece := slow.recv(1 << 20):
            fetched += len(piece)
        assert fetched > LARGE


def test_an_idle_connection_is_ended(connection: socket.socket, hurried: Served) -> None:
    """After it was used."""
    connection.sendall(b"GET /style.css HTTP/1.1\r\nHost: " + hurried.host + b"\r\n\r\n")
    assert answer_from(connection).status == 200
    assert _until_closed(connection) < IDLE + ROOM


def test_a_hundred_slow_ones_do_not_keep_a_page_from_being_served(hurried: Served) -> None:
    """They take all the room, are cut off after their time, and then it is there again."""
    with ExitStack() as held:
        refused = 0
        for _ in range(100):
            slow = held.enter_context(
                socket.create_connection(("127.0.0.1", hurried.port), timeout=30)
            )
            slow.sendall(b"GET / HTTP/1.1\r\nHost:")
            slow.setblocking(False)
            time.sleep(0.002)
            with suppress(BlockingIOError, ConnectionError):
                refused += slow.recv(4096).startswith(b"HTTP/1.1 503")

        def served() -> bool:
            try:
                return hurried.get(b"/2027-W12.html").status == 200
            except OSError:
                return False

        wait_until(served, HEAD + ROOM)
    assert refused > 0


def test_one_more_connection_than_there_is_room_for_is_told_so(hurried: Served) -> None:
    """503 at once, and when to come again."""

    def told() -> bool:
        with ExitStack() as held:
            for _ in range(CONNECTIONS):
                held.enter_context(socket.create_connection(("127.0.0.1", hurried.port)))
            with socket.create_connection(("127.0.0.1", hurried.port), timeout=5) as more:
                answer = answer_from(more)
        return answer.status == 503 and answer.headers["retry-after"] == "5"

    wait_until(told, 20)
    wait_until(lambda: hurried.get(b"/style.css").status == 200, HEAD + ROOM)


@pytest.mark.parametrize(
    ("request_line", "status"),
    [
        (b"GET /" + b"a" * 3000 + b" HTTP/1.1", 414),
        (b"GET / HTTP/1.1\r\nX: " + b"a" * 20_000, 431),
        (b"GET / HTTP/1.1\r\n" + b"X: a\r\n" * 4000 + b"Y: b", 431),
        (b"GET / HTTP/9.9", 505),
        (b"nonsense", 400),
        (b"GET / HTTP/1.1\r\n bad: folded", 400),
        (b"GET / HTTP/1.1\r\nbad header: x", 400),
        (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03", 400),
        (b"PRI * HTTP/2.0", 400),
    ],
    ids=["target", "one field", "many fields", "version", "words", "fold", "name", "tls", "http2"],
)
def test_a_head_that_is_too_large_or_none_is_refused(
    hurried: Served, request_line: bytes, status: int
) -> None:
    """With the status for it, or with 400 where the parser has enough of it first."""
    answer = hurried.raw(request_line + b"\r\nHost: " + hurried.host + b"\r\n\r\n")
    assert answer.status in {status, 400}, answer


def test_a_head_without_end_is_refused(hurried: Served) -> None:
    """It is not gathered up for ever."""
    with socket.create_connection(("127.0.0.1", hurried.port), timeout=10) as endless:
        endless.sendall(b"GET / HTTP/1.1\r\n")
        sent = 0
        try:
            while sent < 64 * 1024 * 1024:
                endless.sendall(b"X: " + b"a" * 60_000 + b"\r\n")
                sent += 60_000
        except ConnectionError:
            pass
        assert sent < 16 * 1024 * 1024, "most of it lies between here and there"


def test_after_all_that_it_still_serves(hurried: Served, tmp_path: Path) -> None:
    """And says nothing on its own."""
    assert hurried.get(b"/2027-W12.html").status == 200
