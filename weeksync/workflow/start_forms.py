"""`/start/`: the first evening as pages, and the same steps later to add one thing.

One page a step. What is sent is written at once, so that an evening can end after any of them;
each step can be left out and come back to.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from weeksync.errors import WeeksyncError
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.serve.desk import FormAnswer, FormPage, GoTo, Sender, Unlock
from weeksync.site.forms import render_served, served_frame
from weeksync.site.record import (
    FormField,
    FormGroup,
    Link,
    MistakeLine,
    StartOffer,
    StartPage,
    StartRow,
    StartStep,
)
from weeksync.workflow import start
from weeksync.workflow.context import Context
from weeksync.workflow.field_words import in_words
from weeksync.workflow.kept_pages import templates_of
from weeksync.workflow.start_basics import (
    Body,
    areas_body,
    areas_save,
    day_parts_body,
    day_parts_save,
    household_body,
    household_save,
    people_body,
    people_save,
)
from weeksync.workflow.start_calendars import calendars_body, take_in
from weeksync.workflow.start_devices import devices_body, give_code, give_pin
from weeksync.workflow.start_last import nightly_body, nightly_do, print_body
from weeksync.workflow.start_pocket import POCKET
from weeksync.workflow.start_things import (
    bills_body,
    bills_save,
    habits_body,
    habits_save,
    routines_body,
    routines_save,
)
from weeksync.workflow.start_typed import Fields, FieldWrong, Typed
from weeksync.workflow.undo import said, undo_line, undoable
from weeksync.workflow.versions import digests, stale

CONFIG = "config.toml"


@dataclass(frozen=True, slots=True)
class _Form:
    """A step that is a form: its fields, what writes them, and whether it changes what stands."""

    body: Callable[[Context, Typed], Body]
    save: Callable[[Context, Typed], tuple[FieldWrong, ...]]
    changes: bool = False


FORMS: Mapping[str, _Form] = {
    "household": _Form(household_body, household_save, changes=True),
    "people": _Form(people_body, people_save, changes=True),
    "areas": _Form(areas_body, areas_save, changes=True),
    "day-parts": _Form(day_parts_body, day_parts_save, changes=True),
    "routines": _Form(routines_body, routines_save),
    "habits": _Form(habits_body, habits_save),
    "bills": _Form(bills_body, bills_save),
}


def show(
    context: Context, rest: str, query: Mapping[str, str], sender: Sender
) -> FormAnswer | None:
    """The page of a step, or with "" the one that leads to all of them."""
    if _is_locked(sender):
        return Unlock()
    if rest == "":
        return FormPage(_overview(context, sender))
    if start.step(rest) is None:
        return None
    body = _body(context, rest, Typed(), sender, query.get("look", ""))
    return FormPage(_page(context, rest, body, sender))


def take(context: Context, rest: str, fields: Fields, sender: Sender) -> FormAnswer | None:
    """Write what was filled in, and go on."""
    if _is_locked(sender):
        return Unlock()
    step = start.step(rest)
    if step is None:
        return None
    typed = Typed(fields)
    do = typed.one("do")
    if do == "leave":
        start.leave_out(context, rest)
        return _on(context, rest)
    if do == "finish":
        start.mark_done(context, rest)
        return GoTo("/")
    try:
        if rest == "calendars":
            return _calendars(context, typed, do, sender)
        if rest == "nightly":
            return _nightly(context, do, sender)
        if rest == "devices":
            return _devices(context, typed, do, sender)
        if rest in FORMS:
            return _form(context, step, fields, sender)
    except WeeksyncError as error:  # nothing was written, and what was typed is not lost
        return _again(context, rest, typed, (FieldWrong("", error.message),), sender)
    return None


def _is_locked(sender: Sender) -> bool:
    """On a tablet this is for somebody with a PIN: passwords and files are asked for here."""
    return bool(sender.device) and sender.person is None


def _on(context: Context, rest: str) -> GoTo:
    """The next step that is open."""
    return GoTo(f"/start/{start.course(context).after(rest)}")


def _form(context: Context, step: start.Step, fields: Fields, sender: Sender) -> FormAnswer:
    form, typed = FORMS[step.id], Typed(fields)
    if form.changes and stale(context, fields, (CONFIG,)):
        return _changed_meanwhile(context, step.id, typed, sender)
    title = context.language.text(step.title)
    with undoable(context, message("Saved: {what}", what=title)):
        wrong = form.save(context, typed)
    if wrong:
        return _again(context, step.id, typed, wrong, sender)
    if form.changes or getattr(_anew(context).files, step.id):
        start.mark_done(context, step.id)
    else:  # nothing was ticked, and nothing stands there
        start.leave_out(context, step.id)
    if typed.one("do") == "more":
        return GoTo(f"/start/{step.id}#rows")
    return _on(context, step.id)


def _anew(context: Context) -> Context:
    """The household as it is after something was written."""
    return Context.read(context.folder, context.now, output=context.output_folder)


def _calendars(context: Context, typed: Typed, do: str, sender: Sender) -> FormAnswer:
    if do == "take":
        with undoable(context, message("Saved: {what}", what=typed.one("name"))):
            wrong = take_in(context, typed)
        if wrong:
            return _again(context, "calendars", typed, wrong, sender)
        start.mark_done(context, "calendars")
        return GoTo("/start/calendars")
    if do == "other":
        POCKET.done(typed.one("look"))
        return GoTo("/start/calendars")
    address, user, secret = typed.one("address"), typed.one("user"), typed.raw("secret")
    if not address:
        wrong = (FieldWrong("address", message("there is no address")),)
        return _again(context, "calendars", typed, wrong, sender)
    if secret and not user:
        what = message("there is a password and no user")
        remedy = message("add user, the name to sign in with")
        wrong = (FieldWrong("user", what, remedy),)
        return _again(context, "calendars", typed, wrong, sender)
    token = POCKET.ask(context, address, user, secret)
    return GoTo(f"/start/calendars?look={token}#comes-in")


def _nightly(context: Context, do: str, sender: Sender) -> FormAnswer:
    if do in {"set", "take-out"} and not sender.device:
        nightly_do(context, do)
        if do == "set":
            start.mark_done(context, "nightly")
        else:
            start.leave_out(context, "nightly")
    return GoTo("/start/nightly")


def _devices(context: Context, typed: Typed, do: str, sender: Sender) -> FormAnswer:
    if sender.device:
        return GoTo("/start/devices")
    if do == "pin":
        wrong = give_pin(context, typed)
        if wrong:
            return _again(context, "devices", typed, wrong, sender)
        start.mark_done(context, "devices")
        return GoTo("/start/devices")
    with undoable(context, message("The devices of the home may come in.")):
        body = give_code(context, typed)
    start.mark_done(context, "devices")
    return FormPage(_page(_anew(context), "devices", body, sender))


def _body(context: Context, rest: str, typed: Typed, sender: Sender, look: str = "") -> Body:
    if rest in FORMS:
        return FORMS[rest].body(context, typed)
    if rest == "calendars":
        return calendars_body(context, typed, look or typed.one("look"))
    if rest == "nightly":
        return nightly_body(context, here=not sender.device)
    if rest == "devices":
        return devices_body(context, typed, here=not sender.device)
    return print_body(context)


def _again(
    context: Context, rest: str, typed: Typed, wrong: tuple[FieldWrong, ...], sender: Sender
) -> FormPage:
    """The page with what was typed, each mistake beside its field."""
    texts = {one.field: one.text(context.language) for one in wrong}
    labels: dict[str, str] = {}

    def told(one: FormField) -> FormField:
        labels[one.name] = one.label
        return replace(one, mistake=texts[one.name]) if one.name in texts else one

    body = _each_field(_body(context, rest, typed, sender), told)
    lines = tuple(
        MistakeLine(
            one.field if one.field in labels else "",
            labels.get(one.field, ""),
            one.text(context.language),
        )
        for one in wrong
    )
    return FormPage(_page(context, rest, {**body, "mistakes": lines}, sender), 422)


def _changed_meanwhile(context: Context, rest: str, typed: Typed, sender: Sender) -> FormPage:
    """The page with what was typed, and beside it what stands in the file by now."""
    now: dict[str, FormField] = {}

    def keep(one: FormField) -> FormField:
        now[one.name] = one
        return one

    def beside(one: FormField) -> FormField:
        other = now.get(one.name)
        if other is None or other.values == one.values:
            return one
        return replace(one, stands=in_words(context.language, other))

    _each_field(_body(context, rest, Typed(), sender), keep)
    body = _each_field(_body(context, rest, typed, sender), beside)
    text = context.language.text(
        message("{file} has been changed since this page was made.", file=CONFIG)
    )
    return FormPage(_page(context, rest, {**body, "stale": (text,)}, sender), 409)


def _each_field(body: Body, change: Callable[[FormField], FormField]) -> Body:
    """The body with every field of it changed."""

    def all_of(fields: tuple[FormField, ...]) -> tuple[FormField, ...]:
        return tuple(change(one) for one in fields)

    groups: tuple[FormGroup, ...] = body.get("groups", ())
    rows: tuple[StartRow, ...] = body.get("rows", ())
    offers: tuple[StartOffer, ...] = body.get("offers", ())
    return {
        **body,
        "groups": tuple(replace(one, fields=all_of(one.fields)) for one in groups),
        "pin": all_of(body.get("pin", ())),
        "rows": tuple(replace(one, fields=all_of(one.fields)) for one in rows),
        "offers": tuple(StartOffer(change(one.take), all_of(one.fields)) for one in offers),
    }


def _steps(context: Context, here: str) -> tuple[StartStep, ...]:
    states = start.course(context).states
    return tuple(
        StartStep(
            f"/start/{one.id}",
            context.language.text(one.title),
            str(states[one.id]),
            one.id == here,
        )
        for one in start.STEPS
    )


def _overview(context: Context, sender: Sender) -> bytes:
    say = context.language.text
    course = start.course(context)
    following = start.step(course.next) or start.STEPS[-1]
    lead = message(
        "A step for each thing a week is made of. Every one can be left out and come back to, and "
        "what you save is kept at once: stop whenever you like."
    )
    body: dict[str, Any] = {
        "go": (Link(f"/start/{following.id}", _go_on(context, following.title)),),
        "step": "",
        "lead": say(lead),
    }
    return _render(context, body, say(message("Your household")), sender, "/start/", "")


def _go_on(context: Context, title: Message) -> str:
    say = context.language.text
    return say(message("Go on: {step}", step=say(title)))


def _page(context: Context, rest: str, body: Body, sender: Sender) -> bytes:
    say = context.language.text
    step = start.step(rest) or start.STEPS[0]
    course = start.course(context)
    shown: dict[str, Any] = {
        "step": rest,
        "lead": say(step.what),
        "action": f"/start/{rest}",
        "leave": say(message("Leave out for now")),
        "seen": tuple(digests(context, (CONFIG,)).items()) if rest in FORMS else (),
    }
    if rest in FORMS:
        shown["save"] = say(message("Save and go on"))
    elif rest != start.IDS[-1] and course.states[rest] is start.StepState.DONE:
        following = start.step(course.after(rest)) or start.STEPS[-1]
        shown["go"] = (Link(f"/start/{following.id}", _go_on(context, following.title)),)
    if rest == start.IDS[-1] or course.states[rest] is start.StepState.DONE:
        shown["leave"] = ""
    if "go" in shown and body.get("go"):
        body = {**body, "go": (*body["go"], *shown["go"])}
    return _render(context, {**shown, **body}, say(step.title), sender, f"/start/{rest}", rest)


def _render(
    context: Context, body: Body, heading: str, sender: Sender, address: str, here: str
) -> bytes:
    frame = served_frame(context.config, context.language, "start", heading)
    page = StartPage(
        **frame,
        **{
            "steps": _steps(context, here),
            "undo": undo_line(context, sender.person, address),
            "said": said(context, sender.person),
            **body,
        },
    )
    return render_served(context.language, "start.html", page, templates_of(context))
