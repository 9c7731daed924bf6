"""`weeksync serve`: the pages on the tablets of the home, and their marks in the files."""

from __future__ import annotations

import argparse
import os
import webbrowser
from collections.abc import Callable
from pathlib import Path

from weeksync.cli.household import ENVIRONMENT
from weeksync.cli.terminal import Terminal
from weeksync.message import Message, message
from weeksync.workflow import Status
from weeksync.workflow.clock import clock_from
from weeksync.workflow.reader import Reader

Words = Callable[[Message], str]


def serve_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of the command."""
    parser.add_argument(
        "--host",
        metavar="ADDRESS",
        help=words(
            message("listen there, as 0.0.0.0 for the home network; without it as [serve] says")
        ),
    )
    parser.add_argument(
        "--port", type=_port, metavar="NUMBER", help=words(message("the port; 0 takes a free one"))
    )
    parser.add_argument(
        "--address",
        metavar="ADDRESS",
        help=words(message("how tablets write the home address, as https://home.arpa:8427")),
    )
    parser.add_argument(
        "--certificate", metavar="FILE", help=words(message("a certificate (PEM), for https"))
    )
    parser.add_argument(
        "--certificate-key", metavar="FILE", help=words(message("the key of the certificate (PEM)"))
    )
    parser.add_argument(
        "--open", action="store_true", help=words(message("show the start page in the browser"))
    )


def _port(text: str) -> int:
    number = int(text)
    if not 0 <= number <= 65_535:
        raise ValueError(text)
    return number


def run_serve(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status once it is told to end."""
    from weeksync.workflow.serve import Asked, serve  # the server: 0.2 seconds

    folder = Path(options.household or os.environ.get(ENVIRONMENT, "."))
    reader = Reader(folder, clock_from(options.now))
    context = reader.read()
    terminal.language = context.language

    def ready(address: str) -> None:
        terminal.say(message("The pages are at {address}", address=address))
        if options.address or context.config.serve.address:
            home = options.address or context.config.serve.address
            terminal.say(message("Tablets open {address}", address=home))
        terminal.out.flush()
        if options.open and not webbrowser.open(address):
            terminal.complain(
                message("no browser could be started; open the address above in one yourself")
            )

    def complain(why: Message) -> None:
        terminal.complain(why)
        terminal.err.flush()

    asked = Asked(
        options.host,
        options.port,
        options.address,
        _whole(options.certificate),
        _whole(options.certificate_key),
    )
    serve(reader, context, asked, ready=ready, complain=complain)
    return Status.FINE


def _whole(path: str | None) -> str | None:
    """A path of the command line is from the present folder on, not from the household's."""
    return str(Path(path).expanduser().absolute()) if path is not None else None
