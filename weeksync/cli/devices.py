"""`weeksync devices`: the tablets and telephones that may come in."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable

from weeksync.cli.household import context_of
from weeksync.cli.scannable import scannable
from weeksync.cli.terminal import Terminal
from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.workflow import Context, Status

Words = Callable[[Message], str]


def devices_options(parser: argparse.ArgumentParser, words: Words) -> None:
    """The options of the command."""
    what = parser.add_mutually_exclusive_group()
    what.add_argument(
        "--add", metavar="NAME", help=words(message("a code that lets this device in once"))
    )
    what.add_argument(
        "--revoke", metavar="NAME", help=words(message("let this device in no longer"))
    )
    what.add_argument(
        "--feed",
        metavar="NAME",
        help=words(
            message("with --person: an address by which this phone's calendar fetches the plan")
        ),
    )
    what.add_argument("--json", action="store_true", help=words(message("the list as JSON")))
    parser.add_argument(
        "--person",
        metavar="ID",
        help=words(
            message(
                "with --add: whose device it is; it may mark what is only for that person; "
                "with --feed: whose plan it is"
            )
        ),
    )


def run_devices(options: argparse.Namespace, terminal: Terminal) -> int:
    """The command; its exit status."""
    from weeksync.workflow.access import access_of, as_devices_record  # the server: 0.2 seconds

    context = context_of(options, terminal, give_ids=False)
    if options.person is not None and options.add is None and options.feed is None:
        raise UsageError(message("--person goes with --add or --feed"))
    if options.add is not None:
        _add(context, terminal, options.add, options.person)
    elif options.feed is not None:
        _feed(context, terminal, options.feed, options.person)
    elif options.revoke is not None:
        _revoke(context, terminal, options.revoke)
    elif options.json:
        access = access_of(context)
        record = as_devices_record(access.devices(), access.pins())
        json.dump(record, terminal.out, ensure_ascii=False, indent=1)
        terminal.out.write("\n")
    else:
        _list(context, terminal)
    return Status.FINE


def _add(context: Context, terminal: Terminal, name: str, person: str | None) -> None:
    from weeksync.workflow.access import add_device

    made = add_device(context, name, person)
    terminal.say(
        message("The code of {name}: {code}; once, within ten minutes", name=name, code=made.code)
    )
    if not made.link:
        terminal.say(
            message(
                "Write how tablets reach this machine as address under [serve] of config.toml, "
                "and this command shows a code to scan as well"
            )
        )
        return
    terminal.say(message("Scan it with the device, or open there: {link}", link=made.link))
    if terminal.watched:
        terminal.say(scannable(made.link, terminal.out))
    if made.here_only:
        terminal.say(
            message(
                "This address is of this machine alone; for others set host and address under "
                "[serve] of config.toml"
            )
        )


def _feed(context: Context, terminal: Terminal, name: str, person: str | None) -> None:
    from weeksync.workflow.feed import feed_address

    if person is None:
        raise UsageError(message("say whose plan it is, as --person {id}", id=context.first_person))
    address = feed_address(context, name, person)
    terminal.say(message("Subscribe to this address in the phone's calendar: {link}", link=address))
    if terminal.watched:
        terminal.say(scannable(address, terminal.out))
    terminal.say(
        message(
            "It is shown only now. Whoever has it can read the plan, until weeksync devices "
            "--revoke {name}",
            name=name,
        )
    )


def _revoke(context: Context, terminal: Terminal, name: str) -> None:
    from weeksync.workflow.access import access_of

    access = access_of(context)
    if not access.revoke(name):
        known = ", ".join(one.name for one in access.devices()) or "–"
        raise UsageError(
            message('there is no device "{name}"; there are: {known}', name=name, known=known)
        )
    terminal.say(message("{name} is let in no longer", name=name))


def _list(context: Context, terminal: Terminal) -> None:
    from weeksync.workflow.access import access_of

    devices = access_of(context).devices()
    if not devices:
        terminal.say(message("No device yet; weeksync devices --add NAME lets one in"))
    for one in devices:
        day = context.language.date(one.added_at.astimezone(context.tz).date())
        person = context.config.person(one.person)
        whose = person.name if person is not None else one.person
        if one.pending and not one.scopes:
            terminal.say(message("{name}: its code is waiting", name=one.name))
        elif whose:
            terminal.say(
                message("{name}: of {person}, since {day}", name=one.name, person=whose, day=day)
            )
        else:
            terminal.say(message("{name}: since {day}", name=one.name, day=day))
