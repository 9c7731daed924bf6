"""The classes of rules that an oracle reads otherwise than RFC 5545, wherever they stand.

A difference falls into one of them only if the bare rule shows it too, and there weeksync
agrees with the literal reading (`rule_alone`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from tests.calendar.oracles.comparing import Difference
from tests.calendar.oracles.rule_alone import bare_rule_differs

Parts = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class RuleClass:
    """A class of rules; `section`, `words` and `case` as in `explained`."""

    name: str
    oracles: tuple[str, ...]
    holds: Callable[[Parts], bool]
    section: str
    words: str
    case: str


ALL = ("ical.js", "libical", "RIE", "dateutil")
PORTS = ("ical.js", "libical")
"""One is an early port of the other: they share their reading of rules."""

RULES = (
    RuleClass(
        "rule: BYWEEKNO",
        ALL,
        lambda parts: "BYWEEKNO" in parts,
        "3.3.10",
        "Week number one of the calendar year is the first week that contains at least four (4) "
        "days in that calendar year. … Information, not contained in the rule, necessary to "
        "determine the various recurrence instance start time and dates are derived from the "
        "Start Time (DTSTART) component attribute.",
        "byweekno-alone",
    ),
    RuleClass(
        "rule: BYSETPOS",
        ALL,
        lambda parts: "BYSETPOS" in parts,
        "3.3.10",
        "Each BYSETPOS value corresponds to the nth occurrence within the set of recurrence "
        "instances specified by the rule. … operates on a set of recurrence instances in one "
        "interval of the recurrence rule.",
        "weekly-with-bysetpos",
    ),
    RuleClass(
        "rule: parts that limit hours and minutes",
        PORTS,
        lambda parts: parts["FREQ"] in ("HOURLY", "MINUTELY"),
        "3.3.10, table on p. 44",
        "BYMONTH, BYYEARDAY, BYMONTHDAY, BYDAY, BYHOUR under HOURLY and MINUTELY: Limit.",
        "minutes-and-seconds-that-limit",
    ),
    RuleClass(
        "rule: weeks that begin on another day",
        ("libical",),
        lambda parts: parts["FREQ"] == "WEEKLY" and "WKST" in parts and "INTERVAL" in parts,
        "3.3.10",
        "The WKST rule part specifies the day on which the workweek starts. … This is significant "
        'when a WEEKLY "RRULE" has an interval greater than 1, and a BYDAY rule part is '
        "specified.",
        "week-start-decides",
    ),
    RuleClass(
        "rule: parts that limit days",
        PORTS,
        lambda parts: parts["FREQ"] == "DAILY" and "BYMONTHDAY" in parts,
        "3.3.10, table on p. 44",
        "BYMONTH, BYMONTHDAY and BYDAY under DAILY: Limit; BYHOUR and BYMINUTE: Expand.",
        "daily-limited",
    ),
    RuleClass(
        "rule: parts of a month",
        PORTS,
        lambda parts: parts["FREQ"] == "MONTHLY" and len(parts) > 1,
        "3.3.10, table on p. 44",
        "BYMONTH under MONTHLY: Limit; BYMONTHDAY: Expand; BYDAY: Limit if BYMONTHDAY is "
        "present; otherwise, special expand for MONTHLY.",
        "fifth-monday",
    ),
    RuleClass(
        "rule: parts of a year",
        PORTS,
        lambda parts: parts["FREQ"] == "YEARLY" and len(parts) > 1,
        "3.3.10, table on p. 44",
        "BYMONTH, BYYEARDAY, BYMONTHDAY, BYHOUR under YEARLY: Expand; BYDAY: Limit if BYYEARDAY "
        "or BYMONTHDAY is present.",
        "yearly-bymonthday-alone",
    ),
)


def rule_class(difference: Difference) -> RuleClass | None:
    """The class of the series' rule, where the difference lies in the bare rule."""
    master = difference.sheet.master
    if master is None or master.rule is None:
        return None
    parts = master.rule.parts
    found = [one for one in RULES if difference.oracle in one.oracles and one.holds(parts)]
    return found[0] if found and bare_rule_differs(difference) else None
