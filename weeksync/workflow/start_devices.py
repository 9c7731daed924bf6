"""The step of tablets and PINs: a code that lets a tablet in, and what opens one's own pages.

Only at the computer itself. A PIN is given to somebody who has none; to change one is for whoever
sits at the terminal, since this page asks nobody who they are.
"""

from __future__ import annotations

from weeksync.errors import UsageError
from weeksync.household.config_edits import save, set_values
from weeksync.household.listing import CONFIG
from weeksync.message import message
from weeksync.serve.access import LEAST_PIN
from weeksync.serve.options import Options, is_loopback
from weeksync.site.record import FormField, FormGroup, Option
from weeksync.workflow.access import access_of, add_device
from weeksync.workflow.context import Context
from weeksync.workflow.start_basics import Body
from weeksync.workflow.start_last import command_of
from weeksync.workflow.start_typed import FieldWrong, Typed

EVERYWHERE = "0.0.0.0"  # noqa: S104 - written where somebody ticks that the home may come in


def devices_body(context: Context, typed: Typed, *, here: bool) -> Body:
    """Who has no PIN yet, and the name of a tablet."""
    say = context.language.text
    if not here:
        what = message("Devices and PINs are given out at the computer that weeksync runs on.")
        return {"notes": (say(what),)}
    access = access_of(context)
    with_pin, known = access.pins(), access.devices()
    without = tuple(one for one in context.config.people if one.id not in with_pin)
    there = [
        say(message("{name} has a PIN", name=one.name))
        for one in context.config.people
        if one.id in with_pin
    ]
    there += [one.name for one in known if not one.pending]
    return {
        "there": tuple(there),
        "groups": (_tablet(context, typed),),
        "buttons": (("code", say(message("Make a code"))),),
        "pin": _pin(context, typed, tuple(Option(one.id, one.name) for one in without)),
        "pin_save": say(message("Set the PIN")),
    }


def _tablet(context: Context, typed: Typed) -> FormGroup:
    say = context.language.text
    fields = [
        FormField(
            "text",
            "device",
            say(message("Name of the tablet")),
            (typed.one("device", say(message("kitchen"))),),
            hint=say(
                message(
                    "A code lets it in once, within ten minutes. From then on every browser needs "
                    "one, the one on this computer, too."
                )
            ),
            most=60,
        )
    ]
    if is_loopback(context.config.serve.host) and not context.config.serve.address:
        ticked = ("yes",) if typed.yes("home") else ()
        what = message("Let the devices of the home network in from the next start on")
        fields.append(FormField("yes", "home", say(what), ticked))
    return FormGroup(say(message("A tablet")), tuple(fields))


def _pin(context: Context, typed: Typed, people: tuple[Option, ...]) -> tuple[FormField, ...]:
    """Nothing where everybody has one."""
    if not people:
        return ()
    say = context.language.text
    first = (typed.one("person", people[0].value),)
    return (
        FormField("choice", "person", say(message("Whose")), first, people, narrow=True),
        FormField(
            "password",
            "pin",
            say(message("PIN, at least {least} letters or digits", least=LEAST_PIN)),
        ),
        FormField("password", "again", say(message("The same once more"))),
    )


def give_pin(context: Context, typed: Typed) -> tuple[FieldWrong, ...]:
    """A PIN for somebody who has none."""
    access, person, pin = access_of(context), typed.one("person"), typed.raw("pin")
    if context.config.person(person) is None or person in access.pins():
        what = message("a PIN that is set is changed in the terminal, with weeksync pin")
        return (FieldWrong("person", what),)
    if pin != typed.raw("again"):
        return (FieldWrong("again", message("the two are not the same; nothing was changed")),)
    try:
        access.set_pin(person, pin)
    except UsageError as error:
        return (FieldWrong("pin", error.message),)
    return ()


def give_code(context: Context, typed: Typed) -> Body:
    """A code for a tablet, and what is to be done with it; UsageError for a name that cannot be."""
    say = context.language.text
    made = add_device(context, typed.one("device"), None)
    if typed.yes("home") and is_loopback(context.config.serve.host):
        save(context.folder, CONFIG, set_values("serve", {"host": EVERYWHERE}))
        context = Context.read(context.folder, context.now, output=context.output_folder)
    serve = context.config.serve
    blocks = [
        (
            say(message("The code of {name}, once, within ten minutes", name=typed.one("device"))),
            made.code,
        ),
        (
            say(message("End what runs now with Ctrl-C, and start the pages for the home:")),
            command_of(context, "serve"),
        ),
    ]
    if not is_loopback(serve.host) or serve.address:
        scheme = "https" if serve.certificate and not serve.address else "http"
        home = Options(host=serve.host, port=serve.port, address=serve.address).own_address
        address = home if serve.address else home.replace("http", scheme, 1)
        blocks.append(
            (say(message("Open on the tablet, and type the code:")), f"{address}/sign-in")
        )
    return {"blocks": tuple(blocks), "groups": (), "buttons": (), "pin": ()}
