"""Devices that sign in, persons that unlock their own pages, and those who only try."""

from __future__ import annotations

import re
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.serve.serving import LINES, MARK, Browser, Served, serving
from tests.serve.standin import SECRET
from weeksync.serve.tries import MOST_OF_ALL, MOST_OF_ONE, WINDOW_SECONDS, Tries
from weeksync.serve.unlocked import Unlocked

PAGES, OWN = "weeksync-a1b2c3d4e5f6", "weeksync-own-a1b2c3d4e5f6"


@pytest.mark.parametrize(
    "path", ["", "index.html", "2027-W12.html", "own/", "own/check-in.html", "nothing.html"]
)
def test_without_a_sign_in_every_page_leads_to_it(guarded: Served, path: str) -> None:
    """Also one that is not there: nothing tells which are."""
    answer = guarded.get(f"/{path}".encode())
    assert (answer.status, answer.headers["location"]) == (303, "/sign-in")
    assert answer.body == b""


@pytest.mark.parametrize("path", ["status.js", "page.js", "changes", "own/status.js", "x.css"])
def test_without_a_sign_in_nothing_else_is_given_out(guarded: Served, path: str) -> None:
    """401; the style sheet and the icon of the sign-in page have nothing of the household."""
    answer = guarded.get(f"/{path}".encode())
    assert answer.status == 401
    assert b"lastGood" not in answer.body


@pytest.mark.parametrize("path", ["sign-in", "sign-in.js", "access.css", "style.css", "icon.svg"])
def test_what_the_sign_in_page_needs_is_open(guarded: Served, path: str) -> None:
    """Nothing more."""
    assert guarded.get(f"/{path}".encode()).status == 200


def test_a_code_signs_a_device_in_with_a_cookie_that_no_script_can_read(guarded: Served) -> None:
    """HttpOnly, SameSite=Strict, the whole site, no Domain; Secure only makes sense over TLS."""
    code = guarded.access.add("kitchen")
    answer = guarded.browser().post(
        f"{guarded.address}/sign-in", data={"code": code}, allow_redirects=False
    )
    assert (answer.status_code, answer.headers["Location"]) == (303, "/")
    cookies = [one for one in _set_cookies(answer.headers["Set-Cookie"]) if PAGES in one]
    (cookie,) = cookies
    flags = {one.strip().lower() for one in cookie.split(";")[1:]}
    assert {"httponly", "samesite=strict", "path=/"} <= flags
    assert not any(one.startswith("domain") or one == "secure" for one in flags)


def _set_cookies(header: str) -> list[str]:
    return re.split(r",\s*(?=weeksync|__Host)", header)


def test_a_signed_in_device_sees_the_pages_until_it_signs_out(guarded: Served) -> None:
    """Afterwards its cookie is worth nothing, kept or not."""
    device = guarded.signed_in()
    kept = device.cookie(PAGES)
    page = device.get(f"{guarded.address}/2027-W12.html")
    assert page.status_code == 200
    assert "Week 12" in page.text
    assert '"signedIn": true' in device.get(f"{guarded.address}/status.js").text
    left = device.post(f"{guarded.address}/sign-out", allow_redirects=False)
    assert (left.status_code, left.headers["Location"]) == (303, "/sign-in")
    cookie = b"Cookie: " + f"{PAGES}={kept}".encode()
    assert guarded.get(b"/2027-W12.html", cookie).status == 303


def test_a_revoked_device_is_out_with_its_next_request(guarded: Served) -> None:
    """Also for marks."""
    device = guarded.signed_in("stolen")
    assert device.get(f"{guarded.address}/2027-W12.html").status_code == 200
    guarded.access.revoke("stolen")
    assert device.get(f"{guarded.address}/2027-W12.html", allow_redirects=False).status_code == 303
    answer = device.post(f"{guarded.address}/marks", data=MARK % b"water", headers=LINES)
    assert answer.status_code == 401


def test_taking_the_last_device_away_opens_the_pages_to_nobody(folder: Path) -> None:
    """On a loopback that once had a device, none is as guarded as some."""
    with serving(folder) as running:
        assert running.get(b"/2027-W12.html").status == 200
        running.signed_in("kitchen")
        running.access.revoke("kitchen")
        assert running.access.devices() == ()
        assert running.get(b"/2027-W12.html").status == 303
        assert running.signed_in("hall").get(f"{running.address}/2027-W12.html").status_code == 200


