"""Open pages that are told of a rebuild."""

from __future__ import annotations

import json
import socket
from contextlib import ExitStack
from pathlib import Path

from tests.serve.serving import LINES, MARK, Served, serving, wait_until

MOST = 64


class Listener:
    """An open page."""

    def __init__(self, served: Served, cookie: bytes = b"") -> None:
        self.socket = socket.create_connection(("127.0.0.1", served.port), timeout=10)
        line = b"Cookie: " + cookie + b"\r\n" if cookie else b""
        self.socket.sendall(
            b"GET /changes HTTP/1.1\r\nHost: " + served.host + b"\r\n" + line
            + b"Accept: text/event-stream\r\n\r\n"
        )  # fmt: skip
        self.got = b""

    def __enter__(self) -> Listener:
        return self

    def __exit__(self, *error: object) -> None:
        self.socket.close()

    def until(self, word: bytes) -> None:
        """Read until it is there, or the stream ends."""
        while word not in self.got:
            piece = self.socket.recv(65536)
            if not piece:
                raise EOFError(self.got)
            self.got += piece

    def ends(self) -> bool:
        """Whether the stream comes to its end: the last chunk (RFC 9112 section 7.1), or all."""
        try:
            while not self.got.endswith(b"\r\n0\r\n\r\n"):
                piece = self.socket.recv(65536)
                if not piece:
                    return True
                self.got += piece
        except TimeoutError:
            return False
        except ConnectionError:
            return True
        return True


def post_mark(served: Served, value: int) -> None:
    """Mark something, whereupon a page is built."""
    body = (MARK % b"water").replace(b'"6"', b'"%d"' % value)
    answer = served.browser().post(f"{served.address}/marks", data=body, headers=LINES)
    assert answer.json()["new"] == 1


def test_an_open_page_hears_which_pages_were_built(served: Served) -> None:
    """As Server-Sent Events (HTML, section 9.2), never kept."""
    with Listener(served) as page:
        page.until(b"retry: 5000\n\n")
        assert b"text/event-stream" in page.got
        assert b"no-store" in page.got
        post_mark(served, 1)
        page.until(b'event: built\ndata: {"pages": ["2027-W12.html"]}\n\n')


def test_as_many_pages_as_there_is_room_for_hear_it_and_one_more_is_told_to_wait(
    served: Served,
) -> None:
    """64; when one goes, another can come."""
    with ExitStack() as held:
        pages = [held.enter_context(Listener(served)) for _ in range(MOST)]
        for page in pages:
            page.until(b"retry: 5000\n\n")
        answer = served.get(b"/changes")
        assert answer.status == 503
        assert json.loads(answer.body)["text"] == "Too many pages are open."
        post_mark(served, 2)
        for page in pages:
            page.until(b"event: built\n")
        pages[0].socket.close()

        def room_again() -> bool:
            with Listener(served) as another:
                another.until(b"\r\n\r\n")
                return another.got.startswith(b"HTTP/1.1 200")

        wait_until(room_again)


def test_asking_for_the_head_alone_holds_no_room(served: Served) -> None:
    """It ends at once."""
    for _ in range(MOST + 1):
        assert served.get(b"/changes", method=b"HEAD").status == 200


def test_a_revoked_device_hears_nothing_more(guarded: Served) -> None:
    """Its stream ends with the next news, and the news is not in it."""
    device = guarded.signed_in("bedroom")
    cookie = f"weeksync-a1b2c3d4e5f6={device.cookie('weeksync-a1b2c3d4e5f6')}".encode()
    kitchen = guarded.signed_in("kitchen")
    with Listener(guarded, cookie) as page:
        page.until(b"retry: 5000\n\n")
        guarded.access.revoke("bedroom")
        kitchen.post(f"{guarded.address}/marks", data=MARK % b"water", headers=LINES)
        assert page.ends()
        assert b"built" not in page.got


def test_stopping_sends_open_pages_away(tmp_path: Path) -> None:
    """Without waiting for them."""
    with serving(tmp_path) as served, Listener(served) as page:
        page.until(b"retry: 5000\n\n")
        status, said = served.stop()
        assert (status, said) == (0, "ended\n")
        assert page.ends()
