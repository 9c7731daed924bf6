"""What is promised of a night, beside what was measured."""

from __future__ import annotations

import statistics
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from benchmarks.measure import Measured

IMPORT, PARSE = "import icalendar", "parse, icalendar"
COLD, QUIET, CHANGED, DAY, WEEK, CALDAV = (
    "cold build",
    "nothing changed",
    "one event changed",
    "the day after",
    "the week after",
    "nothing changed, CalDAV",
)

LIMITS: Mapping[str, float] = {QUIET: 1.75, CHANGED: 6.0, DAY: 8.0, WEEK: 8.0, CALDAV: 6.0}
"""CPU time of a night at most, in units of `python -c "import icalendar"`. The day after has no
limit of its own: it does less than the week after."""
COLD_LIMITS: Mapping[str, float] = {"large": 0.6, "small": 1.6}
"""CPU time of a cold build at most, in units of one parse of the same bytes."""
MEMORY_LIMIT = 0.3
"""Peak memory of a cold build of the large corpus, in units of that parse's."""
REQUESTS_LIMIT = 2.0
"""Requests to a CalDAV server for each calendar that has not changed."""

Seen = dict[str, list[Measured]]


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the table. Without a limit it is only told."""

    name: str
    value: float
    limit: float | None
    unit: str
    detail: str = ""

    @property
    def is_over(self) -> bool:
        """Whether it is more than promised."""
        return self.limit is not None and self.value > self.limit


def median(measured: Sequence[Measured]) -> Measured:
    """Of each column on its own."""
    return Measured(
        statistics.median(one.cpu for one in measured),
        statistics.median(one.wall for one in measured),
        statistics.median(one.peak_mb for one in measured),
    )


def figures(size: str, seen: Seen) -> list[Figure]:
    """The figures of what has been measured with a corpus of that size."""
    mid = {stage: median(some) for stage, some in seen.items() if some}
    found = []
    for stage, most in LIMITS.items():
        if stage in mid and IMPORT in mid:
            ratio = mid[stage].cpu / mid[IMPORT].cpu
            found.append(Figure(f"{size}: {stage}", ratio, most, "× import", _ms(mid[stage])))
    if COLD in mid and PARSE in mid:
        cold, parse = mid[COLD], mid[PARSE]
        limit = COLD_LIMITS.get(size)
        detail = f"{_ms(cold)} of {_ms(parse)}"
        found.append(Figure(f"{size}: {COLD}", cold.cpu / parse.cpu, limit, "× parse", detail))
        memory = MEMORY_LIMIT if size == "large" else None
        detail = f"{cold.peak_mb:.0f} of {parse.peak_mb:.0f} MB"
        share = cold.peak_mb / parse.peak_mb
        found.append(Figure(f"{size}: {COLD}, peak memory", share, memory, "× parse", detail))
    return found


def _ms(one: Measured) -> str:
    return f"{one.cpu:.2f} s" if one.cpu >= 10 else f"{1000 * one.cpu:.0f} ms"


def limits_table(found: Sequence[Figure]) -> str:
    """Each figure beside its limit."""
    lines = [f"{'figure':<42}{'is':>9}{'at most':>9}  {'':<6}unit"]
    for one in found:
        limit = "–" if one.limit is None else f"{one.limit:g}"
        word = "" if one.limit is None else "OVER" if one.is_over else "kept"
        value = f"{one.value:.0f}" if one.unit == "files" else f"{one.value:.2f}"
        detail = f"{one.unit} ({one.detail})" if one.detail else one.unit
        lines.append(f"{one.name:<42}{value:>9}{limit:>9}  {word:<6}{detail}")
    return "\n".join(lines)


def stages_table(seen: Seen) -> str:
    """CPU, wall time and memory of each stage: the median, and the least CPU time."""
    lines = [f"{'stage':<28}{'CPU s':>9}{'least':>9}{'wall s':>9}{'peak MB':>9}{'runs':>6}"]
    for stage, some in seen.items():
        if some:
            mid, least = median(some), min(one.cpu for one in some)
            lines.append(
                f"{stage:<28}{mid.cpu:>9.3f}{least:>9.3f}{mid.wall:>9.3f}{mid.peak_mb:>9.0f}"
                f"{len(some):>6}"
            )
    return "\n".join(lines)
