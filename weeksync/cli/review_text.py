"""A review as lines for a terminal: for the person at the keyboard, with everything."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from weeksync.cli.plan_words import wrapped
from weeksync.language.review_sentences import ACTIVITIES, SOURCES, ReviewSentences
from weeksync.message import Message, message
from weeksync.model.check_in import LABELS
from weeksync.model.household import CheckIn
from weeksync.model.review import Review, ReviewTask
from weeksync.workflow import Context
from weeksync.workflow.review import cautions


def review_lines(context: Context, review: Review) -> Iterator[str]:
    """The review, part by part; what there is nothing of is left out."""
    say = ReviewSentences(context.config, context.language)
    span = review.span
    dates = context.language.span(span.first, span.last)
    over = say.over(review.over, len(review.days))
    yield " · ".join(filter(None, (say.heading(span, context.rule), dates, over)))
    for lines in (
        _tasks(say, review),
        _habits(say, review),
        _minutes(say, review),
        _check_ins(context, say, review),
        _pairs(say, review),
        _answers(say, review),
    ):
        yield from _apart(lines)
    yield ""
    for sentence in (*SOURCES, *cautions(context)):
        yield from wrapped(say.text(sentence))


def _apart(lines: Iterable[str]) -> Iterator[str]:
    for number, line in enumerate(lines):
        if not number:
            yield ""
        yield line


def _tasks(say: ReviewSentences, review: Review) -> Iterator[str]:
    tasks = review.tasks
    groups: tuple[tuple[Message, tuple[ReviewTask, ...]], ...] = (
        (message("Done"), tasks.done),
        (message("Carried"), tasks.carried),
        (message("Dropped"), tasks.dropped),
        (message("Still open"), tasks.open),
    )
    yield say.text(message("Tasks"))
    for name, group in groups:
        yield f"  {say.text(name)}: {say.language.digits(str(len(group)))}"
        for one in group:
            yield from wrapped(say.task(one), "    ", "      ")


def _habits(say: ReviewSentences, review: Review) -> Iterator[str]:
    if review.habits:
        yield say.text(message("Habits"))
    for one in review.habits:
        yield f"  {one.title} ({say.person(one.person)})"
        yield from wrapped(say.rate(one), "    ")
        if one.figures is not None:
            yield from wrapped(say.figures(one, one.figures), "    ")


def _minutes(say: ReviewSentences, review: Review) -> Iterator[str]:
    if review.minutes:
        yield say.text(message("Minutes"))
    for line in review.minutes:
        head = f"{say.text(ACTIVITIES[line.activity])}, {say.whose(line)}: "
        yield from wrapped(head + say.minutes(line), "  ", "    ")
    if review.estimates:
        yield say.text(message("Estimates and what it took"))
    for estimate in (one for one in review.estimates if one.count):
        head = f"{say.text(ACTIVITIES[estimate.activity])}, {say.kind(estimate)}: "
        yield from wrapped(head + say.estimate(estimate), "  ", "    ")
    yield from wrapped(say.not_estimated(review.estimates), "  ", "    ")


def _check_ins(context: Context, say: ReviewSentences, review: Review) -> Iterator[str]:
    if review.check_ins:
        yield say.text(message("Check-ins"))
    for one in review.energy:
        yield f"  {say.energy(one)}"
    for check_in in review.check_ins:
        yield f"  {context.language.date(check_in.day, 'weekday day month')}, " + say.person(
            check_in.person
        )
        for text in _said(say, check_in):
            yield from wrapped(text, "    ", "      ")


def _said(say: ReviewSentences, check_in: CheckIn) -> Iterator[str]:
    for key, label in LABELS.items():
        value = getattr(check_in, key)
        if value not in ("", None):
            yield f"{say.text(label)}: {value}"
    yield from filter(None, check_in.text.split("\n"))


def _pairs(say: ReviewSentences, review: Review) -> Iterator[str]:
    if not review.check_ins and not any(one.figures for one in review.habits):
        return
    yield say.text(message("What goes together"))
    told = [one for one in review.pairs if one.together.rho is not None]
    if not told:
        yield "  " + say.text(message("Too few days to say: it takes 28 with both."))
        return
    for one in told:
        yield from wrapped(f"{say.person(one.person)}: {say.pair(one)}", "  ", "    ")
    yield "  " + say.looked_at(len(review.pairs))


def _answers(say: ReviewSentences, review: Review) -> Iterator[str]:
    if review.answers:
        yield say.text(message("Your own questions"))
    for one in review.answers:
        yield from wrapped(f"{one.week}, {say.person(one.person)}: {one.question}", "  ", "    ")
        for line in one.answer.split("\n"):
            yield from wrapped(line, "    ")
