"""Forms: who may send one, how much, and where an answer may lead."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.serve.serving import Served, serving
from weeksync.serve.addresses import is_form, is_own_address

FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@pytest.fixture(scope="module")
def forms(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """On loopback, with no device."""
    with serving(tmp_path_factory.mktemp("forms")) as running:
        yield running


def sent(folder: Path) -> list[Any]:
    """What was taken, oldest first."""
    path = folder / "forms.jsonl"
    return [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []


def test_a_form_is_shown_with_its_query_and_never_kept(forms: Served) -> None:
    """What stands in it is the household's; the browser asks anew each time."""
    answer = forms.browser().get(f"{forms.address}/plan/2027-W12?day=3")
    assert answer.status_code == 200
    assert "plan/2027-W12 [('day', '3')]" in answer.text
    assert answer.headers["Cache-Control"] == "no-store"


def test_what_is_sent_arrives_in_its_order_and_leads_on(forms: Served) -> None:
    """Line breaks come as CR LF (HTML Standard, section 4.10.22.6) and are handed on as LF."""
    answer = forms.browser().post(
        f"{forms.address}/edit/",
        data="title=Jam+%26+jars&day=mo&day=we&note=one%0D%0Atwo&empty=",
        headers=FORM,
        allow_redirects=False,
    )
    assert (answer.status_code, answer.headers["Location"]) == (303, "/edit/")
    fields = {"title": ["Jam & jars"], "day": ["mo", "we"], "note": ["one\ntwo"], "empty": [""]}
    assert sent(forms.folder)[-1] == ["edit/", fields, "", None]


def test_what_cannot_be_taken_says_so_and_writes_nothing(forms: Served) -> None:
    """422 with the page again, 400 for an address that cannot be, 503 where nothing was written."""
    before = sent(forms.folder)
    browser = forms.browser()
    mistaken = browser.post(f"{forms.address}/edit/", data="title=", headers=FORM)
    assert (mistaken.status_code, "A title is missing" in mistaken.text) == (422, True)
    assert browser.get(f"{forms.address}/edit/wrong").status_code == 400
    full = browser.post(f"{forms.address}/edit/", data="title=full", headers=FORM)
    assert (full.status_code, "disk full" in full.text) == (503, True)
    assert full.headers["Retry-After"] == "30"
    assert browser.get(f"{forms.address}/edit/none").status_code == 404
    assert browser.post(f"{forms.address}/start/none", data="a=b", headers=FORM).status_code == 404
    assert sent(forms.folder) == before


@pytest.mark.parametrize(
    ("kind", "content", "status"),
    [
        ("application/json", b"{}", 415),
        ("multipart/form-data; boundary=x", b"--x--", 415),
        (FORM["Content-Type"], b"title=" + b"a" * (128 * 1024), 413),
        (FORM["Content-Type"], b"&".join([b"a=1"] * 1001), 400),
    ],
)
def test_what_is_no_form_or_too_much_is_not_taken(
    forms: Served, kind: str, content: bytes, status: int
) -> None:
    """Before anything looks at it."""
    answer = forms.browser().post(
        f"{forms.address}/edit/", data=content, headers={"Content-Type": kind}
    )
    assert answer.status_code == status


def test_a_page_of_another_site_sends_no_form(forms: Served) -> None:
    """Neither with an origin of its own nor with none that it admits to."""
    before = sent(forms.folder)
    for origin, site in (("https://elsewhere.example", "cross-site"), ("null", "cross-site")):
        other = forms.browser(Origin=origin, Sec_Fetch_Site=site)
        answer = other.post(f"{forms.address}/edit/", data="title=x", headers=FORM)
        assert answer.status_code == 403
    assert sent(forms.folder) == before


def test_without_a_sign_in_forms_lead_to_it_and_take_nothing(guarded: Served) -> None:
    """As every other page does."""
    for path in (b"/plan/2027-W12", b"/edit/", b"/start/", b"/edit/none"):
        shown = guarded.get(path)
        assert (shown.status, shown.headers["location"]) == (303, "/sign-in")
    browser = guarded.browser()
    answer = browser.post(f"{guarded.address}/edit/", data="title=x", headers=FORM)
    assert answer.status_code == 401
    assert sent(guarded.folder) == []


def test_the_sender_is_the_signed_in_device(guarded: Served) -> None:
    """By its cookie, not by what it says."""
    device = guarded.signed_in("hall")
    device.post(f"{guarded.address}/edit/", data="title=x&device=other", headers=FORM)
    assert sent(guarded.folder)[-1][2:] == ["hall", None]


def test_a_form_of_ones_own_asks_for_the_pin_and_leads_back_to_it(folder: Path) -> None:
    """With its query; and what is sent while it is locked is not taken."""
    with serving(folder) as running:
        running.access.set_pin("ines", "2468")
        browser = running.browser()
        asked = browser.get(f"{running.address}/edit/own?id=rent")
        assert asked.status_code == 403
        assert 'value="/edit/own?id=rent"' in asked.text
        locked = browser.post(f"{running.address}/edit/own", data="title=x", headers=FORM)
        assert (locked.status_code, sent(folder)) == (403, [])
        answer = browser.post(
            f"{running.address}/own/unlock",
            data={"person": "ines", "pin": "2468", "next": "/edit/own?id=rent"},
            allow_redirects=False,
        )
        assert answer.headers["Location"] == "/edit/own?id=rent"
        browser.post(f"{running.address}/edit/own", data="title=x", headers=FORM)
        assert sent(folder)[-1][2:] == ["", "ines"]
        away = browser.post(
            f"{running.address}/own/unlock",
            data={"person": "ines", "pin": "2468", "next": "//elsewhere.example/edit/"},
            allow_redirects=False,
        )
        assert away.headers["Location"] == "/own/index.html"


def test_the_address_without_its_slash_leads_to_the_one_with_it(forms: Served) -> None:
    """The query stays."""
    answer = forms.browser().get(f"{forms.address}/plan?day=3", allow_redirects=False)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/plan/?day=3")


def test_answers_lead_to_this_server_only() -> None:
    """RFC 3986 section 4.2: what begins with two slashes names another host."""
    for good in ("/", "/plan/2027-W12#day-3", "/edit/tasks?id=a-b&x=1%20", "/2027-W12.html"):
        assert is_own_address(good), good
    for bad in ("", "plan/", "//e.example/", "/\\e.example", "https://e.example/", "/a//b",
                "/a\nb", "/#<b>", "/a?b c"):  # fmt: skip
        assert not is_own_address(bad), bad
    assert is_form("/edit/tasks?id=1")
    assert is_form("/plan?x=1")
    assert not is_form("/editor/")
    assert not is_form("/2027-W12.html")
