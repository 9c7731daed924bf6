"""The records of pages that look back, and of the page of cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from weeksync.language.review_sentences import ACTIVITIES, SOURCES, ReviewSentences
from weeksync.message import Message, message
from weeksync.model.review import (
    EstimateLine,
    HabitReview,
    MinutesLine,
    Review,
    ReviewTask,
    SpanKind,
    SpanName,
)
from weeksync.model.week import IsoWeek, Month
from weeksync.site.caution import caution
from weeksync.site.frame import frame
from weeksync.site.inputs import SiteInput
from weeksync.site.own import check_in_box, says
from weeksync.site.record import AreaMark, Link
from weeksync.site.record.review import (
    CautionPage,
    Dots,
    ReviewGroup,
    ReviewHabit,
    ReviewLine,
    ReviewPage,
    ReviewQuestion,
)
from weeksync.site.review_answers import answers_address
from weeksync.site.review_charts import chart
from weeksync.site.review_dots import dots
from weeksync.site.review_links import key_link, review_link, year_link
from weeksync.site.words import Words

MOST_DOTS = 6
"""Pairs that are drawn: those of one person alone can be thirty."""

MOST_TASKS = 20
"""Tasks that are listed; the rest is folded."""


def review_page(inputs: SiteInput, words: Words, review: Review, *, own: bool) -> ReviewPage:
    """Looking back on a span; `own` where the page is in the tree of one's own.

    Nothing is left out here: what a common page must not show is not in its review.
    """
    return _Page(inputs, words, review, own=own).record()


def caution_page(inputs: SiteInput, words: Words, *, own: bool) -> CautionPage:
    """Whom to turn to; it hangs on the household's region and on nothing else."""
    kind = "own-cautions" if own else "cautions"
    return CautionPage(
        **frame(inputs, words, kind, words.text(message("Whom to turn to"))),
        caution=tuple(map(words.text, caution(inputs.config.household.region or ""))),
    )


