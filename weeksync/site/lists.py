"""The records of the start page and of the page of problems."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime

from weeksync.message import Message, counted, message
from weeksync.model.problem import Problem, ProblemKind
from weeksync.model.spread import LeftOut, LeftOutReason, Spread
from weeksync.model.week import Month
from weeksync.site.frame import frame
from weeksync.site.inputs import SiteInput
from weeksync.site.record import (
    IndexPage,
    LeftOutGroup,
    LeftOutLine,
    MonthEntry,
    ProblemGroup,
    ProblemLine,
    ProblemsPage,
    SourceLine,
    WeekEntry,
)
from weeksync.site.review_links import recent_reviews
from weeksync.site.words import Words

MOST = 100
"""Occurrences listed for one reason of leaving out; the rest is counted."""

_KINDS: dict[ProblemKind, Message] = {
    ProblemKind.QUESTION: message("Questions for you"),
    ProblemKind.SOURCE: message("Sources that could not be pulled"),
    ProblemKind.MISTAKE: message("Mistakes in household files"),
    ProblemKind.OBJECT: message("Things in calendars that could not be read"),
    ProblemKind.NOTICE: message("Good to know"),
}
"""The kinds in the order of the page: what needs an answer first."""

_REASONS: dict[LeftOutReason, Message] = {
    LeftOutReason.CANCELLED: message("Cancelled"),
    LeftOutReason.SAME: message("The same in another calendar"),
}


def index_page(
    inputs: SiteInput, words: Words, spreads: Iterable[Spread], kind: str = "index"
) -> IndexPage:
    """The start page of the common site, or with `own-index` that of one's own pages."""
    entries = [_entry(words, spread) for spread in spreads if spread.week is not None]
    household = inputs.config.household.name
    return IndexPage(
        **frame(inputs, words, kind, household),
        current=_current(entries, inputs.today),
        months=_by_month(words, entries, own=kind != "index"),
        reviews=recent_reviews(inputs, words, own=kind != "index"),
        counts=() if kind != "index" else _counts(words, inputs.problems),
    )


def _entry(words: Words, spread: Spread) -> WeekEntry:
    first, last = spread.days[0].date, spread.days[-1].date
    return WeekEntry(
        id=str(spread.week),
        href=f"{spread.week}.html",
        label=words.week_label(first),
        dates=words.language.span(first, last),
        first=first.isoformat(),
        last=last.isoformat(),
    )


def _current(entries: list[WeekEntry], today: date) -> WeekEntry | None:
    """The week of `today`; where it has no page, the last one before it, else the first."""
    past = [entry for entry in entries if entry.first <= today.isoformat()]
    return past[-1] if past else entries[0] if entries else None


def _by_month(words: Words, entries: list[WeekEntry], *, own: bool) -> tuple[MonthEntry, ...]:
    """Weeks under the month in which their middle day lies; months without a week, too."""
    months: dict[Month, list[WeekEntry]] = {} if own else {month: [] for month in words.months}
    for entry in entries:
        first = date.fromisoformat(entry.first)
        middle = first.toordinal() + 3
        months.setdefault(Month.of(date.fromordinal(middle)), []).append(entry)
    return tuple(
        MonthEntry(
            id=str(month),
            name=words.month_name(month),
            href="" if own else words.month_href(month),
            weeks=tuple(weeks),
        )
        for month, weeks in sorted(months.items())
    )


_HARMLESS = frozenset(
    {"key", "column", "count", "near", "file", "limit", "table", "choices", "header", "form"}
)
"""What a message about a file may say in public: names of ours, never what somebody wrote."""


