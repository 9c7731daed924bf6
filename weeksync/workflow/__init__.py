"""What joins the parts: one function for each thing a person asks weeksync to do."""

from __future__ import annotations

from importlib import resources

from weeksync.household import NewHousehold
from weeksync.plan.public_holidays import is_region
from weeksync.workflow.build import build
from weeksync.workflow.check import check
from weeksync.workflow.clock import instant_now
from weeksync.workflow.confirm import confirm
from weeksync.workflow.context import Context
from weeksync.workflow.demo import run_demo
from weeksync.workflow.new import answers_of, calendar_of, make_household
from weeksync.workflow.nightly import nightly
from weeksync.workflow.opening import open_store
from weeksync.workflow.outcome import Outcome, Status
from weeksync.workflow.pages_at import page_of
from weeksync.workflow.pull import pull
from weeksync.workflow.show import record, shown

__all__ = [
    "Context",
    "NewHousehold",
    "Outcome",
    "Status",
    "answers_of",
    "build",
    "calendar_of",
    "check",
    "confirm",
    "instant_now",
    "is_region",
    "make_household",
    "nightly",
    "open_store",
    "page_of",
    "pull",
    "record",
    "run_demo",
    "schema_text",
    "shown",
]


def schema_text() -> str:
    """The JSON Schema of the record that `show --json` prints."""
    return (resources.files("weeksync") / "schema" / "span-1.schema.json").read_text("utf-8")
