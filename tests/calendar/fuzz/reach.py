"""Which steps of the reader a text takes: pairs of lines of `weeksync.calendar` run in turn.

A step taken several times is another one than one taken once: loops go wrong at their ends.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from types import FrameType
from typing import Any

import weeksync.calendar
from tests.calendar.fuzz.case import Case
from tests.calendar.fuzz.invariants import holds
from tests.calendar.fuzz.minimise import minimised

Arc = tuple[str, int, int, int]
"""File, line before (negative at a call), line, and how often: 1 once, 2 up to three times, …"""
_OFTEN = 4
_FOLDER = str(Path(weeksync.calendar.__file__).parent)


def arcs(data: bytes) -> frozenset[Arc]:
    """The steps taken when these bytes are indexed and expanded."""
    found: Counter[tuple[str, int, int]] = Counter()
    old = sys.gettrace()
    sys.settrace(_tracer(found))
    try:
        holds(Case(data))
    except AssertionError:
        pass  # what is wrong is told elsewhere; here only the way there counts
    finally:
        sys.settrace(old)
    return frozenset((*arc, min(times.bit_length(), _OFTEN)) for arc, times in found.items())


def _tracer(found: Counter[tuple[str, int, int]]) -> Callable[[FrameType, str, Any], Any]:
    def called(frame: FrameType, event: str, _: Any) -> Any:
        name = frame.f_code.co_filename
        if event != "call" or not name.startswith(_FOLDER):
            return None
        last = -frame.f_lineno

        def stepped(frame: FrameType, event: str, _: Any) -> Any:
            nonlocal last
            if event == "line":
                found[name, last, frame.f_lineno] += 1
                last = frame.f_lineno
            return stepped

        return stepped

    return called


def covering(texts: Sequence[bytes], known: frozenset[Arc], most: int) -> list[bytes]:
    """Those texts that take steps no other does, most new steps first, at most so many."""
    ways = {text: arcs(text) for text in dict.fromkeys(texts)}
    chosen, seen = list[bytes](), set(known)
    while ways and len(chosen) < most:
        best = max(ways, key=lambda text: (len(ways[text] - seen), -len(text)))
        if not ways[best] - seen:
            break
        chosen.append(best)
        seen |= ways.pop(best)
    return chosen


def smaller(data: bytes, wanted: frozenset[Arc]) -> bytes:
    """A part of the text that still takes these steps; tracing is slow, so tries are few."""
    return minimised(data, lambda part: wanted <= arcs(part), tries=250)
