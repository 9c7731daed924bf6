"""`python -m weeksync` is the command `weeksync`."""

from weeksync.cli import command

command()
