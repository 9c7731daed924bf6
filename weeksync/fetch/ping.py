"""Asking for an address only so that it is asked for."""

from __future__ import annotations

from weeksync.model.limits import PullLimits

LIMITS = PullLimits(timeout_seconds=10.0, budget_seconds=30.0, max_bytes=64 * 1024)
"""A night does not wait long for who is told about it; what the address answers is not read."""


def ping(name: str, url: str) -> None:
    """GET `url`, at most three times; SourceError, which names the host and no more of it.

    `name` is what the address is called in errors: it may be a secret itself.
    """
    from weeksync.fetch.channel import Channel

    with Channel(name, url, LIMITS) as channel:
        channel.request("GET", channel.address)
