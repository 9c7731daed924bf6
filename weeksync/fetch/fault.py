"""What can go wrong between us and a server, told without any text that a library wrote.

Library errors carry the whole address, and with it what is secret in it: the token of a feed,
a name and a password. So an error of a library ends here: its kind is kept, its text is not,
and it does not stay in the chain of the error that is raised.
"""

from __future__ import annotations

import socket
import ssl
from collections.abc import Iterator
from enum import StrEnum

from weeksync.errors import (
    SourceError,
    SourceMissing,
    SourceRefused,
    SourceUnreachable,
    SourceUnusable,
)
from weeksync.message import Message, message
from weeksync.model.limits import PullLimits


class FaultKind(StrEnum):
    """The kinds of fault of one exchange; the value is the English word for logs and chains."""

    TIMEOUT = "no whole answer in time"
    BUDGET = "no time left for this source"
    LARGE = "answer too large"
    CUT = "answer cut off"
    PACKING = "answer wrongly packed"
    HOST = "no host of that name"
    LOOKUP = "name could not be looked up"
    CLOSED = "connection refused"
    RESET = "connection broken off"
    CERTIFICATE = "certificate not trusted"
    TLS = "no TLS"
    LOOP = "too many redirects"
    ELSEWHERE = "redirect that is not followed"
    ADDRESS = "address that cannot be used"
    OTHER = "not understood"


class Fault(Exception):
    """One exchange failed; `detail` holds nothing but what is safe to show."""

    def __init__(self, kind: FaultKind, detail: str = "") -> None:
        super().__init__(f"{kind.value}: {detail}" if detail else kind.value)
        self.kind = kind
        self.detail = detail


def classify(error: BaseException, otherwise: FaultKind) -> Fault:
    """The fault behind an error of the HTTP library; `otherwise` where it is no special one."""
    chain = list(_chain(error))
    names = {type(one).__name__ for one in chain}
    for one in chain:
        if isinstance(one, Fault):
            return one
        if isinstance(one, ssl.SSLCertVerificationError):
            return Fault(FaultKind.CERTIFICATE, one.verify_message)
    if any(isinstance(one, ssl.SSLError) for one in chain) or "SSLError" in names:
        return Fault(FaultKind.TLS)
    lookup = next((one for one in chain if isinstance(one, socket.gaierror)), None)
    if lookup is not None:
        gone = lookup.errno in {socket.EAI_NONAME, getattr(socket, "EAI_NODATA", None)}
        return Fault(FaultKind.HOST if gone else FaultKind.LOOKUP)
    if any(isinstance(one, TimeoutError) for one in chain) or names & _TIMEOUTS:
        return Fault(FaultKind.TIMEOUT)
    if any(isinstance(one, ConnectionRefusedError) for one in chain):
        return Fault(FaultKind.CLOSED)
    if names & _ADDRESSES:
        return Fault(FaultKind.ADDRESS)
    return Fault(otherwise, type(error).__name__)


_TIMEOUTS = {"ConnectTimeout", "ReadTimeout", "ConnectTimeoutError", "ReadTimeoutError"}
_ADDRESSES = {"InvalidURL", "InvalidSchema", "MissingSchema", "LocationParseError"}


def _chain(error: BaseException) -> Iterator[BaseException]:
    """The error with all that it came from; the library keeps the cause in several places."""
    waiting, seen = [error], set()
    while waiting:
        one = waiting.pop()
        if id(one) in seen:
            continue
        seen.add(id(one))
        yield one
        inner = (one.__cause__, one.__context__, getattr(one, "reason", None), *one.args)
        waiting += [other for other in inner if isinstance(other, BaseException)]


def as_error(source: str, place: str, fault: Fault, limits: PullLimits) -> SourceError:
    """The error to raise for `fault`; `place` is the host, without path and query."""
    return _TREE[fault.kind](source, _sentence(place, fault, limits))


_TREE: dict[FaultKind, type[SourceError]] = {
    FaultKind.TIMEOUT: SourceUnreachable,
    FaultKind.BUDGET: SourceUnreachable,
    FaultKind.LARGE: SourceUnusable,
    FaultKind.CUT: SourceUnusable,
    FaultKind.PACKING: SourceUnusable,
    FaultKind.HOST: SourceMissing,
    FaultKind.LOOKUP: SourceUnreachable,
    FaultKind.CLOSED: SourceUnreachable,
    FaultKind.RESET: SourceUnreachable,
    FaultKind.CERTIFICATE: SourceRefused,
    FaultKind.TLS: SourceUnreachable,
    FaultKind.LOOP: SourceUnreachable,
    FaultKind.ELSEWHERE: SourceUnreachable,
    FaultKind.ADDRESS: SourceMissing,
    FaultKind.OTHER: SourceUnreachable,
}


def _sentence(place: str, fault: Fault, limits: PullLimits) -> Message:
    match fault.kind:
        case FaultKind.TIMEOUT:
            return message(
                "{place} did not answer in full within {seconds} s; try again later, or"
                " raise timeout_seconds under [pull] in config.toml",
                place=place,
                seconds=round(limits.timeout_seconds, 1),
            )
        case FaultKind.BUDGET:
            return message(
                "{place} was not done after {seconds} s; try again later, or raise"
                " budget_seconds under [pull] in config.toml",
                place=place,
                seconds=round(limits.budget_seconds, 1),
            )
        case FaultKind.LARGE:
            return message(
                "{place} sent more than {megabytes} MB; if the calendar is that large,"
                " raise max_megabytes under [pull] in config.toml",
                place=place,
                megabytes=round(limits.max_bytes / 1024 / 1024, 3),
            )
        case FaultKind.CUT:
            return message(
                "the answer of {place} ends in the middle; nothing of it is used, try again later",
                place=place,
            )
        case FaultKind.PACKING:
            return message(
                "the answer of {place} cannot be unpacked; nothing of it is used, ask who runs"
                " the server",
                place=place,
            )
        case FaultKind.CERTIFICATE:
            return message(
                "the certificate of {place} is not trusted ({reason}); nothing was sent to it,"
                " look at the address and at the date of this machine; for a server of your own set"
                " REQUESTS_CA_BUNDLE to the file of its certificate",
                place=place,
                reason=fault.detail,
            )
        case FaultKind.OTHER:
            return message(
                "what {place} answers to our login or request is not understood ({reason}); ask"
                " who runs the server",
                place=place,
                reason=fault.detail,
            )
        case _:
            return _unreached(place, fault.kind)


def _unreached(place: str, kind: FaultKind) -> Message:
    match kind:
        case FaultKind.HOST:
            return message(
                "there is no host of the name in {place}; look at the address in config.toml",
                place=place,
            )
        case FaultKind.LOOKUP:
            return message(
                "the name in {place} could not be looked up; is this machine connected?",
                place=place,
            )
        case FaultKind.CLOSED:
            return message(
                "nothing answers at {place}; is the server running, and is the port right?",
                place=place,
            )
        case FaultKind.TLS:
            return message(
                "no secure connection to {place} came about; look at the port and at https in"
                " the address",
                place=place,
            )
        case FaultKind.LOOP:
            return message(
                "{place} sends us from one address to the next without end; look at the address"
                " in config.toml",
                place=place,
            )
        case FaultKind.ELSEWHERE:
            return message(
                "{place} sends us to an address that is not followed; write the address of the"
                " calendar itself in config.toml",
                place=place,
            )
        case FaultKind.ADDRESS:
            return message(
                "the address of {place} cannot be used; write one as https://host/path",
                place=place,
            )
        case _:
            return message(
                "{place} broke the connection off; try again later",
                place=place,
            )
