"""The command line: `weeksync COMMAND …`.

Exit status: 0 fine, 1 finished but with problems, 2 wrong use or configuration, 3 nothing could
be done. What a command did goes to standard output, problems go to standard error.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; its exit status."""
    from weeksync.cli.run import run

    try:
        return run(sys.argv[1:] if argv is None else list(argv))
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # the reader of our output has gone, as `weeksync show | head`
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
