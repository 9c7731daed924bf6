"""Who may come in: devices with their tokens, one-time codes, and PINs.

Any process may hold an `Access` over the same file: what one writes, the others see with their
next question, so a device that is revoked is out at once.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.serve.access_file import (
    AccessFile,
    Code,
    Contents,
    KeptDevice,
    Pin,
    Scope,
    Token,
)
from weeksync.serve.kept import digest, hashed_pin, new_code, new_token, pin_fits, plain_code, same

CODE_LASTS = timedelta(minutes=10)
MOST_CODES = 20
"""Codes that may wait at the same time; the oldest goes."""
MOST_TOKENS = 20
"""Tokens of one device; the oldest goes."""
LONGEST_NAME = 60
LEAST_PIN, LONGEST_PIN = 4, 64
FREE_TRIES = 3
"""Wrong PINs after which one has to wait; a slip of the finger costs nothing."""
FIRST_WAIT, LONGEST_WAIT = timedelta(seconds=30), timedelta(hours=1)
"""The wait doubles with each further wrong PIN: 100 tries take four days, half of all PINs of
four digits 200 days. NIST SP 800-63B section 5.2.2 asks for an end at 100 (from memory); at home
somebody notices before, and a lock that never opens would be a way to lock others out."""


@dataclass(frozen=True, slots=True)
class Device:
    """A device as `weeksync devices` lists it."""

    name: str
    person: str
    added_at: datetime
    scopes: tuple[Scope, ...]
    """What its tokens allow, each once; none while its code is waiting."""
    pending: bool
    """Whether a code for it is waiting to be used."""


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who a token belongs to."""

    device: str
    person: str
    token: str
    """The digest of the token."""


@dataclass(frozen=True, slots=True)
class PinAnswer:
    """What became of a PIN: right, or wrong, and how many seconds to wait before the next."""

    right: bool
    wait: int = 0
    looked_at: bool = True
    """False where it was not even compared, because the wait is not over."""


def _utc_now() -> datetime:
    return datetime.now(UTC)


