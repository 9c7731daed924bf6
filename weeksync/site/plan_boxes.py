"""What is worked out about a week as named boxes, for a common page and for one's own."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from weeksync.message import Message, message
from weeksync.model.engagement import Clash, ClashKind, HandOver
from weeksync.model.snapshot import LineKind, SnapshotLine
from weeksync.model.spread import Spread
from weeksync.model.week_plan import (
    Carried,
    Change,
    ComingUp,
    LighterDays,
    Proposal,
    Standing,
    WeekPlan,
)
from weeksync.site.parts import more_text
from weeksync.site.plan_days import every_task
from weeksync.site.prose import prose
from weeksync.site.record import PlanBox, PlanLine
from weeksync.site.words import Words

MOST_LINES = 8
"""Lines of one box at most; the rest is counted."""

Seen = Callable[[Sequence[str]], bool]
"""Whether what is only for these persons, () for everybody, is shown."""


class PlanBoxes:
    """Each method gives one box, of what may be `seen`; one that says nothing has no lines."""

    def __init__(self, words: Words, spread: Spread, plan: WeekPlan, seen: Seen) -> None:
        self._words = words
        self._spread = spread
        self._plan = plan
        self._seen = seen
        self._titles = {
            task.id: task.title for task in every_task(spread) if seen(task.only_for)
        } | {one.task: one.title for one in plan.carried if seen(one.only_for)}

    def _of(self, name: str, heading: Message, lines: Iterable[PlanLine]) -> PlanBox:
        return box_of(self._words, name, heading, list(lines), str(self._spread.week))

    def meets(self) -> PlanBox:
        """Clashes, tight and touching events, hand-overs."""
        return self._of("meets", message("Clashes and hand-overs"), self._meets())

    def _meets(self) -> Iterator[PlanLine]:
        say = self._words.say
        order = list(ClashKind)
        if self._seen(()):
            for line in say.at_once(self._plan.loads):
                yield PlanLine(line, kind=ClashKind.CLASH.value)
        for one in sorted(self._plan.clashes, key=lambda one: order.index(one.kind)):
            if self._seen(one.only_for):
                yield PlanLine(say.clash(one), (), self._names(one), one.kind.value)
        for other in self._plan.hand_overs:
            if self._seen(other.only_for):
                yield PlanLine(say.hand_over(other), (), self._names(other), "hand-over")

    def _names(self, one: Clash | HandOver | Carried | Change | ComingUp) -> str:
        return only_for(self._words, one.only_for)

    def proposed(self, *, each: bool = False) -> PlanBox:
        """How many tasks have room, with the command that takes them; habits with reasons.

        `each`: tasks and priorities by name, too, where they do not stand in days.
        """
        return self._of("proposed", message("Proposed"), self._proposed(each=each))

    def _proposed(self, *, each: bool) -> Iterator[PlanLine]:
        made = self._plan.proposal
        if made is None:
            return
        if each:
            yield from self._by_name(made)
        count = sum(
            bool(one.pieces) and one.standing is not Standing.CHOSEN and self._seen(one.only_for)
            for one in made.tasks
        )
        if count and not each:
            yield PlanLine(self._words.say.room(count, str(self._spread.week)))
        for one in made.habits:
            if self._seen(one.only_for):
                yield PlanLine(
                    self._words.text(
                        message(
                            "{title}: {when}", title=one.title, when=self._words.say.days(one.days)
                        )
                    ),
                    self._words.persons((one.person,)),
                    self._words.plan_text(one.reason),
                )

    def _by_name(self, made: Proposal) -> Iterator[PlanLine]:
        words = self._words
        for one in made.tasks:
            if one.pieces and one.standing is not Standing.CHOSEN and self._seen(one.only_for):
                text = words.text(
                    message("{title}: {when}", title=one.title, when=words.say.pieces(one.pieces))
                )
                yield PlanLine(text, words.persons((one.person,)), words.plan_text(one.reason))
        for other in made.priorities:
            if self._seen(other.only_for):
                title = words.text(message("priority: {title}", title=other.title))
                day = words.say.day(other.day)
                text = words.text(message("{title}: {when}", title=title, when=day))
                yield PlanLine(text, words.persons(other.persons), words.plan_text(other.reason))

    def without_place(self) -> PlanBox:
        """What will be late, and what has no place, with reasons; what is nobody's."""
        return self._of("without-place", message("Late or without a place"), self._without_place())

    def _without_place(self) -> Iterator[PlanLine]:
        if self._plan.proposal is not None:
            yield from self._left_over(self._plan.proposal)
        for task in self._plan.unassigned:
            if task.task in self._titles:
                yield PlanLine(self._words.say.unassigned(task), kind="unplaced")

    def _left_over(self, made: Proposal) -> Iterator[PlanLine]:
        planned = {load.person for load in self._plan.loads}
        for one in made.tasks:
            late = one.standing is Standing.LATE
            without = not one.pieces and (
                one.standing is not Standing.CHOSEN or one.person in planned
            )
            if (late or without) and self._seen(one.only_for):
                yield PlanLine(
                    one.title,
                    self._words.persons((one.person,)) if one.person else (),
                    self._words.plan_text(one.reason),
                    "late" if late else "unplaced",
                )

    def carried(self) -> PlanBox:
        """Tasks carried forward."""
        return self._of(
            "carried",
            message("Carried forward"),
            (
                PlanLine(
                    self._words.say.carried(one),
                    self._words.persons(one.persons),
                    self._names(one),
                    "to-decide" if one.decision_due else "",
                )
                for one in self._plan.carried
                if self._seen(one.only_for)
            ),
        )

    def worked(self) -> PlanBox:
        """Hours worked."""
        return self._of(
            "worked",
            message("Hours worked"),
            (
                PlanLine(self._words.duration(one.minutes), (self._words.person(one.person),))
                for one in self._plan.worked
                if one.minutes
            ),
        )

    def lighter(self, *, reasons: bool = False) -> PlanBox:
        """Lighter days; why they are only where `reasons` are wanted, which can be of health."""
        lines = (
            PlanLine(text, kind="" if index else "head")
            for one in self._plan.lighter
            for index, text in enumerate(
                self._words.say.lighter(self._lighter(one, reasons=reasons), self._titles)
            )
        )
        return self._of("lighter", message("Lighter weeks"), lines)

    def _lighter(self, one: LighterDays, *, reasons: bool) -> LighterDays:
        paid = tuple(item for item in one.pay_before if self._seen(item.only_for))
        return replace(one, reason=one.reason if reasons else "", pay_before=paid)

    def coming_up(self) -> PlanBox:
        """What needs lead time."""
        found = [
            coming(self._words, one) for one in self._plan.coming_up if self._seen(one.only_for)
        ]
        return self._of("coming-up", message("Coming up"), found)

    def changes(self) -> PlanBox:
        """What has changed since the week was printed or confirmed."""
        when = self._plan.confirmed
        at = when.astimezone(self._words.zone) if when is not None else None
        return self._of(
            "changes",
            self._words.say.changes_title(at),
            (
                PlanLine(
                    self._words.say.change(replace(one, was=_plain(one.was), now=_plain(one.now))),
                    self._words.persons(one.persons),
                    self._names(one),
                    one.kind.value,
                )
                for one in self._plan.changes
                if self._seen(one.only_for)
            ),
        )


def _plain(line: SnapshotLine | None) -> SnapshotLine | None:
    """A row of one's own is written in Markdown; within a sentence its words are enough."""
    if line is None or line.kind not in (LineKind.ROW, LineKind.NOTES):
        return line
    return replace(line, text=prose(line.text).striptags())


def only_for(words: Words, persons: Sequence[str]) -> str:
    """Who may see it; "" for everybody."""
    if not persons:
        return ""
    return words.text(message("only for {names}", names=words.names(persons)))


def coming(words: Words, one: ComingUp) -> PlanLine:
    """What needs lead time."""
    note = only_for(words, one.only_for)
    return PlanLine(words.say.coming_up(one), words.persons(one.persons), note)


def box_of(words: Words, name: str, heading: Message, lines: list[PlanLine], span: str) -> PlanBox:
    """A box of as many lines as can be read, and what `weeksync show` tells the rest."""
    return PlanBox(
        id=name,
        heading=words.text(heading),
        lines=tuple(lines[:MOST_LINES]),
        more=more_text(words, len(lines) - MOST_LINES, span),
    )
