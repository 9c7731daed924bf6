"""`SiteInput`: all that the pages are made from."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field
from datetime import date, datetime, tzinfo
from pathlib import Path
from typing import Protocol

from weeksync.language import Language
from weeksync.lazy import dataclass
from weeksync.model.config import Config
from weeksync.model.problem import Problem
from weeksync.model.pulled import SourceState
from weeksync.model.review import Review, SpanName
from weeksync.model.spread import LeftOut, MonthPlan, Spread
from weeksync.model.week import IsoWeek, Month
from weeksync.model.year import Text, Year


@dataclass(frozen=True, slots=True)
class SiteInput:
    """Everything one build of the pages needs; same input, same bytes.

    `weeks` and `months` are common views, in order; `own_weeks` are the whole spreads and are
    read by `own_pages` alone. `today` chooses the week the start page leads to. `problems`,
    `states`, `left_out` and `objects` (how many of each source are stored) fill the page of
    problems. `tzdata` and `version` stand in the footer. `templates` is the user's own folder of
    templates, None where there is none.
    `elsewhere` are weeks and months that have pages and are not made from these inputs: links
    lead to them. `beside` are weeks without a page of which the common site says so: the rest of
    its first and its last month. To lead there spares the pages at the edges from being other ones
    each week. `now` is when the pages are made; without it they say nothing of their age.
    `zone` and `closed_at` are given where the pages are those of a closed week: how its clocks
    went, and when it was closed. `kept` and
    `own_kept` are finished pages of the two trees, by path: those of closed weeks. They are taken
    as they are, and no page is made of a week that has one.
    `reviews` look back on weeks, months, terms and years; those of common views, and without
    health, are for `pages`, `own_reviews` for `own_pages` alone; `looked_back` are the keys
    (`2027-W12`, `2027-03`, `term-spring-2027`, `2027`) of all that have such a page, whether it
    is made from these inputs or not; `spans` are the terms and years among them.
    `years` and `own_years` are those with a page of their own, in both views, `with_years` the
    numbers of all that have one. `texts` are those of closed weeks, by year, to be searched, where
    `can_search` says that there is a page for that.
    `can_answer` is said of a served page of one's own that looks back on a week: it leads to where
    the own questions are answered. `marked` says by day and thing when it was marked last
    (`last_mark.marked_at`).
    """

    config: Config
    language: Language
    weeks: tuple[Spread, ...]
    months: tuple[MonthPlan, ...]
    today: date
    problems: tuple[Problem, ...] = ()
    states: tuple[SourceState, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    tzdata: str = ""
    version: str = ""
    templates: Path | None = None
    own_weeks: tuple[Spread, ...] = ()
    now: datetime | None = None
    elsewhere: frozenset[IsoWeek | Month] = frozenset()
    beside: frozenset[IsoWeek] = frozenset()
    zone: tzinfo | None = None
    closed_at: datetime | None = None
    kept: Mapping[str, bytes] = field(default_factory=dict)
    own_kept: Mapping[str, bytes] = field(default_factory=dict)
    reviews: tuple[Review, ...] = ()
    own_reviews: tuple[Review, ...] = ()
    looked_back: frozenset[str] = frozenset()
    spans: tuple[SpanName, ...] = ()
    years: tuple[Year, ...] = ()
    own_years: tuple[Year, ...] = ()
    with_years: frozenset[int] = frozenset()
    texts: Mapping[int, Sequence[tuple[IsoWeek, Sequence[Text]]]] = field(default_factory=dict)
    can_search: bool = False
    can_answer: bool = False
    marked: Mapping[date, Mapping[str, int]] = field(default_factory=dict)
    entries: Mapping[str, int] = field(default_factory=dict)


class Take(Protocol):
    """What pages that belong to no week, month or span are asked for through."""

    def __call__(self, name: str, make: Callable[[], bytes], about: object = None) -> bytes:
        """The page of that name, made or as it is shown already; `about` is what it is made of
        that nobody else knows."""
