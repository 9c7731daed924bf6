"""The feed of a person's plan, and the secret addresses by which phones fetch it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, time
from pathlib import Path

from weeksync.errors import UsageError
from weeksync.feed import entries, plan_ics
from weeksync.household import replace_file
from weeksync.language.day_parts import PART_NAMES
from weeksync.message import message
from weeksync.model.fields import DayPart
from weeksync.plan import views
from weeksync.store import Store
from weeksync.workflow.access import access_of, home_address, known_person
from weeksync.workflow.build import Window, week_of
from weeksync.workflow.context import Context
from weeksync.workflow.gather import gather

WEEKS = 4
"""How many weeks stand in it, the one under way included: further off a plan is a guess."""


def feed_of(context: Context, person: str) -> bytes:
    """The plan of a person from today on, as far as there are weeks; UsageError for nobody.

    What is only for others is not in it. The bytes are the same for the whole day where nothing
    of the plan changes.
    """
    name = known_person(context, person)
    window = Window.of(context)
    coming = [one for one in window.weeks if context.rule.days(one)[-1] >= context.today]
    weeks = coming[:WEEKS]
    part = replace(window, weeks=tuple(weeks), months=())
    with Store.open(context.state, write=False) as store:
        planner = gather(context, store, part.first, part.last).planner
    spreads = [views.for_person(week_of(context, planner, one), person) for one in weeks]
    settings = context.config.feed
    language = context.language

    def habit_lines(part: DayPart | None, titles: Sequence[str]) -> str:
        when = language.text(PART_NAMES[part] if part is not None else message("Habits"))
        return language.text(message("{when}: {what}", when=when, what=language.joined(titles)))

    lines = habit_lines if settings.habits else None
    found = entries(spreads, person, context.tz, context.today, lines)
    return plan_ics(
        found,
        name=language.text(message("Plan of {name}", name=name)),
        tentative=language.text(message("Proposed: {title}", title="")),
        written=datetime.combine(context.today, time(), UTC),
        alarm_minutes=settings.alarm_minutes,
    )


def write_feed(context: Context, person: str, place: Path) -> None:
    """The same into a file, for its owner alone; HouseholdError where it cannot be written."""
    replace_file(place, feed_of(context, person), mode=0o600)


def feed_address(context: Context, device: str, person: str) -> str:
    """A new secret address for a phone, to be taken back as any device; it is told only once.

    UsageError where nobody has that id, or nothing says how a phone reaches this machine.
    """
    known_person(context, person)
    address = home_address(context.config.serve)
    if not address:
        raise UsageError(
            message(
                "nothing says how a phone reaches this machine; write address under [serve] of "
                "config.toml, as https://home.arpa:8427"
            )
        )
    token = access_of(context).give(device, person, "feed")
    return f"{address}/feeds/{token}/plan.ics"
