"""Moving in and out: a household as one zip of plain files, and a household out of one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from weeksync.household.packing import household_of, packed, write_new
from weeksync.household.portable import inside, outside
from weeksync.household.unpacking import unpack
from weeksync.message import Message, counted, message
from weeksync.model.config import Config
from weeksync.model.problem import ProblemKind
from weeksync.workflow.appointments_ics import ics_of
from weeksync.workflow.check import check
from weeksync.workflow.context import Context
from weeksync.workflow.outcome import Outcome

APPOINTMENTS = "appointments.ics"
README = "README.txt"

_MOST_NAMED = 20
"""More names of files are counted and not listed."""


def pack_household(context: Context, path: Path | None, *, force: bool = False) -> Outcome:
    """Write everything of the household into a zip, `weeksync-DAY.zip` here where no name is given.

    UsageError where that file is there and not `force`; HouseholdError where a file of the
    household cannot be read or the zip not be written.
    """
    target = path or Path(f"weeksync-{context.today.isoformat()}.zip")
    household = household_of(context.folder, context.config)
    changed = household.changed("appointments.toml")
    texts = {
        APPOINTMENTS: ics_of(context.files.appointments, context.tz, changed),
        README: _readme(context).encode(),
    }
    write_new(target, packed(household, texts), force=force)
    done = [
        counted(
            "Packed: {place}, {count} file of the household.",
            "Packed: {place}, {count} files of the household.",
            len(household.files),
            place=str(target),
        ),
        message("Amounts and check-ins can be read in it by whoever has it."),
    ]
    if household.stays:
        done.append(message("Not in it: {names}", names=_named(household.stays)))
    done += _outside(context.config)
    return Outcome.of(done, context.files.problems)


def _readme(context: Context) -> str:
    """What the zip holds, in the household's language, one paragraph a line."""
    title = message("Household “{name}”, packed by weeksync", name=context.config.household.name)
    paragraphs = (
        title,
        message(
            "In this zip are all files of the household as they are: config.toml, appointments, "
            "routines, tasks, habits, money, terms, what was chosen for weeks, marks, check-ins, "
            "answers, closed weeks, snapshots, and the calendar files that lie in its folder. "
            "They are plain text; any editor reads them."
        ),
        message(
            "{file} holds the appointments for other calendar programs. Whose time they take, "
            "preparations and the way there are only in appointments.toml.",
            file=APPOINTMENTS,
        ),
        message(
            "Not in it: passwords, the PINs and devices that may come in, certificates, the pages, "
            "and calendars on the web or on a server: weeksync pull fetches them again. What such "
            "a calendar has dropped since is only in closed weeks."
        ),
        message(
            "Nothing in it is encrypted: check-ins, amounts and what is only for one person can "
            "be read by whoever has it."
        ),
        message("Back into a folder: weeksync unpack FILE.zip FOLDER"),
    )
    return "\n\n".join(context.language.text(one) for one in paragraphs) + "\n"


def unpack_household(path: Path, folder: Path, now: datetime) -> tuple[Context, Outcome]:
    """Make a household folder out of a zip, and check it; the household as read, what was done.

    No server is asked and no command of the household is run: it may be somebody else's.
    HouseholdError where the zip cannot be used; then nothing is written. UsageError where the
    folder holds something.
    """
    unpacked = unpack(path, folder)
    context = Context.read(folder, now)
    done = [
        counted(
            "Unpacked: {count} file in {folder}",
            "Unpacked: {count} files in {folder}",
            len(unpacked.taken),
            folder=str(folder),
        ),
        message("Taken: {names}", names=_by_folder(unpacked.taken)),
    ]
    if unpacked.ours:
        done.append(
            message(
                "Left in the zip, they only say again what was taken: {names}",
                names=_named(unpacked.ours),
            )
        )
    if unpacked.foreign:
        done.append(
            message("Left out, no files of a household: {names}", names=_named(unpacked.foreign))
        )
    done += _to_look_at(context.config)
    checked = check(context, offline=True)
    # No calendar has been pulled yet: that is no problem of what was unpacked, but what comes next.
    problems = [one for one in checked.problems if one.kind is not ProblemKind.SOURCE]
    done += checked.done
    done.append(message("Next: weeksync nightly --household {folder}", folder=str(folder)))
    return context, Outcome.of(done, problems)


def _outside(config: Config) -> list[Message]:
    """The calendars on disk that are in no zip."""
    return [
        message(
            "Calendar {source} lies outside the household folder and is not in it: {place}",
            source=one.id,
            place=one.path,
        )
        for one in outside(config)
    ]


def _to_look_at(config: Config) -> list[Message]:
    """What in a configuration reaches beyond the folder: to be looked at before it is used."""
    found = [
        message(
            "Calendar {source} runs a command for its password; look at config.toml before "
            "weeksync pull",
            source=one.id,
        )
        for one in config.calendars
        if one.password_command
    ]
    found += [
        message(
            "Calendar {source} needs its password again: {place}",
            source=one.id,
            place=one.password_file or one.password_env,
        )
        for one in config.calendars
        if one.password_file or one.password_env
    ]
    found += _outside(config)
    if inside(config.site.output) is None:
        found.append(
            message(
                "The pages go outside the household folder, to {place}; look at output in "
                "config.toml before weeksync build",
                place=config.site.output,
            )
        )
    if config.site.templates:
        found.append(
            message(
                "The pages are made by templates of the household; look at {place} before "
                "weeksync build, unless it is your own",
                place=config.site.templates,
            )
        )
    return found


def _by_folder(names: tuple[str, ...]) -> str:
    """`config.toml, marks/ (7), tasks.toml`: files of folders are counted."""
    counts = Counter(f"{top}/" if rest else top for top, _, rest in _split(names))
    return ", ".join(
        f"{name} ({count})" if name.endswith("/") else name
        for name, count in sorted(counts.items())
    )


def _split(names: tuple[str, ...]) -> Iterator[tuple[str, str, str]]:
    return (name.partition("/") for name in names)


def _named(names: tuple[str, ...]) -> str:
    """The names, unless they are very many; what is no text is shown as `?`."""
    shown = ["".join(s if s.isprintable() else "?" for s in one) for one in names[:_MOST_NAMED]]
    more = len(names) - _MOST_NAMED
    return ", ".join([*shown, *([f"… (+{more})"] if more > 0 else [])])