def test_a_code_works_once(guarded: Served) -> None:
    """The second one who reads it over a shoulder comes too late."""
    code = guarded.access.add("kitchen")
    first, second = (
        guarded.browser().post(
            f"{guarded.address}/sign-in", data={"code": code}, allow_redirects=False
        )
        for _ in range(2)
    )
    assert first.status_code == 303
    assert second.status_code == 403
    assert "not known" in second.text
    assert "Set-Cookie" not in second.headers


def test_of_many_who_use_a_code_at_the_same_time_one_comes_in(guarded: Served) -> None:
    """The file is held while it is used up."""
    code, answers = guarded.access.add("raced"), []

    def come() -> None:
        answer = guarded.browser().post(
            f"{guarded.address}/sign-in", data={"code": code}, allow_redirects=False
        )
        answers.append(answer.status_code)

    all_of_them = [threading.Thread(target=come) for _ in range(8)]
    for one in all_of_them:
        one.start()
    for one in all_of_them:
        one.join(30)
    assert sorted(answers) == [303] + [403] * 7


def test_a_cookie_that_was_there_before_is_never_made_good(guarded: Served) -> None:
    """Session fixation: the attacker's value stays worthless, the device's is a new one."""
    planted = "planted-by-somebody-else"
    browser = guarded.browser()
    cookie = {"Cookie": f"{PAGES}={planted}; {OWN}={planted}"}
    code = guarded.access.add("kitchen")
    answer = browser.post(
        f"{guarded.address}/sign-in", data={"code": code}, headers=cookie, allow_redirects=False
    )
    assert answer.status_code == 303
    assert planted not in answer.headers["Set-Cookie"]
    assert guarded.get(b"/", b"Cookie: " + cookie["Cookie"].encode()).status == 303


def test_guessing_codes_is_slowed(tmp_path: Path) -> None:
    """After ten wrong ones even the right one is not looked at; pairing counts along."""
    with serving(tmp_path) as served:
        code = served.access.add("kitchen")
        browser = served.browser()
        for number in range(MOST_OF_ONE):
            wrong = {"code": f"AAAA-AAA{number}"}
            if number % 2:
                answer = browser.post(f"{served.address}/sign-in", data=wrong)
            else:
                answer = browser.post(f"{served.address}/pairings", json=wrong)
            assert answer.status_code == 403
        for answer in (
            browser.post(f"{served.address}/sign-in", data={"code": code}),
            browser.post(f"{served.address}/pairings", json={"code": code}),
        ):
            assert answer.status_code == 429
            assert 0 < int(answer.headers["Retry-After"]) <= WINDOW_SECONDS + 1


def test_the_count_of_guesses_knows_one_address_from_another() -> None:
    """And yet has an end for all of them together; after ten minutes it begins anew."""
    at = 0.0
    tries = Tries(lambda: at)
    for number in range(MOST_OF_ALL):
        tries.wrong(f"10.0.0.{number}")
    assert tries.wait("10.9.9.9") == WINDOW_SECONDS + 1
    at = WINDOW_SECONDS
    assert tries.wait("10.9.9.9") == 0
    for _ in range(MOST_OF_ONE):
        tries.wrong("10.0.0.1")
    assert tries.wait("10.0.0.1") > 0
    assert tries.wait("10.0.0.2") == 0


@pytest.mark.parametrize("code", [None, 5, [], {}, "", "x" * 101, "\ud800", "ÄÖÜ"])
def test_a_code_that_is_none_is_a_wrong_one(served: Served, code: object) -> None:
    """Whatever JSON can hold."""
    with_code = served.browser().post(f"{served.address}/pairings", json={"code": code})
    assert with_code.status_code in {403, 429}
    assert with_code.json()["text"]


