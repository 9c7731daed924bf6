"""Chromium in a home folder of its own whose user has told it to trust a certificate authority.

The authority is put where Chromium on Linux keeps what a person imported: the NSS database of
the home folder, written by `certutil` of Debian's libnss3-tools.
"""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Playwright

from tests.support.chromium import ARGUMENTS, CHROMIUM, root_command

KITCHEN = "kitchen.local"
"""A name of the home network; in this browser it is this machine."""

STRANGER = "stranger.local"
"""Another name of it, for which no certificate was made."""


@contextmanager
def trusting(
    playwright: Playwright, folder: Path, authority: Path | None
) -> Iterator[BrowserContext]:
    """Windows of a person who trusts `authority`, or of one who trusts none beyond the usual."""
    for need in (str(CHROMIUM), "certutil"):
        if shutil.which(need) is None:
            pytest.fail(f"{need} is missing; run as root: {root_command()}")
    home = folder / "home"
    database = home / ".pki" / "nssdb"
    database.mkdir(parents=True)
    certutil = ["certutil", "-d", f"sql:{database}"]
    subprocess.run([*certutil, "-N", "--empty-password"], check=True)
    if authority is not None:
        line = [*certutil, "-A", "-t", "C,,", "-n", "household", "-i", str(authority)]
        subprocess.run(line, check=True)
    names = ", ".join(f"MAP {name} 127.0.0.1" for name in (KITCHEN, STRANGER))
    context = playwright.chromium.launch_persistent_context(
        folder / "profile",
        executable_path=CHROMIUM,
        args=[*ARGUMENTS, f"--host-resolver-rules={names}"],
        env={**os.environ, "HOME": str(home)},
        timezone_id="Europe/London",
        locale="en-GB",
    )
    try:
        yield context
    finally:
        context.close()
