"""The classes of differences that RFC 5545 settles in our favour, or leaves open.

Each class names the oracles it is about, what of a pair it explains (see `comparing`), the
section that decides and its words, and a case in `data/cases` that shows our answer. It is as
narrow as can be: wherever the other answer can be foretold, it must be the foretold one.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tests.calendar.oracles import predicates as is_
from tests.calendar.oracles.comparing import Difference, Pair
from tests.calendar.oracles.explained_rules import rule_class

ALL = frozenset(("ical.js", "libical", "RIE", "dateutil"))


@dataclass(frozen=True, slots=True)
class Explained:
    """A class of differences."""

    name: str
    oracles: frozenset[str]
    about: str
    holds: Callable[[Difference, Pair], bool]
    section: str
    words: str
    case: str


def _class(
    name: str,
    oracles: str,
    about: str,
    holds: Callable[[Difference, Pair], bool],
    section: str,
    words: str,
    case: str,
) -> Explained:
    named = frozenset(oracles.split()) if oracles else ALL
    return Explained(name, named, about, holds, section, words, case)


CLASSES = (
    _class(
        "gap read with the offset after it", "ical.js RIE libical", "start",
        is_.start_in_gap, "3.3.5",
        "If the local time described does not occur (when changing from standard to daylight "
        "time), the DATE-TIME value is interpreted using the UTC offset before the gap in local "
        "times.",
        "gap-instance-is-shifted",
    ),
    _class(
        "repeated time read as the second one", "ical.js libical", "start",
        is_.start_in_fold, "3.3.5",
        "If the local time described occurs more than once (when changing from daylight to "
        "standard time), the DATE-TIME value refers to the first occurrence of the referenced "
        "time.",
        "gap-and-repeat",
    ),
    _class(
        "shifted in a gap and never back", "libical", "start",
        is_.stuck_after_gap, "3.8.5.3",
        "Information, not contained in the rule, necessary to determine the various recurrence "
        "instance start time and dates are derived from the Start Time (DTSTART) component "
        "attribute.",
        "gap-instance-is-shifted",
    ),
    _class(
        "wall-clock length over a clock change", "ical.js RIE libical", "end",
        is_.wall_length, "3.8.5.3",
        "If the duration of the recurring component is specified with the \"DTEND\" or \"DUE\" "
        "property, then the same exact duration will apply to all the members of the generated "
        "recurrence set.",
        "night-shift-by-dtend",
    ),
    _class(
        "a length from or to a skipped or repeated time", "ical.js RIE libical", "end",
        is_.length_at_a_change, "3.3.5",
        "If the local time described occurs more than once …, the DATE-TIME value refers to the "
        "first occurrence of the referenced time. … does not occur …: interpreted using the UTC "
        "offset before the gap in local times.",
        "ends-about-the-repeat",
    ),
    _class(
        "the same instance twice", "ical.js RIE", "presence",
        is_.again, "3.8.5.2",
        "Duplicate instances are ignored.",
        "rdate-duplicates",
    ),
    _class(
        "an override of an excepted instance is dropped", "ical.js RIE", "presence",
        is_.override_of_excepted, "3.8.4.4",
        "This property is used in conjunction with the \"UID\" and \"SEQUENCE\" properties to "
        "identify a specific instance of a recurring \"VEVENT\", \"VTODO\", or \"VJOURNAL\" "
        "calendar component. (Whether an EXDATE takes its override away is not said.)",
        "override-of-an-excepted-instance",
    ),
    _class(
        "an override named in a third zone is not found", "ical.js", "presence",
        is_.named_elsewhere, "3.3.5",
        "The form of date and time with time zone reference: TZID names the zone in which the "
        "local time is read; instances are the same where their instants are.",
        "override-named-in-a-third-zone",
    ),
    _class(
        "an exception takes away a second instance", "RIE", "presence",
        is_.same_wall_time, "3.8.5.1",
        "The \"EXDATE\" property can be used to exclude the value specified in \"DTSTART\" … "
        "the exception date-times, not other ones of that day.",
        "exdate-one-of-two-a-day",
    ),
    _class(
        "UNTIL of another form than RFC 5545 wants", "", "presence",
        is_.at_odd_until, "3.3.10",
        "If the \"DTSTART\" property is specified as a date with UTC time or a date with local "
        "time and time zone reference, then the UNTIL rule part MUST be specified as a date "
        "with UTC time.",
        "until-as-local-time",
    ),
    _class(
        "DTSTART off its rule", "", "presence",
        is_.start_off_rule, "3.8.5.3",
        "The recurrence set generated with a \"DTSTART\" property value not synchronized with "
        "the recurrence rule is undefined.",
        "dtstart-off-its-rule",
    ),
    _class(
        "hours counted exactly over a clock change", "libical", "start",
        is_.hours_are_exact, "3.3.10",
        "BYHOUR … The BYSECOND, BYMINUTE and BYHOUR rule parts … the local time of the DTSTART "
        "property (p. 43: information not in the rule is derived from DTSTART).",
        "hourly-over-both-changes",
    ),
    _class(
        "hours counted exactly fall elsewhere", "libical", "presence",
        is_.hours_after_a_change, "3.3.10",
        "BYHOUR … the local time of the DTSTART property.",
        "hourly-over-both-changes",
    ),
    _class(
        "a skipped time is another instance", "libical ical.js RIE", "presence",
        is_.skipped_time, "3.3.5",
        "If the local time described does not occur …, the DATE-TIME value is interpreted using "
        "the UTC offset before the gap in local times.",
        "exdate-in-the-gap",
    ),
    _class(
        "EXDATE as a date in a timed series", "ical.js libical RIE", "presence",
        is_.day_excepted, "3.8.5.1",
        "The default value type for this property is DATE-TIME. The value type can be set to "
        "DATE.",
        "exdate-as-date",
    ),
    _class(
        "days counted from a skipped time", "RIE", "end",
        is_.days_from_the_gap, "3.3.6",
        "The duration of a week or a day depends on its position in the calendar.",
        "a-week-from-the-gap",
    ),
    _class(
        "a PERIOD gives way to the rule's instance", "RIE", "end",
        is_.period_without_length, "3.8.5.2",
        "the duration of the recurrence instance will be the one specified by the \"RDATE\" "
        "property, and not the duration of the recurrence instance defined by the \"DTSTART\" "
        "property",
        "period-on-a-ruled-instance",
    ),
    _class(
        "a range named in another zone shifts by both clocks", "ical.js", "start",
        is_.shifted_between_zones, "3.2.13",
        "the effective range … The given instance and all subsequent instances: moved by the "
        "difference of DTSTART to the instance named, whichever zone names it.",
        "this-and-future-named-in-another-zone",
    ),
    _class(
        "a range named in another zone shifts out of reach", "ical.js", "presence",
        is_.shifted_out_of_reach, "3.2.13",
        "the effective range … The given instance and all subsequent instances: moved by the "
        "difference of DTSTART to the instance named, whichever zone names it.",
        "this-and-future-named-in-another-zone",
    ),
    _class(
        "shifted in a gap, and past its exception", "libical", "presence",
        is_.excepted_but_shifted, "3.8.5.1",
        "The final recurrence set is generated by gathering all of the start DATE-TIME values … "
        "and then excluding any start DATE-TIME values specified by \"EXDATE\" properties.",
        "gap-instance-is-shifted",
    ),
    _class(
        "an exception behind one that hits nothing", "ical.js", "presence",
        is_.excepted_after_another, "3.8.5.1",
        "The final recurrence set is generated by gathering all of the start DATE-TIME values … "
        "and then excluding any start DATE-TIME values specified by \"EXDATE\" properties.",
        "exdate-lists",
    ),
    _class(
        "moved by a day that does not exist", "libical", "presence",
        is_.after_a_lost_day, "3.3.10",
        "The recurrence instances of a rule are local times; a day the zone passes over moves "
        "no later one.",
        "day-that-does-not-exist",
    ),
    _class(
        "an override of no instance", "ical.js", "presence",
        is_.override_of_none, "3.8.4.4",
        "identify a specific instance of a recurring calendar component. (An instance the "
        "series does not have is not spoken of.)",
        "override-outside-its-series",
    ),
    _class(
        "overrides of a cancelled series", "ical.js RIE libical", "cancelled",
        is_.master_cancelled, "3.8.1.11",
        "CANCELLED: indicates event was cancelled. (Whether that reaches its overrides is not "
        "said.)",
        "cancelled-series-takes-its-overrides",
    ),
)  # fmt: skip


def explain(difference: Difference) -> tuple[set[str], list[Pair]]:
    """(names of the classes that were needed, pairs that none explains)."""
    names: set[str] = set()
    left = []
    for pair in difference.pairs:
        found = _names(difference, pair)
        if found is None and pair.whole is not None:
            # Not one thing told differently, perhaps, but two that the other side has not.
            ours, theirs = _names(difference, Pair(pair.ours, None)), None
            if ours is not None:
                theirs = _names(difference, Pair(None, pair.theirs))
            found = ours | theirs if ours is not None and theirs is not None else None
        if found is None:
            left.append(pair)
        else:
            names |= found
    if left and (rule := rule_class(difference)) is not None:
        return {rule.name}, []
    return names, left


def _names(difference: Difference, pair: Pair) -> set[str] | None:
    """The classes that explain all of a pair, None where something is left."""
    classes = [one for one in CLASSES if difference.oracle in one.oracles]
    found = [_first(classes, difference, pair, about) for about in pair.differences()]
    return None if None in found else {name for name in found if name is not None}


def _first(classes: list[Explained], difference: Difference, pair: Pair, about: str) -> str | None:
    return next(
        (one.name for one in classes if one.about == about and one.holds(difference, pair)),
        None,
    )
