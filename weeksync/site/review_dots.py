"""Two figures of the same days as dots: a square without figures, since it proves nothing."""

from __future__ import annotations

from collections.abc import Callable

from weeksync.language.review_sentences import ReviewSentences
from weeksync.message import counted
from weeksync.model.review import PairLine
from weeksync.site.record.review import ChartPoint, Dots
from weeksync.site.words import Words

SIZE, _EDGE = 120, 8


def dots(words: Words, say: ReviewSentences, pair: PairLine) -> Dots:
    """The dots of a pair with at least one day; equal figures of several days are one dot."""
    first, second = say.pair_names(pair)
    found = dict.fromkeys(pair.together.points)
    across, up = _scale([a for a, _ in found]), _scale([b for _, b in found])
    mirrored = words.language.direction == "rtl"
    return Dots(
        size=SIZE,
        across=first,
        up=second,
        label=words.text(
            counted(
                "{first} and {second}, a dot for a day with both: {count}",
                "{first} and {second}, a dot for a day with both: {count}",
                pair.together.days,
                first=first,
                second=second,
            )
        ),
        points=tuple(
            ChartPoint(
                _place(SIZE - one if mirrored else one),
                _place(SIZE - other),
            )
            for one, other in ((across(a), up(b)) for a, b in found)
        ),
    )


def _scale(values: list[float]) -> Callable[[float], float]:
    low, high = min(values), max(values)
    span = (high - low) or 1.0

    def place(value: float) -> float:
        return _EDGE + (value - low) / span * (SIZE - 2 * _EDGE)

    return place


def _place(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")