class Access:
    """Devices, codes and PINs in the file at `path`; `now` says the time (aware).

    Every method may raise HouseholdError: the file cannot be read or written.
    """

    def __init__(self, path: Path, now: Callable[[], datetime] = _utc_now) -> None:
        self._file = AccessFile(path)
        self._now = now

    # Devices and codes

    def add(self, name: str, person: str = "") -> str:
        """A one-time code that lets a device of that name in; another of this name stays valid.

        UsageError where the name cannot be, or is a device of somebody else.
        """
        name, code, now = _device_name(name), new_code(), self._now()
        with self._file.held():
            kept = self._file.read()
            if not _may_be(_device(kept, name), person):
                raise _of_another(name)
            waiting = [one for one in kept.codes if one.until > now][-(MOST_CODES - 1) :]
            waiting.append(
                Code(
                    digest=digest(plain_code(code)),
                    device=name,
                    person=person,
                    until=now + CODE_LASTS,
                )
            )
            self._file.write(kept.model_copy(update={"codes": tuple(waiting)}))
        return code

    def give(self, name: str, person: str, scope: Scope) -> str:
        """A token without any code, for what can type none; it is told once and kept as a digest.

        UsageError where the name cannot be, or is a device of somebody else.
        """
        name, token, now = _device_name(name), new_token(), self._now()
        given = Token(digest=digest(token), scope=scope, given_at=now)
        with self._file.held():
            kept = self._file.read()
            found = _device(kept, name)
            if found is not None and found.person != person:
                raise _of_another(name)
            old = found or KeptDevice(name=name, person=person, added_at=now)
            new = old.model_copy(update={"tokens": (*old.tokens, given)[-MOST_TOKENS:]})
            others = tuple(one for one in kept.devices if one is not found)
            self._file.write(kept.model_copy(update={"devices": (*others, new)}))
        return token

    def devices(self) -> tuple[Device, ...]:
        """All devices, those whose code is still waiting last."""
        kept, now = self._file.read(), self._now()
        waiting = {one.device: one for one in kept.codes if one.until > now}
        found = [
            Device(
                one.name,
                one.person,
                one.added_at,
                tuple(sorted({token.scope for token in one.tokens})),
                one.name in waiting,
            )
            for one in kept.devices
        ]
        named = {one.name for one in kept.devices}
        found += [
            Device(one.device, one.person, one.until - CODE_LASTS, (), True)
            for one in waiting.values()
            if one.device not in named
        ]
        return tuple(found)

    def revoke(self, name: str) -> bool:
        """Take everything from a device, codes too; whether there was anything."""
        with self._file.held():
            kept = self._file.read()
            devices = tuple(one for one in kept.devices if one.name != name)
            codes = tuple(one for one in kept.codes if one.device != name)
            found = len(devices) < len(kept.devices) or len(codes) < len(kept.codes)
            if found:
                self._file.write(kept.model_copy(update={"devices": devices, "codes": codes}))
        return found

    def redeem(self, typed: str, scope: Scope) -> str | None:
        """The token for a one-time code, which is used up by it; None where there is no such."""
        wanted, now = digest(plain_code(typed)), self._now()
        if not any(same(one.digest, wanted) for one in self._file.read().codes):
            return None  # guesses take no lock
        with self._file.held():
            kept = self._file.read()
            # All are compared, so that the time tells nothing of which one it was.
            fitting = [one for one in kept.codes if same(one.digest, wanted)]
            code = next((one for one in fitting if one.until > now), None)
            if code is None or not _may_be(_device(kept, code.device), code.person):
                return None
            token = new_token()
            given = Token(digest=digest(token), scope=scope, given_at=now)
            self._file.write(
                kept.model_copy(
                    update={
                        "guarded": kept.guarded or scope == "pages",
                        "codes": tuple(one for one in kept.codes if one is not code),
                        "devices": _with_token(kept, code, given, now),
                    }
                )
            )
        return token

    def visitor(self, token: str, scope: Scope) -> Visitor | None:
        """Whose token that is; None where it is nobody's, revoked, or for something else."""
        wanted, found = digest(token), None
        for device in self._file.read().devices:
            for one in device.tokens:
                if same(one.digest, wanted) and one.scope == scope:
                    found = Visitor(device.name, device.person, one.digest)
        return found

    def sign_out(self, token: str) -> None:
        """Take a token back; its device goes with its last one."""
        gone = digest(token)
        with self._file.held():
            kept = self._file.read()
            devices = [
                one.model_copy(update={"tokens": tuple(t for t in one.tokens if t.digest != gone)})
                for one in kept.devices
            ]
            left = tuple(one for one in devices if one.tokens)
            self._file.write(kept.model_copy(update={"devices": left}))

    def guarded(self) -> bool:
        """Whether any device has come in: from then on every page wants a sign-in.

        Also when the last one that could see pages is revoked: that opens them to nobody. What
        only fetches a feed is no reason to shut the others out.
        """
        kept = self._file.read()
        return kept.guarded or any(
            token.scope != "feed" for one in kept.devices for token in one.tokens
        )

    def any_way_in(self) -> bool:
        """Whether there is a device, or a code is waiting for one."""
        kept, now = self._file.read(), self._now()
        return bool(kept.devices) or any(one.until > now for one in kept.codes)

    # PINs

    def set_pin(self, person: str, pin: str) -> None:
        """Give a person a PIN, and forget wrong ones; UsageError where it is too short or long."""
        if not LEAST_PIN <= len(pin) <= LONGEST_PIN:
            raise UsageError(
                message(
                    "a PIN has {least} to {most} letters or digits; choose another",
                    least=LEAST_PIN,
                    most=LONGEST_PIN,
                )
            )
        kept_pin = Pin.model_validate(hashed_pin(pin))
        with self._file.held():
            self._put_pin(person, kept_pin)

    def drop_pin(self, person: str) -> bool:
        """Take a person's PIN away; whether there was one."""
        with self._file.held():
            found = person in self._file.read().pins
            if found:
                self._put_pin(person, None)
        return found

    def pins(self) -> frozenset[str]:
        """The ids of the persons who have a PIN."""
        return frozenset(self._file.read().pins)

    def pin_salt(self, person: str) -> str:
        """Another one with each new PIN, "" for no PIN: what an old PIN opened is then closed."""
        pin = self._file.read().pins.get(person)
        return pin.salt if pin is not None else ""

    def try_pin(self, person: str, pin: str) -> PinAnswer:
        """Compare a PIN; each wrong one counts, over restarts too, until a right one comes.

        A try is counted before it is looked at, so many at once gain nothing.
        """
        now = self._now()
        with self._file.held():
            kept = self._file.read().pins.get(person)
            if kept is None:
                return PinAnswer(False)
            if kept.next_at is not None and kept.next_at > now:
                return PinAnswer(False, _seconds(kept.next_at - now), looked_at=False)
            wait = pin_wait(kept.failed + 1)
            counted = {"failed": kept.failed + 1, "next_at": now + wait if wait else None}
            self._put_pin(person, kept.model_copy(update=counted))
        if not pin_fits(pin, kept.salt, kept.derived, kept.n, kept.r, kept.p):
            return PinAnswer(False, _seconds(wait))
        with self._file.held():
            if self.pin_salt(person) == kept.salt:
                self._put_pin(person, kept.model_copy(update={"failed": 0, "next_at": None}))
        return PinAnswer(True)

    def _put_pin(self, person: str, pin: Pin | None) -> None:
        kept = self._file.read()
        pins = {one: old for one, old in kept.pins.items() if one != person}
        if pin is not None:
            pins[person] = pin
        self._file.write(kept.model_copy(update={"pins": pins}))


