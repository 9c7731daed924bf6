"""A person's plan as an iCalendar feed (RFC 5545), for the calendar on their own phone."""

from weeksync.feed.entries import Entry, entries
from weeksync.feed.plan_ics import plan_ics

__all__ = ["Entry", "entries", "plan_ics"]
