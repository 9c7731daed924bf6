"""The demo: the whole thing on an invented household, nothing to configure."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from weeksync import demo as household
from weeksync.language import Language
from weeksync.workflow.context import Context
from weeksync.workflow.nightly import nightly
from weeksync.workflow.outcome import Outcome
from weeksync.workflow.progress import Progress


def run_demo(
    folder: Path,
    *,
    home: Path | None = None,
    locale: str = "",
    now: datetime | None = None,
    progress: Progress | None = None,
) -> Outcome:
    """Copy the demo household to `home` (`folder/household`) and build its pages in `folder`.

    It plays at a fixed instant of its own unless `now` says otherwise, and in British English
    unless `locale` does (HouseholdError where CLDR has none of that name). A household there
    that is not the demo's is left alone (BuildError).
    """
    spoken = str(Language(locale).locale) if locale else ""
    home = household.copy_to(home or folder / "household", spoken)
    context = Context.read(home, now or household.NOW, output=folder)
    return nightly(context, progress=progress)
