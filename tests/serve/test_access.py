"""Who may come in: codes, tokens and PINs as they are kept."""

from __future__ import annotations

import json
import multiprocessing
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from weeksync.errors import HouseholdError, UsageError
from weeksync.serve import Access
from weeksync.serve.access import MOST_CODES, pin_wait
from weeksync.serve.kept import SCRYPT_N, SCRYPT_P, SCRYPT_R, plain_code

START = datetime(2027, 3, 24, 5, 40, tzinfo=UTC)


class Clock:
    """A clock that is moved by hand."""

    def __init__(self) -> None:
        self.now = START

    def __call__(self) -> datetime:
        """What it says."""
        return self.now

    def on(self, **by: float) -> None:
        """Let time pass."""
        self.now += timedelta(**by)


@pytest.fixture
def clock() -> Clock:
    """Wednesday morning."""
    return Clock()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where the file is to be."""
    return tmp_path / "state" / "access.json"


@pytest.fixture
def access(path: Path, clock: Clock) -> Access:
    """Nobody has come in yet."""
    return Access(path, clock)


def test_a_code_lets_one_device_in_once(access: Access) -> None:
    """The second use of a code is none, whatever it is used for."""
    code = access.add("kitchen", "ines")
    token = access.redeem(code, "pages")
    assert token is not None
    visitor = access.visitor(token, "pages")
    assert visitor is not None
    assert (visitor.device, visitor.person) == ("kitchen", "ines")
    assert access.redeem(code, "pages") is None
    assert access.redeem(code, "marks") is None


def test_a_code_ends_after_ten_minutes(access: Access, clock: Clock) -> None:
    """At ten minutes it is over, a moment before it is not."""
    late, in_time = access.add("late"), access.add("in time")
    clock.on(minutes=10, microseconds=-1)
    assert access.redeem(in_time, "pages")
    clock.on(microseconds=1)
    assert access.redeem(late, "pages") is None


def test_a_code_may_be_typed_as_people_type(access: Access) -> None:
    """Small letters, spaces, no dash, and the digits that look like letters."""
    code = access.add("kitchen")
    assert access.redeem(f" {code.lower().replace('-', ' ')} ", "pages")
    assert plain_code("o0-l1") == "OOLI"


def test_a_token_for_marks_opens_no_page_and_the_other_way_round(access: Access) -> None:
    """Each token has one scope."""
    marks = access.redeem(access.add("folder page"), "marks")
    pages = access.redeem(access.add("kitchen"), "pages")
    assert marks is not None
    assert pages is not None
    assert access.visitor(marks, "pages") is None
    assert access.visitor(pages, "marks") is None


def test_a_revoked_device_is_out_for_every_process_at_once(
    access: Access, path: Path, clock: Clock
) -> None:
    """Another Access over the same file sees it with its next question."""
    token = access.redeem(access.add("kitchen"), "pages")
    assert token is not None
    other = Access(path, clock)
    assert other.visitor(token, "pages")
    assert access.revoke("kitchen")
    assert other.visitor(token, "pages") is None
    assert not other.revoke("kitchen")


def test_revoking_takes_the_waiting_code_too(access: Access) -> None:
    """What was handed out and not used yet is no way back in."""
    code = access.add("kitchen")
    assert access.revoke("kitchen")
    assert access.redeem(code, "pages") is None
    assert access.devices() == ()


def test_the_list_says_what_each_device_may(access: Access) -> None:
    """One that was never used waits."""
    access.redeem(access.add("kitchen", "dov"), "pages")
    access.redeem(access.add("kitchen"), "marks")
    access.add("bedroom")
    kitchen, bedroom = access.devices()
    assert (kitchen.name, kitchen.person, kitchen.scopes) == ("kitchen", "dov", ("marks", "pages"))
    assert not kitchen.pending
    assert (bedroom.name, bedroom.scopes, bedroom.pending) == ("bedroom", (), True)


def test_signing_out_ends_the_token_and_the_device_with_its_last_one(access: Access) -> None:
    """Other tokens of the device stay."""
    one, two = (access.redeem(access.add("kitchen"), "pages") for _ in range(2))
    assert one is not None
    assert two is not None
    access.sign_out(one)
    assert access.visitor(one, "pages") is None
    assert access.visitor(two, "pages")
    access.sign_out(two)
    assert access.devices() == ()


def test_the_file_is_for_its_owner_alone_and_holds_no_secret(access: Access, path: Path) -> None:
    """Neither code, token nor PIN stands in it; nothing else is left in the folder."""
    code = access.add("kitchen")
    waiting = path.read_text()
    token = access.redeem(code, "pages")
    access.set_pin("ines", "2468")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert token is not None
    for secret in (code, plain_code(code), token, "2468"):
        assert secret not in waiting + path.read_text()
    assert {one.name for one in path.parent.iterdir()} <= {"access.json", "access.lock"}


def test_a_pin_is_kept_with_the_parameters_that_are_asked_for(access: Access, path: Path) -> None:
    """The least that the OWASP Password Storage Cheat Sheet names for scrypt (RFC 7914)."""
    access.set_pin("ines", "2468")
    kept = json.loads(path.read_text())["pins"]["ines"]
    assert (kept["n"], kept["r"], kept["p"]) == (2**17, 8, 1) == (SCRYPT_N, SCRYPT_R, SCRYPT_P)
    assert len(bytes.fromhex(kept["salt"])) == 16


def test_wrong_pins_wait_longer_and_longer(access: Access, clock: Clock) -> None:
    """Two slips cost nothing; from the third on the wait doubles, to an hour."""
    access.set_pin("ines", "2468")
    assert [access.try_pin("ines", "0000").wait for _ in range(3)] == [0, 0, 30]
    early = access.try_pin("ines", "2468")
    assert (early.right, early.looked_at, early.wait) == (False, False, 30)
    clock.on(seconds=30)
    assert access.try_pin("ines", "0000").wait == 60
    assert [pin_wait(n).total_seconds() for n in (2, 3, 4, 9, 10, 1000)] == [
        0, 30, 60, 1920, 3600, 3600
    ]  # fmt: skip


def test_the_wait_survives_a_restart(access: Access, path: Path, clock: Clock) -> None:
    """It stands in the file."""
    access.set_pin("ines", "2468")
    for _ in range(3):
        access.try_pin("ines", "0000")
    assert not Access(path, clock).try_pin("ines", "2468").looked_at


def test_the_right_pin_forgets_the_wrong_ones(access: Access, clock: Clock) -> None:
    """And another person's are their own."""
    access.set_pin("ines", "2468")
    access.set_pin("dov", "1357")
    for _ in range(3):
        access.try_pin("ines", "0000")
    assert access.try_pin("dov", "1357").right
    clock.on(seconds=30)
    assert access.try_pin("ines", "2468").right
    assert access.try_pin("ines", "0000").wait == 0


