"""The command line: `weeksync COMMAND …`.

Exit status: 0 fine, 1 finished but with problems, 2 wrong use or configuration, 3 nothing could
be done. What a command did goes to standard output, problems go to standard error.
"""

from __future__ import annotations

import gc
import io
import os
import sys
from collections.abc import Sequence


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; its exit status."""
    words = sys.argv[1:] if argv is None else list(argv)
    if words[:1] == ["nightly"]:
        from weeksync.lean import quiet_night

        if (status := quiet_night(words[1:])) is not None:
            return status
    # Calendars, and what is imported, are a hundred thousand small things that stay: looking
    # through them for cycles, as often as Python does by itself, takes a tenth and finds none.
    gc.set_threshold(100_000, 50, 100)
    # pydantic would look through the metadata of every installed package for plugins.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from weeksync.cli.run import run

    _mend_streams()
    try:
        return run(words)
    except KeyboardInterrupt:
        return 130
    except BrokenPipeError:  # the reader of our output has gone, as `weeksync show | head`
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _mend_streams() -> None:
    """Closed streams lead nowhere; letters an old terminal lacks are written as escapes."""
    sys.stdin = sys.stdin or open(os.devnull, encoding="utf-8")  # noqa: SIM115 - until we end
    sys.stdout = sys.stdout or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    sys.stderr = sys.stderr or open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")
