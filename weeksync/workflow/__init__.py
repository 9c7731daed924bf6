"""What joins the parts: one function for each thing a person asks weeksync to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from weeksync.lazy import lazily

if TYPE_CHECKING:
    from weeksync.household import NewHousehold
    from weeksync.plan.public_holidays import is_region
    from weeksync.workflow.clock import instant_now
    from weeksync.workflow.context import Context
    from weeksync.workflow.demo import run_demo
    from weeksync.workflow.new import answers_of, calendar_of, make_household
    from weeksync.workflow.opening import open_store
    from weeksync.workflow.outcome import Outcome, Status
    from weeksync.workflow.pages_at import page_of
    from weeksync.workflow.show import record, shown

__all__ = [
    "Context",
    "NewHousehold",
    "Outcome",
    "Status",
    "answers_of",
    "calendar_of",
    "instant_now",
    "is_region",
    "make_household",
    "open_store",
    "page_of",
    "record",
    "run_demo",
    "shown",
]

__getattr__ = lazily(
    __name__,
    {
        "weeksync.household": ("NewHousehold",),
        "weeksync.plan.public_holidays": ("is_region",),
        "weeksync.workflow.clock": ("instant_now",),
        "weeksync.workflow.context": ("Context",),
        "weeksync.workflow.demo": ("run_demo",),
        "weeksync.workflow.new": ("answers_of", "calendar_of", "make_household"),
        "weeksync.workflow.opening": ("open_store",),
        "weeksync.workflow.outcome": ("Outcome", "Status"),
        "weeksync.workflow.pages_at": ("page_of",),
        "weeksync.workflow.show": ("record", "shown"),
    },
)