def test_there_is_no_pin_for_somebody_who_has_none(access: Access) -> None:
    """An empty one does not fit either."""
    assert not access.try_pin("ines", "").right


def test_a_pin_of_three_digits_is_refused(access: Access) -> None:
    """Nothing is written."""
    with pytest.raises(UsageError, match="4 to 64"):
        access.set_pin("ines", "123")
    assert access.pins() == frozenset()


@pytest.mark.parametrize("name", ["", "  ", "x" * 61, "a\nb"])
def test_a_device_needs_a_name_that_can_be_shown(access: Access, name: str) -> None:
    """Empty, too long, or with control characters."""
    with pytest.raises(UsageError, match="no name for a device"):
        access.add(name)


def test_a_device_of_one_person_does_not_become_anothers(access: Access) -> None:
    """What it was let in with before would show what is only for the other."""
    page = access.redeem(access.add("phone", "dov"), "pages")
    assert page is not None
    with pytest.raises(UsageError, match="of somebody else"):
        access.add("phone", "ines")
    first, second = access.add("tablet", "dov"), access.add("tablet", "ines")
    assert access.redeem(first, "pages")
    assert access.redeem(second, "pages") is None
    assert {one.person for one in access.devices()} == {"dov"}
    assert access.redeem(access.add("phone"), "pages"), "a further code of its own is none"


def test_the_address_of_a_feed_stays_whose_it_was(access: Access) -> None:
    """A device of nobody in particular becomes somebody's, but not where it fetches a feed."""
    access.redeem(access.add("kitchen"), "pages")
    access.redeem(access.add("kitchen", "ines"), "pages")
    assert [one.person for one in access.devices()] == ["ines"]
    feed = access.give("calendar", "", "feed")
    with pytest.raises(UsageError, match="of somebody else"):
        access.add("calendar", "ines")
    visitor = access.visitor(feed, "feed")
    assert visitor is not None
    assert visitor.person == ""


def test_codes_do_not_pile_up(access: Access) -> None:
    """The oldest goes when there are too many."""
    codes = [access.add(f"tablet {number}") for number in range(MOST_CODES + 1)]
    assert access.redeem(codes[0], "pages") is None
    assert access.redeem(codes[1], "pages")


@pytest.mark.parametrize("content", [b"", b"{", b'{"format": 2}', b"\xff\xfe", b'{"devices": 1}'])
def test_a_damaged_file_lets_nobody_in_and_says_so(
    access: Access, path: Path, content: bytes
) -> None:
    """Neither is it overwritten."""
    path.parent.mkdir()
    path.write_bytes(content)
    with pytest.raises(HouseholdError, match="nobody is let in"):
        access.visitor("anything", "pages")
    with pytest.raises(HouseholdError, match="nobody is let in"):
        access.add("kitchen")
    assert path.read_bytes() == content


def _add(path: Path, name: str) -> None:
    for number in range(5):
        Access(path).redeem(Access(path).add(f"{name} {number}"), "marks")


def test_processes_that_write_at_the_same_time_lose_nothing(path: Path) -> None:
    """Four at once, five devices each."""
    context = multiprocessing.get_context("spawn")
    all_of_them = [context.Process(target=_add, args=(path, str(n))) for n in range(4)]
    for one in all_of_them:
        one.start()
    for one in all_of_them:
        one.join(60)
        assert one.exitcode == 0
    assert len(Access(path).devices()) == 20
