"""Running a part of a test without the powers of root, for whom no permission exists."""

from __future__ import annotations

import os
import tempfile
import traceback
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import rmtree

NOBODY = 65534


@contextmanager
def shared_folder() -> Iterator[Path]:
    """A temporary folder that another user can reach; it and what is in it may be given away."""
    folder = Path(tempfile.mkdtemp(prefix="weeksync-test-"))
    folder.chmod(0o755)
    try:
        yield folder
    finally:
        rmtree(folder)


def give_away(*paths: Path) -> None:
    """Makes `nobody` the owner of these files, where this is root."""
    if os.geteuid() == 0:
        for path in paths:
            os.chown(path, NOBODY, NOBODY)


def unprivileged(check: Callable[[], object]) -> None:
    """Calls `check` in a process of its own without root's powers; raises what it raised."""
    with warnings.catch_warnings():  # Python 3.12 warns of threads, which the check has none of
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        status = 1
        try:
            if os.geteuid() == 0:
                os.setgroups([])
                os.setgid(NOBODY)
                os.setuid(NOBODY)
            check()
            status = 0
        except BaseException:
            traceback.print_exc()
        finally:
            os._exit(status)
    _, ended = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(ended) == 0, "see the traceback above"