def pin_wait(failed: int) -> timedelta:
    """How long to wait after that many wrong PINs in a row."""
    if failed < FREE_TRIES:
        return timedelta()
    wait: timedelta = FIRST_WAIT * 2 ** min(failed - FREE_TRIES, 20)
    return min(wait, LONGEST_WAIT)


def _seconds(wait: timedelta) -> int:
    """Whole seconds, never one too few."""
    return -(-wait // timedelta(seconds=1))


def _device(kept: Contents, name: str) -> KeptDevice | None:
    return next((one for one in kept.devices if one.name == name), None)


def _may_be(device: KeptDevice | None, person: str) -> bool:
    """Whether that person may have it: what came in before shows then what is theirs alone.

    One of nobody in particular may become somebody's, unless an address of a feed was given to it.
    """
    if device is None or not person or device.person == person:
        return True
    return not device.person and all(one.scope != "feed" for one in device.tokens)


def _of_another(name: str) -> UsageError:
    said = message(
        "there is a device {name} of somebody else; choose another name", name=repr(name)
    )
    return UsageError(said)


def _with_token(kept: Contents, code: Code, token: Token, now: datetime) -> tuple[KeptDevice, ...]:
    before = _device(kept, code.device)
    if before is None:
        new = KeptDevice(name=code.device, person=code.person, added_at=now, tokens=(token,))
        return (*kept.devices, new)
    tokens = (*before.tokens, token)[-MOST_TOKENS:]
    after = before.model_copy(update={"tokens": tokens, "person": code.person or before.person})
    return tuple(after if one is before else one for one in kept.devices)


def _device_name(name: str) -> str:
    """The name as it is kept; UsageError where it is empty, too long or has control characters."""
    name = name.strip()
    if not name or len(name) > LONGEST_NAME or not name.isprintable():
        raise UsageError(
            message(
                "{name} is no name for a device; write 1 to {most} letters, as kitchen",
                name=repr(name[: LONGEST_NAME + 1]),
                most=LONGEST_NAME,
            )
        )
    return name
