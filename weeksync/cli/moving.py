"""`weeksync pack` and `weeksync unpack`: a household as one zip, and back."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path

from weeksync.cli.household import context_of
from weeksync.cli.terminal import Terminal
from weeksync.message import Message, message
from weeksync.workflow import instant_now

Words = Callable[[Message], str]


def pack_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of `weeksync pack`."""
    parser.add_argument(
        "file",
        nargs="?",
        metavar="FILE.zip",
        help=words(message("where to; without it weeksync-DAY.zip in this folder")),
    )
    parser.add_argument(
        "--force", action="store_true", help=words(message("write over a file that is there"))
    )


def run_pack(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    from weeksync.workflow.moving import pack_household

    context = context_of(options, terminal)
    path = Path(options.file) if options.file else None
    return terminal.tell(pack_household(context, path, force=options.force), always=True)


def unpack_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of `weeksync unpack`."""
    parser.add_argument(
        "file", metavar="FILE.zip", help=words(message("the zip that weeksync pack has written"))
    )
    parser.add_argument(
        "folder",
        metavar="FOLDER",
        help=words(message("a new or an empty folder, which becomes the household's")),
    )


def run_unpack(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    from weeksync.workflow.moving import unpack_household

    now = instant_now(options.now)
    context, outcome = unpack_household(Path(options.file), Path(options.folder), now)
    terminal.language = context.language
    return terminal.tell(outcome, always=True)
