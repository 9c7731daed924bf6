"""Looking back on a week, a month, a term or a year, and the questions answered each week."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from weeksync.errors import UsageError
from weeksync.message import Message, message
from weeksync.model.household import ReviewAnswer
from weeksync.model.problem import Problem
from weeksync.model.review import Review, SpanKind, SpanName
from weeksync.model.spread import Spread
from weeksync.model.week import IsoWeek, Month, WeekRule, days_between
from weeksync.plan import Planner, views
from weeksync.store import Store
from weeksync.workflow.clock import FIRST_YEAR, LAST_YEAR
from weeksync.workflow.context import Context
from weeksync.workflow.gather import gather
from weeksync.workflow.outcome import unique

if TYPE_CHECKING:
    from weeksync.household.review_writing import HeldAnswers

MOST_SIGNS = 2_000
"""The longest answer; the bound is ours."""

_YEAR = re.compile(r"[0-9]{4}", re.ASCII)


def review_span(context: Context, text: str) -> SpanName:
    """The span that is looked back on; "" is the week that is ending, or has just ended.

    A week, a month and two days as for `show`; a year as 2027; a term by its id or name.
    UsageError where the text names none, and for what has not begun.
    """
    span = _named(context, text.strip())
    if span.first > context.today:
        raise UsageError(
            message("{value} has not begun; there is nothing to look back on yet", value=span.id)
        )
    return span


def _named(context: Context, text: str) -> SpanName:
    from weeksync.workflow.spans import span_named, week_ending

    if not text:
        return span_of_week(context.rule, week_ending(context))
    for term in context.files.terms:
        if text in {term.id, term.name}:
            return SpanName(SpanKind.TERM, term.id, term.start, term.end, term.name)
    if _YEAR.fullmatch(text) and FIRST_YEAR <= int(text) <= LAST_YEAR:
        return span_of_year(int(text))
    named = span_named(text, context)
    if isinstance(named, IsoWeek):
        return span_of_week(context.rule, named)
    if isinstance(named, Month):
        return span_of_month(named)
    return SpanName(SpanKind.DAYS, f"{named[0]}/{named[1]}", *named)


def span_of_week(rule: WeekRule, week: IsoWeek) -> SpanName:
    """The days of a week."""
    days = rule.days(week)
    return SpanName(SpanKind.WEEK, str(week), days[0], days[-1])


def span_of_month(month: Month) -> SpanName:
    """The days of a month."""
    return SpanName(SpanKind.MONTH, str(month), month.first, month.last)


def reviewed(
    context: Context, text: str, person: str | None = None
) -> tuple[Review, tuple[Problem, ...]]:
    """The review of the span that `text` names, with its problems; `person` keeps only theirs."""
    from weeksync.workflow.show import view

    span = review_span(context, text)
    with Store.open(context.state, write=False) as store:
        gathered = gather(context, store, span.first, span.last)
    spreads = spreads_of(context, gathered.planner, span)
    answers = span_answers(context, span)
    if person is not None:
        spreads = tuple(view(context, one, person, None) for one in spreads)
        answers = tuple(one for one in answers if one.person == person)
    review = _look_back(spreads, span, context.today, answers=answers)
    problems = [problem for spread in spreads for problem in spread.problems]
    return review, unique((*gathered.problems, *problems))


def _look_back(
    spreads: Iterable[Spread],
    span: SpanName,
    today: date,
    *,
    answers: tuple[ReviewAnswer, ...] = (),
    health: bool = True,
) -> Review:
    from weeksync.review.look_back import look_back  # few runs make a page that looks back

    return look_back(spreads, span, today, answers=answers, health=health)


def common_review(context: Context, spreads: tuple[Spread, ...], span: SpanName) -> Review:
    """What may hang where children and visitors read: no health, no check-ins, nothing reserved."""
    seen = tuple(views.common(one) for one in spreads)
    return _look_back(seen, span, context.today, health=False)


def whole_review(context: Context, spreads: tuple[Spread, ...], span: SpanName) -> Review:
    """Everything of the span, for pages of one's own."""
    return _look_back(spreads, span, context.today, answers=span_answers(context, span))


def own_review(
    context: Context, spreads: tuple[Spread, ...], span: SpanName, person: str
) -> Review:
    """What is one person's."""
    theirs = tuple(views.for_person(one, person) for one in spreads)
    answers = tuple(one for one in span_answers(context, span) if one.person == person)
    return _look_back(theirs, span, context.today, answers=answers)


def site_reviews(
    context: Context, planner: Planner, spans: Iterable[SpanName]
) -> tuple[tuple[Review, ...], tuple[Review, ...]]:
    """(for common pages, whole ones) of those spans; these where there are pages of one's own."""
    common, whole = [], []
    for span in spans:
        spreads = spreads_of(context, planner, span)
        common.append(common_review(context, spreads, span))
        if context.config.site.own_pages:
            whole.append(whole_review(context, spreads, span))
    return tuple(common), tuple(whole)


