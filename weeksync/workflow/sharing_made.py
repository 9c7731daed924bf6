"""A shared week made in memory and audited: nothing of it is written before it has passed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from weeksync.household.portable import Portable
from weeksync.language import Language
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.shared import Redacted
from weeksync.model.week import IsoWeek
from weeksync.redact.audit import Hit, Piece, audit
from weeksync.redact.held import Held, HeldKind, each_once, of_calendar, of_file
from weeksync.sharing.outputs import NAMES, Outputs, outputs
from weeksync.sharing.reading import Text, of_name, strays, texts
from weeksync.sharing.record import SharedTint
from weeksync.site.palette import TINTS
from weeksync.site.render import Renderer
from weeksync.store import Store
from weeksync.workflow.context import Context
from weeksync.workflow.kept_pages import templates_of
from weeksync.workflow.sharing_rules import redacted

_SAID: dict[HeldKind, Message] = {
    HeldKind.PERSON: message(
        "“{word}” in “{spot}” is of a name of the household ({where}): {text}"
    ),
    HeldKind.NAME: message("“{word}” in “{spot}” is of somebody's name ({where}): {text}"),
    HeldKind.PLACE: message("“{word}” in “{spot}” is of a place ({where}): {text}"),
    HeldKind.EMAIL: message("“{word}” in “{spot}” is of an e-mail address ({where}): {text}"),
    HeldKind.PHONE: message("“{word}” in “{spot}” is of a telephone number ({where}): {text}"),
    HeldKind.AMOUNT: message("“{word}” in “{spot}” is an amount ({where}): {text}"),
    HeldKind.WORDS: message("“{word}” in “{spot}” is of what you wrote ({where}): {text}"),
    HeldKind.CODE: message("“{word}” in “{spot}” is of an id or an address ({where}): {text}"),
}


@dataclass(frozen=True, slots=True)
class Made:
    """A shared week in memory, and what the audit found in it."""

    week: IsoWeek
    redacted: Redacted
    outputs: Outputs
    hits: tuple[Hit, ...]
    strays: tuple[Text, ...]

    @property
    def passed(self) -> bool:
        """Whether nothing was found."""
        return not self.hits and not self.strays

    @property
    def words(self) -> tuple[str, ...]:
        """Ordinary words that wait for a decision."""
        return tuple(hit.word for hit in self.hits if not hit.stops)


def made(context: Context, week: IsoWeek) -> Made:
    """Make and audit; UsageError where the week may not be shared, TemplateError, BuildError."""
    found = redacted(context, week)
    language = Language(found.shared.language)
    own = Renderer(language, templates_of(context))
    made_of = outputs(found.shared, language, own, Renderer(language), tints())
    return audited(context, week, found, made_of)


def audited(context: Context, week: IsoWeek, found: Redacted, made_of: Outputs) -> Made:
    """The same with the audit's findings."""
    hits = audit(
        [Piece(*one) for one in texts(made_of.files)],
        held_strings(context),
        own=[Piece(*one) for one in (*texts(made_of.own), *map(of_name, NAMES))],
        let_through=found.let_through,
        decided=context.config.sharing.harmless,
    )
    return Made(week, found, made_of, hits, tuple(strays(made_of.files)))


def tints() -> tuple[SharedTint, ...]:
    """The palette of the pages."""
    return tuple(
        SharedTint(one.name, one.light, one.light_edge, one.dark, one.dark_edge, one.print)
        for one in TINTS
    )


def held_strings(context: Context) -> tuple[Held, ...]:
    """Every string of the household's files, and of its calendars as they came."""
    return each_once(_held(context))


def _held(context: Context) -> Iterator[Held]:
    for name in Portable.of(context.config).files(context.folder):
        yield from of_file(name, (context.folder / name).read_bytes())
    with Store.open(context.state, write=False) as store:
        for source in context.config.calendars:
            for one in store.objects(source.id):
                yield from of_calendar(f"calendar {source.id}", one.content)


def problems_of(found: Made) -> tuple[Problem, ...]:
    """What the audit found, as problems with place and remedy; the strings are private."""
    return (*_strays(found.strays), *(_problem(found.week, hit) for hit in found.hits))


def _strays(found: Iterable[Text]) -> Iterator[Problem]:
    for one in found:
        yield Problem(
            ProblemKind.MISTAKE,
            message("“{what}” has no place in a shared file: {text}", what=one.spot, text=one.text),
            Place(one.file),
            message("take it out of your own template of that name"),
        )


def _problem(week: IsoWeek, hit: Hit) -> Problem:
    values = {"word": hit.word, "spot": hit.piece.spot, "where": hit.held.where}
    what = replace(_SAID[hit.held.kind], values=values | {"text": hit.held.text[:80]})
    if hit.stops:
        remedy = message(
            "let less be shown of what it belongs to, or give it another word with share_as; "
            "weeksync share {week} --explain says by which rule it is there",
            week=str(week),
        )
        return Problem(ProblemKind.MISTAKE, what, Place(hit.piece.file), remedy)
    remedy = message(
        "if it tells nothing there: weeksync share {week} --accept {word}; that is kept in "
        "config.toml",
        week=str(week),
        word=hit.word,
    )
    return Problem(ProblemKind.QUESTION, what, Place(hit.piece.file), remedy)
