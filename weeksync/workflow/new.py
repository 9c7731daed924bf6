"""A new household folder."""

from __future__ import annotations

from pathlib import Path

from weeksync.household import NewHousehold, create_household
from weeksync.message import message
from weeksync.workflow.clock import instant_now
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome


def make_household(folder: Path, answers: NewHousehold) -> Outcome:
    """Write the folder and read it back; HouseholdError where there is a household already."""
    written = create_household(folder, answers)
    context = Context.read(folder, instant_now(None))
    done = [message("Written: {place}", place=str(place)) for place in written]
    done.append(
        message("Next: weeksync nightly --household {folder}", folder=str(folder)),
    )
    return Outcome.of(done, context.files.problems)
