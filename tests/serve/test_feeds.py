"""A plan at a secret address: who gets it, and that it lets in nowhere else."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.serve.serving import LINES, MARK, Served, serving
from weeksync.errors import UsageError
from weeksync.serve import Access


def test_the_address_gives_the_plan_of_its_person_and_nothing_else(folder: Path) -> None:
    """As calendar programs ask: without cookies, from nowhere; and again by ETag."""
    with serving(folder) as running:
        token = running.access.give("phone", "dov", "feed")
        answer = running.get(f"/feeds/{token}/plan.ics".encode())
        assert (answer.status, answer.body) == (200, b"BEGIN:VCALENDAR dov")
        assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
        again = running.get(
            f"/feeds/{token}/plan.ics".encode(),
            b"If-None-Match: " + answer.headers["etag"].encode(),
        )
        assert (again.status, again.body) == (304, b"")
        # A token that fetches a feed marks nothing, and shows no page.
        header = {**LINES, "Authorization": f"Bearer {token}"}
        marked = running.browser().post(
            f"{running.address}/marks", data=MARK % b"water", headers=header
        )
        assert marked.status_code == 401
        assert running.taken() == []


def test_without_the_right_token_there_is_nothing(guarded: Served) -> None:
    """Neither with one for pages, nor with one that was taken back, nor with a guess."""
    token = guarded.access.give("phone", "ines", "feed")
    pages = guarded.signed_in("other phone", "ines").cookie("weeksync-a1b2c3d4e5f6")
    assert guarded.get(f"/feeds/{token}/plan.ics".encode()).status == 200
    guarded.access.revoke("phone")
    for wrong in (token, pages, "a", "%00", token[:-1]):
        assert guarded.get(f"/feeds/{wrong}/plan.ics".encode()).status == 404
    assert guarded.get(b"/feeds/").status in {303, 401, 404}


def test_a_feed_shuts_nobody_out(folder: Path) -> None:
    """On a loopback without any device pages stay open to this machine."""
    with serving(folder) as running:
        running.access.give("phone", "ines", "feed")
        assert running.get(b"/2027-W12.html").status == 200


def test_a_name_is_one_persons_device(tmp_path: Path) -> None:
    """Two tokens of one name go together; of another person it is refused."""
    access = Access(tmp_path / "access.json")
    first, second = (access.give("phone", "ines", "feed") for _ in range(2))
    assert first != second
    assert access.visitor(first, "feed") is not None
    with pytest.raises(UsageError, match="somebody else"):
        access.give("phone", "dov", "feed")
    assert access.revoke("phone")
    assert access.visitor(first, "feed") is None
    assert access.visitor(second, "feed") is None
