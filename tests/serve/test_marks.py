"""Marks and check-ins that arrive: from our own pages, from a folder, and from others."""

from __future__ import annotations

import contextlib
import json
import socket
from pathlib import Path

import pytest

from tests.serve.serving import LINES, MARK, Served, serving
from weeksync.serve.marks import MOST_BYTES, MOST_LINES


def mark(number: int, name: str = "water") -> bytes:
    """A mark like no other."""
    return (MARK % name.encode()).replace(b'"6"', b'"%d"' % number)


def test_a_page_of_ours_hands_over_marks(served: Served) -> None:
    """Which are new, which were there, which were refused and where."""
    body = mark(1) + mark(2) + mark(3, "nothing") + mark(1)
    answer = served.browser().post(f"{served.address}/marks", data=body, headers=LINES)
    assert answer.status_code == 200
    assert answer.json() == {
        "new": 2,
        "known": 1,
        "refused": [{"place": 2, "text": "There is no nothing.", "remedy": ""}],
        "pages": ["2027-W12.html"],
        "notices": [],
    }
    assert [one["value"] for one in served.taken()][-2:] == ["1", "2"]


def test_the_same_marks_twice_count_once(served: Served) -> None:
    """As when an answer was lost on its way."""
    first, second = (
        served.browser().post(f"{served.address}/marks", data=mark(20), headers=LINES).json()
        for _ in range(2)
    )
    assert (first["new"], first["known"]) == (1, 0)
    assert (second["new"], second["known"]) == (0, 1)


def test_what_is_only_for_somebody_is_unknown_to_others(served: Served) -> None:
    """Word for word the answer for an id that nobody knows."""
    post = served.browser().post
    hidden = post(f"{served.address}/marks", data=mark(30, "diary"), headers=LINES).json()
    unknown = post(f"{served.address}/marks", data=mark(30, "xxxxx"), headers=LINES).json()
    hidden["refused"][0]["text"] = hidden["refused"][0]["text"].replace("diary", "xxxxx")
    assert hidden == unknown


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "", "a/b"])
def test_marks_have_a_type_that_no_form_can_send(served: Served, kind: str) -> None:
    """415 for whatever another site could send without asking first."""
    headers = {"Content-Type": kind}
    answer = served.browser().post(f"{served.address}/marks", data=mark(40), headers=headers)
    assert answer.status_code == 415
    assert answer.json()["text"]


def test_what_is_no_marks_is_refused_with_a_word(served: Served) -> None:
    """400, and nothing is written."""
    before = served.taken()
    for body in (b"<html>", b"\xff", b"[1]\n", b"{}\n"):
        answer = served.browser().post(f"{served.address}/marks", data=body, headers=LINES)
        assert (answer.status_code, answer.json()["text"]) == (400, "The body is no marks.")
    assert served.taken() == before


def test_too_many_marks_at_once_are_refused(served: Served) -> None:
    """One more than 2000; 2000 are taken."""
    post = served.browser().post
    lines = b"".join(mark(100_000 + number) for number in range(MOST_LINES + 1))
    assert len(lines) > MOST_BYTES, "the bytes would do it already"
    short = b'{"id":"piano","n":%d}\n'
    many = b"".join(short % number for number in range(MOST_LINES + 1))
    assert len(many) < MOST_BYTES
    answer = post(f"{served.address}/marks", data=many, headers=LINES)
    assert answer.status_code == 413
    assert "2000" in answer.json()["text"]
    fitting = b"".join(short % number for number in range(MOST_LINES))
    answer = post(f"{served.address}/marks", data=fitting, headers=LINES)
    assert answer.json()["new"] == MOST_LINES


def test_a_body_that_is_too_large_is_refused_by_its_length(served: Served) -> None:
    """Before a byte of it was read."""
    head = (
        b"POST /marks HTTP/1.1\r\nHost: " + served.host + b"\r\nOrigin: " + served.address.encode()
        + b"\r\nSec-Fetch-Site: same-origin\r\nContent-Type: application/json\r\n"
    )  # fmt: skip
    answer = served.raw(head + b"Content-Length: 999999999999\r\n\r\n")
    assert answer.status == 413
    for length in (b"-1", b"1e3", b"+5", b"5, 6", b"99999999999999999999999999"):
        answer = served.raw(head + b"Content-Length: " + length + b"\r\n\r\n")
        assert answer.status in {400, 413}, length


