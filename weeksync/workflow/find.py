"""Looking for words in the titles and notes of the closed weeks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from typing import Any

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.year import Hit
from weeksync.review.texts import fold, has_all, visible, words_of
from weeksync.workflow.context import Context
from weeksync.workflow.year_gists import Gists, text_of

MOST = 200
"""Hits that are shown; the rest is counted."""

LONGEST = 200
"""Signs of a query; nobody types more to find something."""

EVERYTHING = ""
"""Stands for who may see everything: whoever sits at the keyboard of the home computer."""


@dataclass(frozen=True, slots=True)
class Found:
    """What was found: the newest weeks first, at most `MOST`; `count` is how many there are."""

    words: tuple[str, ...]
    hits: tuple[Hit, ...]
    count: int


def find(context: Context, query: str, person: str | None = EVERYTHING) -> Found:
    """The titles and notes of closed weeks with all words of `query`, accents and case aside.

    `person` sees what is on common pages and what is theirs; None is nobody in particular. In a
    week what stands on a later day comes first. UsageError where `query` has no word or is longer
    than anybody types.
    """
    words = words_of(query)
    if not words:
        raise UsageError(message("say what is looked for, as: weeksync find seed list"))
    if len(query) > LONGEST:
        raise UsageError(
            message("what is looked for has more than {most} signs; say less", most=LONGEST)
        )
    if person:
        context.known_person(person)
    sees: Callable[[Hit], bool] = lambda hit: person == EVERYTHING or visible(hit.text, person)  # noqa: E731
    found = [hit for hit in _hits(Gists(context), words) if sees(hit)]
    return Found(words, tuple(found[:MOST]), len(found))


def _hits(gists: Gists, words: tuple[str, ...]) -> Iterator[Hit]:
    met: dict[str, bool] = {}
    for year in reversed(gists.years):
        for week, texts in gists.texts(year):
            matching = [one for one in texts if _matches(one[1], words, met)]
            hits = [Hit(week, text_of(one)) for one in matching]
            yield from sorted(hits, key=lambda hit: hit.text.day or date.min, reverse=True)


def _matches(text: str, words: tuple[str, ...], met: dict[str, bool]) -> bool:
    """Whether it has all words; the same titles come week after week, and are looked at once."""
    found = met.get(text)
    if found is None:
        found = met[text] = has_all(fold(text), words)
    return found


def place_of(text: str, words: tuple[str, ...]) -> int:
    """About where the first of the words stands: folding moves it by the signs it takes out."""
    folded = fold(text)
    return min((folded.find(word) for word in words), default=0)


def as_record(found: Found) -> dict[str, Any]:
    """What was found as JSON: `count`, and a hit for each of `hits`."""
    return {
        "format": 1,
        "kind": "weeksync.found",
        "words": list(found.words),
        "count": found.count,
        "hits": [
            {
                "week": str(hit.week),
                "day": hit.text.day.isoformat() if hit.text.day is not None else None,
                "kind": hit.text.kind.value,
                "text": hit.text.text,
                "persons": list(hit.text.persons),
                "only_for": list(hit.text.only_for),
            }
            for hit in found.hits
        ],
    }
