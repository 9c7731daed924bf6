"""A night asks the kernel for nothing that the shipped units refuse, tried under a real filter."""

from __future__ import annotations

import ctypes
from collections.abc import Iterable

from tests.support.households import calendar, event, write_household
from tests.support.unprivileged import give_away, shared_folder, unprivileged
from weeksync.cli import main

PRIVILEGED = (
    "chown", "fchown", "fchownat", "lchown", "adjtimex", "clock_adjtime", "clock_settime",
    "settimeofday", "delete_module", "finit_module", "init_module", "ioperm", "iopl",
    "kexec_file_load", "kexec_load", "reboot", "swapoff", "swapon", "acct", "bpf", "capset",
    "chroot", "fanotify_init", "fanotify_mark", "open_by_handle_at", "pivot_root", "quotactl",
    "quotactl_fd", "setdomainname", "setfsuid", "setgroups", "sethostname", "setresuid",
    "setreuid", "setuid", "vhangup",
)  # fmt: skip
"""What `systemd-analyze syscall-filter @privileged` of systemd 252 lists, @chown among it."""
ALLOW, KILL = 0x7FFF0000, 0x80000000
"""seccomp(2): SECCOMP_RET_ALLOW and SECCOMP_RET_KILL_PROCESS."""


def refuse(names: Iterable[str]) -> None:
    """From here on this process is killed for any of these calls."""
    library = ctypes.CDLL("libseccomp.so.2")  # apt itself needs it
    library.seccomp_init.restype = ctypes.c_void_p
    rules = ctypes.c_void_p(library.seccomp_init(ctypes.c_uint32(ALLOW)))
    for name in names:
        number = library.seccomp_syscall_resolve_name(name.encode())
        if number >= 0:  # a call that this machine does not have cannot be asked for
            assert library.seccomp_rule_add(rules, ctypes.c_uint32(KILL), number, 0) == 0
    assert library.seccomp_load(rules) == 0


def test_a_night_that_replaces_every_file_is_not_killed() -> None:
    """Pages, state, status and note of the night before are there: each is replaced."""
    with shared_folder() as home:
        write_household(home, '\n[[calendars]]\nid = "family"\npath = "family.ics"\n')

        def night(day: int) -> int:
            choir = event("choir@home.arpa", f"202703{day}T190000", "Choir")
            (home / "family.ics").write_text(calendar(choir))
            return main(["nightly", "--household", str(home), "--now", f"2027-03-{day}T04:00:00Z"])

        assert night(22) == night(23) == 0  # loads all that the third one uses
        give_away(home, *home.rglob("*"))

        def check() -> None:
            refuse(PRIVILEGED)
            assert night(24) == 0

        unprivileged(check)
        assert "2027-03-24T04:00:00" in (home / "output" / "status.json").read_text()
