"""Sharing a week: make it and look at it, publish what was looked at, list it, withdraw it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC
from pathlib import Path

from weeksync.errors import UsageError
from weeksync.household.sharing_edits import remember_words
from weeksync.language import Language
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.shared import Decision, ItemKind, ShownAs
from weeksync.model.week import IsoWeek
from weeksync.sharing.outputs import PAGE
from weeksync.sharing.preview import PreviewLine, PreviewPage, in_order, preview
from weeksync.sharing.publishing import files_in, names_in, new_name, put, run, take_away
from weeksync.sharing.register import (
    SharedPlace,
    changed,
    read_register,
    standing,
    withdrawn,
    write_register,
)
from weeksync.site.render import Renderer
from weeksync.workflow.context import Context
from weeksync.workflow.kept_pages import templates_of
from weeksync.workflow.outcome import Outcome, Status
from weeksync.workflow.sharing_made import Made, made, problems_of

STAGE, PREVIEW, PUBLISHED = "shared", "preview", "published"
"""Folders beside the pages: weeks that are ready, what is looked at, and the default for what is
published."""

_PRIVATE = ("site", "own", ".generations", PREVIEW, STAGE)
_FOLDERS = ("weeks", "marks", "check-ins", "reviews", "archive", "snapshots", "sent", "passwords")

KINDS: dict[ItemKind, Message] = {
    ItemKind.EVENT: message("event"),
    ItemKind.APPOINTMENT: message("appointment"),
    ItemKind.TASK: message("task"),
    ItemKind.TODO: message("to-do"),
    ItemKind.HABIT: message("habit"),
    ItemKind.PRIORITY: message("priority"),
    ItemKind.MONEY: message("money"),
    ItemKind.LESSON: message("lesson"),
    ItemKind.BREAK: message("break"),
    ItemKind.CHECK_IN: message("check-in"),
    ItemKind.ROW: message("row"),
    ItemKind.NOTES: message("notes"),
    ItemKind.HOLIDAY: message("holiday"),
    ItemKind.TERM: message("term"),
}


@dataclass(frozen=True, slots=True)
class Shown:
    """What `share` did: the outcome, and where things lie; "" where they were not written."""

    outcome: Outcome
    folder: str = ""
    preview: str = ""
    made: Made | None = None


def share(context: Context, week: IsoWeek, *, accept: Iterable[str] = ()) -> Shown:
    """Make the week for others and the page to look at it; publish nothing.

    What was made of the week before is taken away first. Where the audit finds something nothing
    is written, and the status says that nothing was done. UsageError where the week may not be
    shared, or a word is to be accepted that nothing asks about.
    """
    places = read_register(context.state)
    entry = standing(places, str(week)) or SharedPlace(str(week), new_name())
    _clear(context, week, entry.name)
    found = made(context, week)
    words = tuple(accept)
    if words:
        context = _remembered(context, found, words)
        found = made(context, week)
    if not found.passed:
        stopped = [message("Nothing was written for {week}.", week=str(week))]
        outcome = Outcome.of(stopped, problems_of(found))
        return Shown(replace(outcome, status=Status.NOTHING_DONE), made=found)
    page, looks = context.output / PREVIEW / f"{week}.html", _preview(context, found, entry.name)
    write_register(context.state, changed(places, entry))
    folder = put(context.output / STAGE, entry.name, found.outputs.files)
    page.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    page.write_bytes(looks)
    done = [
        message("{week} is ready to be looked at: {place}", week=str(week), place=str(page)),
        message("What others would get lies in {place}", place=str(folder)),
        *found.outputs.notes,
        *_nothing(found),
        message("To publish it: weeksync share {week} --publish", week=str(week)),
    ]
    return Shown(Outcome.of(done, ()), str(folder), str(page), found)


def _clear(context: Context, week: IsoWeek, name: str) -> None:
    take_away(context.output / STAGE, name)
    (context.output / PREVIEW / f"{week}.html").unlink(missing_ok=True)


def _nothing(found: Made) -> tuple[Message, ...]:
    """A word where the week is empty, since nothing is the default."""
    if any(one.shown_as is not ShownAs.NOTHING for one in found.redacted.decisions):
        return ()
    return (
        message(
            "No rule lets anything of it through; weeksync share {week} --explain says why",
            week=str(found.week),
        ),
    )


def _remembered(context: Context, found: Made, words: tuple[str, ...]) -> Context:
    unasked = [word for word in words if word not in found.words]
    if unasked:
        raise UsageError(
            message(
                'nothing is to be decided about "{word}"; there is to be about: {known}',
                word=unasked[0][:60],
                known=", ".join(found.words) or "–",
            )
        )
    remember_words(context.folder, words)
    return Context.read(context.folder, context.now, output=context.output_folder, give_ids=False)


def _preview(context: Context, found: Made, name: str) -> bytes:
    """The page to look at; `name` is that of the folder beside it."""
    language, place = context.language, f"../{STAGE}/{name}"
    own = context.output / "site" / f"{found.week}.html"
    page = PreviewPage(
        language=language.tag,
        direction=language.direction,
        heading=language.text(message("{week}, before it is published", week=str(found.week))),
        own=f"../site/{own.name}" if own.is_file() else "",
        shared=f"{place}/{PAGE}",
        pictures=tuple(f"{place}/{file}" for file in found.outputs.files if file != PAGE),
        lines=in_order([_line(context, one) for one in found.redacted.decisions]),
        notes=tuple(language.text(note) for note in found.outputs.notes),
    )
    return preview(page, Renderer(language, templates_of(context)))


def _line(context: Context, one: Decision) -> PreviewLine:
    """A line of the list; what is only for some is not called by its title, who may look on."""
    language = context.language
    title = one.title or language.text(KINDS[one.kind])
    if one.only_for:
        known = (context.config.person(person) for person in one.only_for)
        names = ", ".join(person.name for person in known if person is not None)
        title = language.text(message("only for {names}", names=names))
    return PreviewLine(
        title=title,
        days=", ".join(language.weekday(day.weekday(), "abbreviated") for day in one.days),
        shown=shown_text(language, one),
        why=language.text(one.why),
    )


def shown_text(language: Language, one: Decision) -> str:
    """What stands on the shared page for a thing; "" where it is left out."""
    if one.shown_as is ShownAs.NOTHING:
        return ""
    return one.label or language.text(message("busy"))


def publish(context: Context, week: IsoWeek) -> Outcome:
    """Put the week that was looked at where others see it, and run the user's command.

    It is made and audited again: UsageError where it has not been looked at, or is another now,
    or no folder and no command is set. BuildError where it could not be written or sent.
    """
    target = published_folder(context)
    sharing = context.config.sharing
    if not sharing.publish_folder and not sharing.publish_command:
        raise UsageError(
            message(
                "config.toml does not say where to publish; write publish_folder or "
                "publish_command under [sharing], or upload the folder of the week by hand"
            )
        )
    places = read_register(context.state)
    entry = standing(places, str(week))
    seen = files_in(context.output / STAGE / entry.name) if entry is not None else {}
    if entry is None or not seen:
        raise UsageError(message("look at the week first: weeksync share {week}", week=str(week)))
    found = made(context, week)
    if not found.passed:
        outcome = Outcome.of([message("Nothing was published.")], problems_of(found))
        return replace(outcome, status=Status.NOTHING_DONE)
    if found.outputs.files != seen:
        raise UsageError(
            message(
                "{week} would look different from what you have looked at; look again: weeksync "
                "share {week}",
                week=str(week),
            )
        )
    place = put(target, entry.name, seen)
    out = replace(entry, published_at=_instant(context))
    write_register(context.state, changed(places, out))
    if sharing.publish_command:
        run(sharing.publish_command, target)
    done = [message("{week} is published: {place}", week=str(week), place=str(place))]
    return Outcome.of([*done, *found.outputs.notes], ())


def withdraw(context: Context, text: str, week: IsoWeek | None) -> Outcome:
    """Take a week out of the published folder, by its week or by the name of its folder.

    UsageError where nothing of it is published. What others have copied meanwhile stays copied.
    """
    target, places = published_folder(context), read_register(context.state)
    lies = names_in(target)
    wanted = [one for one in places if one.is_out and (one.name == text or one.week == str(week))]
    unknown = [name for name in lies if name == text and name not in {one.name for one in wanted}]
    if not wanted and not unknown:
        raise UsageError(
            message('nothing is published of "{value}"; weeksync share --list', value=text[:60])
        )
    for name in (*(one.name for one in wanted), *unknown):
        take_away(target, name)
        take_away(context.output / STAGE, name)
    command = context.config.sharing.publish_command
    if command:  # where it fails the week still counts as published, and can be withdrawn again
        run(command, target)
    for one in wanted:
        places = changed(places, withdrawn(one, _instant(context)))
        (context.output / PREVIEW / f"{one.week}.html").unlink(missing_ok=True)
    write_register(context.state, places)
    done = [
        message("“{what}” is published no longer.", what=text),
        message("What others have kept of it, and what search engines have, stays with them."),
    ]
    return Outcome.of(done, ())


def listed(context: Context) -> tuple[SharedPlace, ...]:
    """Everything that is or was published, by week; folders nobody remembers have no week."""
    places = read_register(context.state)
    lies = names_in(published_folder(context))
    known = {one.name for one in places}
    found = [one for one in places if one.published_at]
    found += [SharedPlace("", name) for name in lies if name not in known]
    return tuple(sorted(found, key=lambda one: (one.week, one.published_at)))


def published_folder(context: Context) -> Path:
    """The folder of what is published; UsageError where it lies in or around private pages."""
    asked = context.config.sharing.publish_folder
    target = context.folder / Path(asked).expanduser() if asked else context.output / PUBLISHED
    real = target.resolve()
    private = [context.output / name for name in _PRIVATE]
    private += [context.folder / name for name in (*_FOLDERS, context.state.name)]
    inside = next((one for one in private if real.is_relative_to(one.resolve())), None)
    around = next(
        (one for one in (context.folder, context.output) if one.resolve().is_relative_to(real)),
        None,
    )
    if inside is not None or around is not None:
        raise UsageError(
            message(
                "publish_folder is {place}, which lies in or around private files ({private}); "
                "name a folder of its own",
                place=str(target),
                private=str(inside or around),
            )
        )
    return target


def _instant(context: Context) -> str:
    return context.now.astimezone(UTC).isoformat(timespec="seconds")
