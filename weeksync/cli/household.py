"""The household that a command works on, from its options or the environment."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from weeksync.cli.terminal import Terminal
from weeksync.workflow import Context, instant_now

ENVIRONMENT = "WEEKSYNC_HOUSEHOLD"
"""Names the household folder where no option does."""


def context_of(
    options: argparse.Namespace,
    terminal: Terminal,
    *,
    give_ids: bool = True,
    may_be_kept: bool = False,
) -> Context:
    """The household as read; from here on the terminal speaks its language."""
    folder = Path(options.household or os.environ.get(ENVIRONMENT, "."))
    now = instant_now(options.now)
    context = Context.read(folder, now, give_ids=give_ids, may_be_kept=may_be_kept)
    terminal.language = context.language
    return context
