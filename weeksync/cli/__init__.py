"""The command line: `weeksync COMMAND …`.

Exit status: 0 fine, 1 finished but with problems, 2 wrong use or configuration, 3 nothing could
be done. What a command did goes to standard output, problems go to standard error.
"""

from __future__ import annotations

import atexit
import gc
import io
import os
import sys
from collections.abc import Sequence
from typing import NoReturn


def command() -> NoReturn:
    """`main` as a process of its own: end with its status, without taking Python apart first.

    Before a process ends, Python frees its hundreds of modules one by one, which takes as long
    as making a week's page. What an orderly end means is done all the same: what others asked to
    be done at the end, and what was written goes out. Wherever that is not all (a thread still
    runs, the output cannot be written, something traces us), Python ends us as usual.
    """
    try:
        status = main()
    except SystemExit as end:  # `--help`, or wrong use of a command
        if not isinstance(end.code, int):
            raise
        status = end.code
    threads = sys.modules.get("threading")
    if sys.gettrace() or sys.getprofile() or (threads and threads.active_count() > 1):
        sys.exit(status)
    atexit._run_exitfuncs()
    for stream in (sys.stdout, sys.stderr):
        try:
            if stream is not None and not stream.closed:
                stream.flush()
        except (OSError, ValueError):
            sys.exit(status)  # Python tries again, says so and turns the status into 120
    os._exit(status)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; its exit status."""
    words = sys.argv[1:] if argv is None else list(argv)
    if words[:1] == ["nightly"]:
        from weeksync.lean import quiet_night

        if (status := quiet_night(words[1:])) is not None:
            return status
    # Calendars, and what is imported, are some hundred thousand small things that stay: looking
    # through them for cycles, as often as Python does by itself, takes a tenth and finds none.
    # Only what runs for weeks has cycles to be freed of.
    gc.set_threshold(100_000 if words[:1] == ["serve"] else 300_000, 50, 100)
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