def test_a_body_that_is_too_large_is_refused_while_it_comes(served: Served) -> None:
    """In chunks, with no length said; nothing of it is written."""
    before = served.taken()
    head = (
        b"POST /marks HTTP/1.1\r\nHost: " + served.host + b"\r\nOrigin: " + served.address.encode()
        + b"\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
    )  # fmt: skip
    chunk = b"8000\r\n" + b"x" * 0x8000 + b"\r\n"
    answer = served.raw(head + chunk * (MOST_BYTES // 0x8000 + 1))
    assert answer.status == 413
    assert served.taken() == before


def test_a_body_without_end_is_cut_off(served: Served) -> None:
    """Also where it was refused already and is only read away."""
    head = (
        b"POST /marks HTTP/1.1\r\nHost: " + served.host + b"\r\nOrigin: http://evil.example"
        b"\r\nTransfer-Encoding: chunked\r\n\r\n"
    )
    chunk = b"8000\r\n" + b"x" * 0x8000 + b"\r\n"
    with socket.create_connection(("127.0.0.1", served.port), timeout=10) as connection:
        connection.sendall(head)
        sent = 0
        with contextlib.suppress(ConnectionError):
            while sent < 64 * 1024 * 1024:
                connection.sendall(chunk)
                sent += len(chunk)
        assert sent < 16 * 1024 * 1024, "most of it lies between here and there"


def test_lengths_of_two_kinds_are_refused(served: Served) -> None:
    """What a proxy and we might read differently (RFC 9112 section 6.3)."""
    both = (
        b"POST /marks HTTP/1.1\r\nHost: " + served.host + b"\r\nContent-Length: 4\r\n"
        b"Transfer-Encoding: chunked\r\n\r\n0\r\n\r\nGET / HTTP/1.1\r\n\r\n"
    )
    assert served.raw(both).status == 400
    for line in (b"Transfer-Encoding: xchunked", b"Content-Length: 1\r\nContent-Length: 2"):
        head = b"POST /marks HTTP/1.1\r\nHost: " + served.host + b"\r\n" + line + b"\r\n\r\n"
        assert served.raw(head).status in {400, 501}


def test_a_disk_that_is_full_keeps_the_marks_with_the_client(tmp_path: Path) -> None:
    """503 with a word and when to come back; here a folder is where the file should be."""
    with serving(tmp_path) as served:
        (tmp_path / "marks" / "taken.jsonl").mkdir()
        answer = served.browser().post(f"{served.address}/marks", data=mark(1), headers=LINES)
        assert answer.status_code == 503
        assert answer.headers["Retry-After"]
        assert "could not be written" in answer.json()["text"]


# Pages that were opened from a folder


def test_a_page_from_a_folder_needs_a_token(guarded: Served) -> None:
    """Its origin is `null`, like that of many others."""
    folder_page = guarded.browser(Origin="null", Sec_Fetch_Site="cross-site")
    answer = folder_page.post(f"{guarded.address}/marks", data=mark(1), headers=LINES)
    assert answer.status_code == 401
    assert answer.headers["Access-Control-Allow-Origin"] == "null", "so that it can read why"
    assert "Pair" in answer.json()["text"]


def test_a_paired_page_hands_over_marks_from_wherever_it_was_opened(guarded: Served) -> None:
    """The token is what counts, and the origin may read the answer."""
    token = guarded.paired()
    for origin in ("null", "https://pages.example"):
        page = guarded.browser(Origin=origin, Sec_Fetch_Site="cross-site")
        answer = page.post(
            f"{guarded.address}/marks",
            data=mark(50) + mark(51, "diary"),
            headers={**LINES, "Authorization": f"Bearer {token}"},
        )
        assert answer.status_code == 200
        assert [one["place"] for one in answer.json()["refused"]] == [1]
        assert answer.headers["Access-Control-Allow-Origin"] == origin
        assert "Access-Control-Allow-Credentials" not in answer.headers
        assert answer.headers["Vary"] == "Origin"


def test_a_page_paired_for_a_person_marks_what_is_only_for_that_person(guarded: Served) -> None:
    """And one that was paired for another does not."""
    page = guarded.browser(Origin="null")
    for person, refused in (("ines", 0), ("dov", 1)):
        token = guarded.paired(f"of {person}", person)
        answer = page.post(
            f"{guarded.address}/marks",
            data=mark(60, "diary"),
            headers={**LINES, "Authorization": f"bearer {token}"},
        )
        assert len(answer.json()["refused"]) == refused


def test_a_token_of_the_wrong_kind_or_of_nobody_is_refused(guarded: Served) -> None:
    """Missing, invented, empty, of another scheme, of a signed-in device."""
    device = guarded.signed_in("bathroom")
    cookie = device.cookie("weeksync-a1b2c3d4e5f6")
    assert cookie
    page = guarded.browser(Origin="null")
    for header in ("Bearer", "Bearer x", "Basic eDp4", "x", f"Bearer {cookie}", "x" * 5000):
        answer = page.post(
            f"{guarded.address}/marks",
            data=mark(70),
            headers={**LINES, "Authorization": header},
        )
        assert answer.status_code == 401, header
        assert answer.headers["Www-Authenticate"].startswith("Bearer")


def test_a_token_in_a_cookie_or_an_address_counts_for_nothing(guarded: Served) -> None:
    """It opens no page either."""
    token = guarded.paired("another folder page")
    name = b"weeksync-a1b2c3d4e5f6"
    cookie = b"Cookie: " + name + b"=" + token.encode()
    assert guarded.get(b"/2027-W12.html", cookie).status == 303
    assert guarded.get(b"/status.js", b"Authorization: Bearer " + token.encode()).status == 401
    page = guarded.browser()
    answer = page.post(f"{guarded.address}/marks?token={token}", data=mark(71), headers=LINES)
    assert answer.status_code == 401


def test_a_revoked_token_is_refused_at_once(guarded: Served) -> None:
    """Revoked by another process, as `weeksync devices --revoke` is one."""
    token = guarded.paired("lost")
    headers = {**LINES, "Authorization": f"Bearer {token}"}
    page = guarded.browser(Origin="null")
    assert page.post(f"{guarded.address}/marks", data=mark(80), headers=headers).status_code == 200
    assert guarded.access.revoke("lost")
    answer = page.post(f"{guarded.address}/marks", data=mark(81), headers=headers)
    assert answer.status_code == 401


def test_a_preflight_says_what_is_allowed_and_no_more(guarded: Served) -> None:
    """Fetch, section 3.3; and from a public page to a private network, where it is asked for."""
    for path in (b"/marks", b"/pairings"):
        answer = guarded.get(
            path,
            b"Origin: null",
            b"Access-Control-Request-Method: POST",
            b"Access-Control-Request-Private-Network: true",
            method=b"OPTIONS",
        )
        assert answer.status == 204
        assert answer.headers["access-control-allow-origin"] == "null"
        assert answer.headers["access-control-allow-methods"] == "post"
        assert answer.headers["access-control-allow-headers"] == "content-type, authorization"
        assert answer.headers["access-control-allow-private-network"] == "true"
        assert "access-control-allow-credentials" not in answer.headers
    for path in (b"/check-ins", b"/own/", b"/sign-in", b"/status.js", b"/changes"):
        answer = guarded.get(path, b"Origin: null", method=b"OPTIONS")
        assert not any(name.startswith("access-control") for name in answer.headers), path


def test_no_header_can_be_smuggled_into_an_answer(served: Served) -> None:
    """What is echoed, the Origin, holds no line break; nor does a redirect follow one."""
    for attack in (
        b"null\r\n\tSet-Cookie: a=b",
        b"null\nSet-Cookie: a=b",
        b"a\x00b",
        b"null\rX: y",
    ):
        answer = served.get(b"/marks", b"Origin: " + attack, method=b"OPTIONS")
        assert "set-cookie" not in answer.headers
    answer = served.get(b"/own/x.html%0d%0aSet-Cookie:%20a=b")
    assert "set-cookie" not in answer.headers


# Check-ins


def test_a_check_in_needs_an_unlocked_person(served: Served) -> None:
    """403 with a word, for the page to show."""
    answer = served.browser().post(f"{served.address}/check-ins", json={"day": "2027-03-24"})
    assert answer.status_code == 403
    assert "locked" in answer.json()["text"]


def test_a_check_in_is_saved_and_a_changed_one_loses_nothing(tmp_path: Path) -> None:
    """Two tablets at once: the second gets what stands there, and the file stays."""
    with serving(tmp_path) as served:
        served.access.set_pin("ines", "2468")
        browser = served.browser()
        browser.post(f"{served.address}/own/unlock", data={"person": "ines", "pin": "2468"})
        given = {"day": "2027-03-24", "feeling": "rested", "energy": 4, "why": None, "seen": ""}
        first = browser.post(f"{served.address}/check-ins", json=given)
        assert first.status_code == 200
        second = browser.post(f"{served.address}/check-ins", json={**given, "feeling": "tired"})
        assert second.status_code == 409
        assert second.json()["held"]["feeling"] == "rested"
        assert second.json()["held"]["seen"] == first.json()["seen"]
        given["seen"] = first.json()["seen"]
        assert browser.post(f"{served.address}/check-ins", json=given).json()["saved"] is True
        as_json = {"Content-Type": "application/json"}
        for wrong in (
            '{"x": 1}',
            '{"day": {"a": 1}}',
            '{"day": "2027"}',
            '{"seen": 1}',
            "[]",
            '"text"',
            "null",
            "",
            "[" * 20_000,
        ):
            answer = browser.post(f"{served.address}/check-ins", data=wrong, headers=as_json)
            assert answer.status_code == 400, wrong
            assert answer.json()["text"]
        huge = json.dumps({"day": "2027-03-24", "why": "x" * 40_000})
        answer = browser.post(f"{served.address}/check-ins", data=huge, headers=as_json)
        assert answer.status_code == 413