def begun(
    context: Context, weeks: Iterable[IsoWeek], months: Iterable[Month]
) -> tuple[SpanName, ...]:
    """Those weeks and months that have begun, and so can be looked back on."""
    spans = (
        *(span_of_week(context.rule, week) for week in weeks),
        *(span_of_month(month) for month in months),
    )
    return tuple(one for one in spans if one.first <= context.today)


def long_spans(context: Context, first: date, last: date) -> tuple[SpanName, ...]:
    """The terms and the calendar years that have begun and touch those days, by their first day.

    Terms first where a year begins with one. Of two terms with one id the first counts.
    """
    terms = {
        one.id: SpanName(SpanKind.TERM, one.id, one.start, one.end, one.name)
        for one in reversed(context.files.terms)
    }
    spans = [*terms.values(), *map(span_of_year, range(first.year, last.year + 1))]
    touching = (one for one in spans if one.first <= last and one.last >= first)
    return tuple(
        sorted(
            (one for one in touching if one.first <= context.today),
            key=lambda one: (one.first, one.kind is SpanKind.YEAR, one.id),
        )
    )


def span_of_year(year: int) -> SpanName:
    """The days of a calendar year."""
    return SpanName(SpanKind.YEAR, f"{year:04}", date(year, 1, 1), date(year, 12, 31))


def spreads_of(context: Context, planner: Planner, span: SpanName) -> tuple[Spread, ...]:
    """The spreads of a span: closed weeks as they were, and between them what the planner says."""
    rule = context.rule
    inside = {rule.week_of(day) for day in days_between(span.first, span.last)}
    found = ((week, context.archive.get(week)) for week in inside & context.archive.weeks)
    closed = {week: one.spread for week, one in found if one is not None}
    return tuple(_spreads(planner, rule, span, closed))


def _spreads(
    planner: Planner, rule: WeekRule, span: SpanName, closed: Mapping[IsoWeek, Spread]
) -> Iterator[Spread]:
    since: date | None = None
    week, last = rule.week_of(span.first), rule.week_of(span.last)
    while week <= last:
        days = rule.days(week)
        held = closed.get(week)
        if held is None:
            since = since or max(days[0], span.first)
        else:
            if since is not None:
                yield planner.span(since, days[0] - timedelta(days=1), planned=False)
            since = None
            yield held
        week = week.shifted(1)
    if since is not None:
        yield planner.span(since, span.last, planned=False)


def span_answers(context: Context, span: SpanName) -> tuple[ReviewAnswer, ...]:
    """What the people of the household answered of the weeks that end in the span."""
    last = {context.rule.week_of(day): day for day in days_between(span.first, span.last)}
    weeks = {str(week) for week, day in last.items() if context.rule.days(week)[-1] == day}
    known = {one.id for one in context.config.people}
    return tuple(one for one in context.files.answers if one.week in weeks and one.person in known)


def cautions(context: Context) -> tuple[Message, ...]:
    """Whom to turn to: the same whatever was recorded, by the household's region."""
    from weeksync.site.caution import caution

    return caution(context.config.household.region or "")


def review_record(context: Context, review: Review) -> dict[str, Any]:
    """The review as the documented JSON record (`weeksync/schema/review-1.schema.json`)."""
    from weeksync.review.record import as_record

    return as_record(
        review,
        household=context.config.household.name,
        now=context.now,
        time_zone=context.config.household.time_zone,
        questions=context.config.review.questions,
    )


def review_schema() -> str:
    """The JSON Schema of that record."""
    from importlib import resources

    return (resources.files("weeksync") / "schema" / "review-1.schema.json").read_text("utf-8")


def standing_answers(context: Context, person: str, week: IsoWeek) -> HeldAnswers:
    """What a person has answered of a week; UsageError for nobody of the household."""
    from weeksync.household.review_writing import held_answers

    return held_answers(context.folder, context.known_person(person), context.first_person, week)


def answer(
    context: Context, person: str, week: IsoWeek, answers: Mapping[str, str], seen: str
) -> HeldAnswers:
    """Write what a person answers to the questions of the household.

    UsageError where an answer is too long or has control signs, EditRefused and HouseholdError
    where the file could not be written: it is as it was then.
    """
    from weeksync.household.review_writing import write_answers

    clean = {question: answer_text(one) for question, one in answers.items()}
    return write_answers(
        context.folder, context.known_person(person), context.first_person, week, clean, seen
    )


def answer_text(value: str) -> str:
    """An answer as it is written; UsageError where it is too long or has control signs."""
    text = value.replace("\t", " ").strip()
    if any(not sign.isprintable() and sign != "\n" for sign in text):
        raise UsageError(message("the answer has control signs; take them out"))
    if len(text) > MOST_SIGNS:
        raise UsageError(
            message(
                "the answer has {count} signs, and at most {most} are taken",
                count=len(text),
                most=MOST_SIGNS,
            )
        )
    return text