@pytest.fixture(scope="module")
def household(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """With the PIN 2468 of Ines."""
    folder = tmp_path_factory.mktemp("pins")
    with serving(folder) as running:
        running.access.set_pin("ines", "2468")
        yield running


def test_a_page_of_ones_own_asks_for_the_pin(household: Served) -> None:
    """With the names of those who have one, and never under a status that somebody keeps."""
    answer = household.get(b"/own/2027-W12.html")
    assert answer.status == 403
    assert b"Ines" in answer.body
    assert b"Dov" not in answer.body
    assert SECRET.encode() not in answer.body
    assert answer.headers["cache-control"] == "no-store"


def test_the_pin_opens_the_page_that_was_wanted(household: Served) -> None:
    """With its day; the answer is kept nowhere and leaves the screen by itself."""
    browser = household.browser()
    page = browser.get(f"{household.address}/own/check-in.html?day=2027-03-24")
    wanted = re.search(r'name="next" value="([^"]*)"', page.text)
    assert wanted
    opened = browser.post(
        f"{household.address}/own/unlock",
        data={"person": "ines", "pin": "2468", "next": wanted[1]},
        allow_redirects=False,
    )
    assert opened.headers["Location"] == "/own/check-in.html?day=2027-03-24"
    cookie = opened.headers["Set-Cookie"].lower()
    assert OWN in cookie
    assert {"httponly", "samesite=strict", "path=/"} <= {one.strip() for one in cookie.split(";")}
    assert "max-age" not in cookie, "it ends with the browser"
    page = browser.get(f"{household.address}{opened.headers['Location']}")
    assert f"{SECRET} 2027-03-24" in page.text
    assert page.headers["Cache-Control"] == "no-store"
    assert "Refresh" not in page.headers, "what is being written stays"
    week = browser.get(f"{household.address}/own/2027-W12.html")
    assert week.headers["Refresh"] == "302; url=/"
    assert '"person": "ines"' in browser.get(f"{household.address}/status.js").text
    assert browser.get(f"{household.address}/own/style.css").status_code == 200


def test_an_unlocked_person_marks_what_is_only_for_them(household: Served) -> None:
    """As long as it is unlocked."""
    browser = _unlocked(household)
    lines = MARK % b"diary"
    taken = browser.post(f"{household.address}/marks", data=lines, headers=LINES).json()
    assert taken["refused"] == []
    browser.post(f"{household.address}/own/lock")
    taken = browser.post(f"{household.address}/marks", data=lines, headers=LINES).json()
    assert len(taken["refused"]) == 1


def test_marks_of_an_own_page_that_is_locked_wait_and_are_not_refused(household: Served) -> None:
    """Refused one by one they would look like marks for something that is not there."""
    browser = _unlocked(household)
    address, lines = f"{household.address}/marks?as=ines", MARK % b"diary"
    assert browser.post(address, data=lines, headers=LINES).json()["refused"] == []
    browser.post(f"{household.address}/own/lock")
    before = household.taken()
    for whose in ("ines", "dov", "nobody"):
        locked = browser.post(f"{household.address}/marks?as={whose}", data=lines, headers=LINES)
        assert locked.status_code == 403
        assert "locked" in locked.json()["text"]
    assert household.taken() == before


def _unlocked(household: Served) -> Browser:
    browser = household.browser()
    answer = browser.post(
        f"{household.address}/own/unlock",
        data={"person": "ines", "pin": "2468"},
        allow_redirects=False,
    )
    assert answer.status_code == 303, answer.text
    return browser


def test_locking_ends_it_for_a_kept_cookie_too(household: Served) -> None:
    """And so does a new PIN."""
    browser = _unlocked(household)
    kept = f"{OWN}={browser.cookie(OWN)}".encode()
    assert household.get(b"/own/", b"Cookie: " + kept).status == 200
    browser.post(f"{household.address}/own/lock")
    assert household.get(b"/own/", b"Cookie: " + kept).status == 403
    browser = _unlocked(household)
    household.access.set_pin("ines", "2468")
    assert browser.get(f"{household.address}/own/").status_code == 403


def test_unlocking_gives_a_new_cookie_each_time(household: Served) -> None:
    """The one of before, planted or not, is worth nothing."""
    browser = _unlocked(household)
    before = browser.cookie(OWN)
    browser.post(f"{household.address}/own/unlock", data={"person": "ines", "pin": "2468"})
    assert browser.cookie(OWN) != before
    assert household.get(b"/own/", f"Cookie: {OWN}={before}".encode()).status == 403


@pytest.mark.parametrize(
    "then",
    [
        "//evil.example",
        "https://evil.example",
        "/evil",
        "../sign-out",
        "x.html\r\nSet-Cookie: a=b",
        "2027-W12.html?next=//evil",
        "javascript:alert(1)",
        "\\\\evil.example",
        "",
        '"><script>',
    ],
)
def test_unlocking_leads_to_pages_of_ones_own_alone(household: Served, then: str) -> None:
    """Whatever the form says."""
    answer = household.browser().post(
        f"{household.address}/own/unlock",
        data={"person": "ines", "pin": "2468", "next": then},
        allow_redirects=False,
    )
    assert answer.headers["Location"] == "/own/index.html"
    assert "a=b" not in answer.headers["Set-Cookie"]


def test_a_fault_is_a_plain_word_and_never_a_trace(household: Served) -> None:
    """Nothing of its text reaches the page, nor the log."""
    answer = _unlocked(household).get(f"{household.address}/own/fault.html")
    assert answer.status_code == 500
    assert "Something went wrong" in answer.text
    for private in (SECRET, "Traceback", "RuntimeError", "standin.py"):
        assert private not in answer.text


def test_what_somebody_typed_is_never_markup(household: Served) -> None:
    """In the form that is shown again."""
    evil = '"><script>alert(1)</script>'
    for data in ({"person": evil, "pin": "1", "next": evil}, {"person": "ines", "next": evil}):
        answer = household.browser().post(f"{household.address}/own/unlock", data=data)
        assert "<script" not in answer.text
    assert b"<script>" not in household.get(b"/own/%22%3E%3Cscript%3E.html").body


def test_guessing_a_pin_is_slowed_even_by_many_at_once(tmp_path: Path) -> None:
    """Twelve at the same time: three are looked at. The right one is not taken while one waits,
    and neither is it after a restart."""
    with serving(tmp_path) as served:
        served.access.set_pin("ines", "2468")
        answers: list[tuple[int, str]] = []

        def guess(number: int) -> None:
            answer = served.browser().post(
                f"{served.address}/own/unlock", data={"person": "ines", "pin": f"{number:04}"}
            )
            answers.append((answer.status_code, answer.text))

        all_of_them = [threading.Thread(target=guess, args=(number,)) for number in range(12)]
        for one in all_of_them:
            one.start()
        for one in all_of_them:
            one.join(60)
        looked_at = [text for _, text in answers if "That is not the PIN" in text]
        assert len(looked_at) == 3
        assert sorted(status for status, _ in answers) == [403] * 2 + [429] * 10
        right = {"person": "ines", "pin": "2468"}
        answer = served.browser().post(f"{served.address}/own/unlock", data=right)
        assert answer.status_code == 429
        assert 0 < int(answer.headers["Retry-After"]) <= 30
        served.stop()
    with serving(tmp_path) as served:
        answer = served.browser().post(f"{served.address}/own/unlock", data=right)
        assert answer.status_code == 429


def test_unlocking_belongs_to_one_device(tmp_path: Path) -> None:
    """The cookie of one's own is worth nothing on another device, nor after signing out."""
    with serving(tmp_path) as served:
        served.access.set_pin("ines", "2468")
        kitchen, bedroom = served.signed_in("kitchen"), served.signed_in("bedroom")
        kitchen.post(f"{served.address}/own/unlock", data={"person": "ines", "pin": "2468"})
        assert kitchen.get(f"{served.address}/own/").status_code == 200
        own = kitchen.cookie(OWN)
        both = f"Cookie: {PAGES}={bedroom.cookie(PAGES)}; {OWN}={own}".encode()
        assert served.get(b"/own/", both).status == 403
        kept = f"Cookie: {PAGES}={kitchen.cookie(PAGES)}; {OWN}={own}".encode()
        kitchen.post(f"{served.address}/sign-out")
        assert served.get(b"/own/", kept).status == 303


def test_it_locks_itself_when_it_is_not_used() -> None:
    """Each use begins the time anew; looking whether it is unlocked is no use."""
    at = 0.0
    unlocked = Unlocked(300, lambda: at)
    secret = unlocked.add("ines", "", "salt")

    def person(*, use: bool) -> str | None:
        return unlocked.person(secret, "", lambda _: "salt", use=use)

    at = 299.0
    assert person(use=True) == "ines"
    at = 598.0
    assert person(use=False) == "ines"
    at = 599.0
    assert person(use=False) is None


def test_unlockings_do_not_pile_up() -> None:
    """The one longest unused goes."""
    at = 0.0
    unlocked = Unlocked(300, lambda: at)
    secrets = []
    for number in range(101):
        at = number / 100
        secrets.append(unlocked.add("ines", "", "salt"))
    people = [unlocked.person(one, "", lambda _: "salt", use=False) for one in secrets]
    assert people == [None] + ["ines"] * 100
