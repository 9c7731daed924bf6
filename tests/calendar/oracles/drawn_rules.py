"""Recurrence rules at random, with every part of RFC 5545 section 3.3.10."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import islice
from random import Random

from tests.calendar.oracles.zones import Zone
from weeksync.calendar.rules import parse_rule
from weeksync.calendar.steps import Steps, StepsSpent
from weeksync.calendar.walk import instances

WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
NUMBERED = tuple(f"{place}{day}" for place in (1, 2, 4, 5, -1, -2) for day in WEEKDAYS)
FREQUENCIES = (
    "DAILY", "DAILY", "WEEKLY", "WEEKLY", "MONTHLY", "MONTHLY", "YEARLY", "YEARLY",
    "DAILY", "WEEKLY", "MONTHLY", "HOURLY", "HOURLY", "MINUTELY",
)  # fmt: skip


def some(random: Random, values: Sequence[int] | Sequence[str]) -> str:
    """One to three different values in their order, as a part of a rule lists them."""
    chosen = random.sample(range(len(values)), random.randint(1, min(3, len(values))))
    return ",".join(str(values[at]) for at in sorted(chosen))


def rule(random: Random, *, timed: bool) -> str:
    """A rule without end, for times or for whole days."""
    freq = random.choice(FREQUENCIES if timed else FREQUENCIES[:-3])
    parts = [f"FREQ={freq}", *_by_parts(random, freq, timed=timed)]
    if len(parts) > 1 and random.random() < 0.2:
        parts.append(f"BYSETPOS={some(random, (1, 2, -2, -1))}")
    if random.random() < 0.5:
        most = {"MINUTELY": 1440, "HOURLY": 30, "YEARLY": 2}.get(freq, 5)
        parts.append(f"INTERVAL={random.randint(1, most)}")
    if freq in ("WEEKLY", "YEARLY") and random.random() < 0.3:
        parts.append(f"WKST={random.choice(WEEKDAYS)}")
    return ";".join(parts)


def _by_parts(random: Random, freq: str, *, timed: bool) -> list[str]:
    found: list[str] = []

    def perhaps(chance: float, name: str, values: Sequence[int] | Sequence[str]) -> bool:
        taken = random.random() < chance
        if taken:
            found.append(f"{name}={some(random, values)}")
        return taken

    perhaps(0.25, "BYMONTH", range(1, 13))
    weeks = freq == "YEARLY" and perhaps(0.25, "BYWEEKNO", (1, 2, 20, 52, 53, -53, -2, -1))
    if freq == "YEARLY" and not weeks:
        perhaps(0.2, "BYYEARDAY", (1, 60, 100, 200, 365, 366, -366, -1))
    if freq != "WEEKLY" and not weeks:
        perhaps(0.25, "BYMONTHDAY", (1, 2, 13, 28, 29, 30, 31, -31, -2, -1))
    plain = freq not in ("YEARLY", "MONTHLY") or weeks or random.random() < 0.5
    perhaps(0.4, "BYDAY", WEEKDAYS if plain else NUMBERED)
    if timed:
        perhaps(0.15, "BYHOUR", (0, 1, 2, 3, 9, 14, 23))
        perhaps(0.12, "BYMINUTE", (0, 1, 15, 30, 59))
    return found


def bound(random: Random, freq: str, start: datetime, zone: Zone | None) -> str:
    """COUNT or UNTIL or nothing, for a rule of a series that begins at `start`."""
    kind = random.choice(("", "COUNT", "UNTIL"))
    if kind == "":
        return ""
    if kind == "COUNT":
        return f";COUNT={random.randint(1, 40)}"
    days = {"MINUTELY": 2, "HOURLY": 9, "YEARLY": 2500}.get(freq, 300)
    last = start + timedelta(days=random.randint(0, days))
    form = random.choice(("utc",) * 10 + ("local", "date"))
    if zone is None or form == "date":
        return f";UNTIL={last:%Y%m%d}"
    if form == "local":
        return f";UNTIL={last:%Y%m%dT%H%M%S}"
    return f";UNTIL={zone.utc(last):%Y%m%dT%H%M%SZ}"


def snapped(rule: str, near: datetime) -> datetime | None:
    """A wall time from `near` on that the rule gives; None where it gives none soon.

    The answer is ours and not judged by it: were it off the rule, the oracles would differ.
    """
    parts = rule.split(";")
    if all(one.startswith(("FREQ=", "INTERVAL=", "WKST=")) for one in parts):
        return near
    # Without the interval: the period that the start lies in is the first one, whichever it is.
    free = ";".join(one for one in parts if not one.startswith("INTERVAL="))
    try:
        found = instances(parse_rule(free), near, near, near + timedelta(days=1500), Steps(10**5))
        return next(islice(found, 1, 2), None)
    except StepsSpent:
        return None