def _counts(words: Words, problems: tuple[Problem, ...]) -> tuple[tuple[str, str], ...]:
    """What waits on the page of problems, by kind."""
    questions = sum(problem.kind is ProblemKind.QUESTION for problem in problems)
    wrong = sum(problem.counts for problem in problems) - questions
    lines = []
    if questions:
        text = counted("{count} question for you", "{count} questions for you", questions)
        lines.append(("question", words.text(text)))
    if wrong:
        first = next(
            kind
            for kind in _KINDS
            if kind is not ProblemKind.QUESTION
            and any(one.kind is kind and one.counts for one in problems)
        )
        lines.append(
            (first.value, words.text(counted("{count} problem", "{count} problems", wrong)))
        )
    return tuple(lines)


def problems_page(inputs: SiteInput, words: Words) -> ProblemsPage:
    """What the user should know: problems by kind, and what was left out, by reason."""
    groups = (
        ProblemGroup(
            kind=kind.value,
            heading=words.text(heading),
            problems=tuple(_problem(words, one) for one in inputs.problems if one.kind is kind),
        )
        for kind, heading in _KINDS.items()
    )
    common = [
        one for one in inputs.left_out if not (one.occurrence.only_for or one.occurrence.journal)
    ]
    common_fields = frame(inputs, words, "problems", words.text(message("Problems")))
    common_fields["sources"] = tuple(
        replace(one, holds=_holds(inputs, words, one)) for one in common_fields["sources"]
    )
    tried = [state.last_tried for state in inputs.states if state.last_tried is not None]
    return ProblemsPage(
        **common_fields,
        groups=tuple(group for group in groups if group.problems),
        counts=_counts(words, inputs.problems),
        asked=words.instant(max(tried)) if tried else None,
        left_out=tuple(
            _left_out(words, heading, [one for one in common if one.reason is reason])
            for reason, heading in _REASONS.items()
            if any(one.reason is reason for one in common)
        ),
    )


def _holds(inputs: SiteInput, words: Words, line: SourceLine) -> str:
    """How many entries of a source are stored, and what kind of place they are from."""
    source = next((one for one in words.config.calendars if one.id == line.id), None)
    number = inputs.entries.get(line.id)
    if source is None or number is None:
        return ""
    match source.kind:
        case "path":
            said = counted("{count} entry, from files", "{count} entries, from files", number)
        case "url":
            said = counted("{count} entry, from the web", "{count} entries, from the web", number)
        case "caldav":
            said = counted("{count} entry, from a server", "{count} entries, from a server", number)
    return words.text(said)


def _problem(words: Words, problem: Problem) -> ProblemLine:
    """A problem as it may hang where visitors read: no value of the household's own files.

    An amount, a check-in, the title of what is only for somebody can stand in any of them;
    standard error and `weeksync check` say the value.
    """
    private = problem.place.file not in {"", "config.toml"}
    what, remedy = problem.what, problem.remedy
    if private:
        what, remedy = _without_values(what), remedy and _without_values(remedy)
    return ProblemLine(
        place=words.text(problem.place.text()),
        what=words.text(what),
        remedy=words.text(remedy) if remedy is not None else "",
    )


def _without_values(text: Message) -> Message:
    shown = {name: value if name in _HARMLESS else "…" for name, value in text.values.items()}
    return replace(text, values=shown)


def _left_out(words: Words, heading: Message, items: list[LeftOut]) -> LeftOutGroup:
    ordered = sorted(items, key=lambda one: (_day(one), one.occurrence.title))
    more = len(ordered) - MOST
    return LeftOutGroup(
        reason=words.text(heading),
        lines=tuple(_line(words, one) for one in ordered[:MOST]),
        more=words.text(counted("and {count} more", "and {count} more", more)) if more > 0 else "",
    )


def _line(words: Words, item: LeftOut) -> LeftOutLine:
    source = next((one for one in words.config.calendars if one.id == item.occurrence.source), None)
    return LeftOutLine(
        day=words.stamp(_day(item)),
        title=item.occurrence.title.strip() or words.no_title(),
        source=source.label if source is not None else item.occurrence.source,
    )


def _day(item: LeftOut) -> date:
    start = item.occurrence.start
    return start.date() if isinstance(start, datetime) else start