class _Page:
    def __init__(self, inputs: SiteInput, words: Words, review: Review, *, own: bool) -> None:
        self._inputs, self._words, self._review, self._own = inputs, words, review, own
        self._say = ReviewSentences(inputs.config, inputs.language)

    def record(self) -> ReviewPage:
        review, words, say = self._review, self._words, self._say
        span = review.span
        label = say.heading(span, words.rule)
        heading = words.text(message("Looking back: {what}", what=label))
        year = words.text(
            message("All weeks of {year}", year=words.language.digits(f"{span.last.year:04}"))
        )
        told = [one for one in review.pairs if one.together.rho is not None]
        return ReviewPage(
            **frame(self._inputs, words, "own-review" if self._own else "review", heading),
            id=span.id,
            dates=words.language.span(span.first, span.last),
            over=say.over(review.over, len(review.days)),
            back=self._back(label),
            previous=self._beside(-1),
            next=self._beside(1),
            parts=tuple(self._parts()),
            groups=tuple(self._groups()),
            habits=tuple(map(self._habit, review.habits)),
            minutes=tuple(self._minutes()),
            estimates=tuple(map(self._estimate, (one for one in review.estimates if one.count))),
            not_estimated=say.not_estimated(review.estimates),
            private=self._own,
            energy=tuple(map(say.energy, review.energy)),
            check_ins=tuple(check_in_box(words, one) for one in review.check_ins if says(one)),
            pairs=tuple(f"{say.person(one.person)}: {say.pair(one)}" for one in told),
            pairs_looked_at=say.looked_at(len(review.pairs))
            if told
            else words.text(message("Too few days to say: it takes 28 with both.")),
            dots=tuple(self._dots()),
            answer=self._answer(),
            year=year_link(self._inputs, words, span.last.year, year),
            questions=tuple(
                ReviewQuestion(words.person(one.person), one.question, one.answer)
                for one in review.answers
            ),
            from_where=tuple(map(words.text, SOURCES)),
        )

    def _span(self) -> IsoWeek | Month | None:
        """The week or month; None for a longer span."""
        span = self._review.span
        if span.kind is SpanKind.WEEK:
            return IsoWeek.parse(span.id)
        return Month.of(span.first) if span.kind is SpanKind.MONTH else None

    def _back(self, label: str) -> Link | None:
        span = self._span()
        if isinstance(span, IsoWeek):
            return Link(f"{span}.html", label) if span in self._words.weeks else None
        if span is None or self._own:
            return None
        return self._words.month_link(span)

    def _link(self, span: IsoWeek | Month) -> Link | None:
        """A link to another review, called by its week or month."""
        words = self._words
        if isinstance(span, IsoWeek):
            text = words.week_label(words.rule.spread_start(span))
        else:
            text = words.month_name(span)
        return review_link(self._inputs, words, span, text)

    def _beside(self, by: int) -> Link | None:
        span, held = self._span(), self._review.span
        if span is not None:
            return self._link(span.shifted(by))
        same = sorted(
            (one for one in self._inputs.spans if one.kind is held.kind), key=lambda one: one.first
        )
        place = next((at for at, one in enumerate(same) if one.id == held.id), None)
        if place is None or not 0 <= place + by < len(same):
            return None
        return self._long(same[place + by])

    def _answer(self) -> Link | None:
        span = self._span()
        if not self._inputs.can_answer or not isinstance(span, IsoWeek):
            return None
        return Link(answers_address(span), self._words.text(message("Answer your questions")))

    def _long(self, span: SpanName) -> Link | None:
        label = self._say.heading(span, self._words.rule)
        return key_link(self._inputs, self._words, span.kind, span.id, label)

    def _parts(self) -> Iterator[Link]:
        """The weeks of a month, the months of a longer span; and what this one lies in."""
        held = self._review.span
        first, last = held.first, held.last
        spans: list[IsoWeek | Month] = []
        if held.kind is SpanKind.MONTH:
            week = self._words.rule.week_of(first)
            while week <= self._words.rule.week_of(last):
                spans.append(week)
                week = week.shifted(1)
        elif held.kind is SpanKind.WEEK:
            spans += dict.fromkeys((Month.of(first), Month.of(last)))
        else:
            month = Month.of(first)
            while month <= Month.of(last):
                spans.append(month)
                month = month.shifted(1)
        yield from filter(None, map(self._link, spans))
        around = (
            one
            for one in self._inputs.spans
            if one != held and one.first <= last and one.last >= first
        )
        yield from filter(None, map(self._long, around))

    def _dots(self) -> Iterator[Dots]:
        """Those that tell something first, then those with most days."""
        shown = [one for one in self._review.pairs if one.together.points]
        shown.sort(key=lambda one: (not one.together.tells, -one.together.days))
        return (dots(self._words, self._say, one) for one in shown[:MOST_DOTS])

    def _groups(self) -> Iterator[ReviewGroup]:
        tasks = self._review.tasks
        groups: tuple[tuple[str, Message, tuple[ReviewTask, ...]], ...] = (
            ("done", message("Done"), tasks.done),
            ("carried", message("Carried"), tasks.carried),
            ("dropped", message("Dropped"), tasks.dropped),
            ("open", message("Still open"), tasks.open),
        )
        for kind, name, several in groups:
            lines = tuple(self._task_lines(several))
            most = len(lines) if len(lines) <= MOST_TASKS + 3 else MOST_TASKS
            yield ReviewGroup(
                kind=kind,
                name=self._words.text(name),
                count=self._words.language.digits(str(len(several))),
                tasks=lines[:most],
                folded=lines[most:],
            )

    def _task_lines(self, tasks: Iterable[ReviewTask]) -> Iterator[tuple[AreaMark | None, str]]:
        held: dict[object, list[ReviewTask]] = {}
        for one in tasks:
            key = one if self._span() is not None else (one.source, one.id, one.title)
            held.setdefault(key, []).append(one)
        for first, *others in held.values():
            text = self._say.task(first) if not others else self._say.times(first, 1 + len(others))
            yield self._words.area(first.area), text

    def _habit(self, one: HabitReview) -> ReviewHabit:
        return ReviewHabit(
            id=one.id,
            title=one.title,
            person=self._words.person(one.person),
            area=self._words.area(one.area),
            health=one.health,
            only_for=self._words.names(one.only_for) if one.only_for else "",
            rate=self._say.rate(one),
            figures=self._say.figures(one, one.figures) if one.figures is not None else "",
            chart=chart(self._words, self._say, one, self._review),
        )

    def _minutes(self) -> Iterator[tuple[str, tuple[ReviewLine, ...]]]:
        for activity, name in ACTIVITIES.items():
            lines = [one for one in self._review.minutes if one.activity is activity]
            if lines:
                yield self._words.text(name), tuple(self._lines(lines))

    def _lines(self, lines: Iterable[MinutesLine]) -> Iterator[ReviewLine]:
        for one in lines:
            yield ReviewLine(
                self._say.whose(one), self._words.area(one.area), self._say.minutes(one)
            )

    def _estimate(self, one: EstimateLine) -> ReviewLine:
        head = f"{self._words.text(ACTIVITIES[one.activity])}: {self._say.kind(one)}"
        return ReviewLine(head, self._words.area(one.area), self._say.estimate(one))
