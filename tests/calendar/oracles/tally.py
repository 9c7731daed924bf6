"""Many questions, all oracles: counts by oracle and class, and what nobody explains."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from tests.calendar.oracles.asking import COMMANDS, Oracles
from tests.calendar.oracles.comparing import Difference, Pair
from tests.calendar.oracles.explained import explain
from tests.calendar.oracles.process import Answer, Item
from tests.calendar.oracles.question import Question, ours


@dataclass(frozen=True, slots=True)
class Unexplained:
    """A difference that falls into no class."""

    question: Question
    oracle: str
    pairs: tuple[Pair, ...]
    ours: tuple[Item, ...]
    answers: dict[str, Answer]

    def __str__(self) -> str:
        """The calendar, the window and all answers, to be read by people."""
        question = self.question
        lines = [
            question.text.replace("\r", ""),
            f"window {question.start} to {question.end} in {question.tz}, own {question.own}",
            f"{self.oracle} differs:",
            *(f"  ours {pair.ours}  theirs {pair.theirs}" for pair in self.pairs[:10]),
            *_shown("weeksync", self.ours),
        ]
        for name, answer in self.answers.items():
            lines += (
                [f"{name}: refused: {answer.refused}"]
                if answer.refused
                else _shown(name, answer.items)
            )
        return "\n".join(lines)


def _shown(name: str, items: tuple[Item, ...]) -> Iterator[str]:
    yield f"{name}: {len(items)}"
    yield from (
        f"  {start}/{end} {'cancelled ' * off}{title}" for start, end, off, title in items[:12]
    )


@dataclass(slots=True)
class Tally:
    """What was counted so far."""

    oracles: Oracles
    cases: int = 0
    occurrences: int = 0
    judges: Counter[int] = field(default_factory=Counter)
    """How many questions were answered by so many oracles."""
    counts: dict[str, Counter[str]] = field(
        default_factory=lambda: {name: Counter() for name in COMMANDS}
    )
    """By oracle: asked, agreed, refused, and the names of classes."""
    refusals: Counter[tuple[str, str]] = field(default_factory=Counter)

    def ask(self, question: Question) -> list[Unexplained]:
        """Hold our answer against every oracle's; what is left unexplained."""
        mine = ours(question)
        self.cases += 1
        self.occurrences += len(mine)
        answers = {name: self.oracles.ask(name, question) for name in COMMANDS}
        self.judges[sum(not answer.refused for answer in answers.values())] += 1
        found = []
        for name, answer in answers.items():
            left = self._judged(question, name, mine, answer)
            if left:
                found.append(Unexplained(question, name, left, mine, answers))
        return found

    def judge(
        self, question: Question, name: str, ours_of: Question, answer: Answer
    ) -> tuple[Pair, ...]:
        """What no class explains if our answer were the one to `ours_of`."""
        return self._judged(question, name, ours(ours_of), answer)

    def _judged(
        self, question: Question, name: str, mine: tuple[Item, ...], answer: Answer
    ) -> tuple[Pair, ...]:
        count = self.counts[name]
        count["asked"] += 1
        if answer.refused:
            count["refused"] += 1
            self.refusals[name, answer.refused[:60]] += 1
            return ()
        if answer.items == mine:
            count["agreed"] += 1
            return ()

        def again(other: Question) -> tuple[Item, ...] | None:
            found = self.oracles.ask(name, other)
            return None if found.refused else found.items

        names, left = explain(Difference(question, name, mine, answer.items, again))
        count["unexplained" if left else "explained"] += 1
        for one in names:
            count[f"  {one}"] += 1
        return tuple(left)

    def table(self) -> str:
        """The counts, to be printed."""
        lines = [f"{self.cases} cases, {self.occurrences} occurrences of ours"]
        lines += [f"answered by {n} oracles: {self.judges[n]}" for n in sorted(self.judges)]
        for name, count in self.counts.items():
            lines.append(name)
            lines += [f"  {number:6}  {word}" for word, number in count.most_common()]
            lines += [
                f"  {n:6}    refused: {why}"
                for (one, why), n in self.refusals.most_common()
                if one == name
            ]
        return "\n".join(lines)
