"""The fuzz target: any bytes in, AssertionError with a clear text out where an answer is wrong.

`one_input` asks the index, the expansion and, where the text has a rule they can follow, the
household's own appointments; `invariants` says what must hold of any answer, `relations` what
must hold between answers. Budgets are small, so that hostile texts are judged quickly.
"""

from __future__ import annotations

import time
import zlib
from collections.abc import Callable, Sequence

from tests.calendar.fuzz.appointment import as_an_appointment
from tests.calendar.fuzz.case import Case
from tests.calendar.fuzz.invariants import holds
from tests.calendar.fuzz.relations import RELATIONS

SECONDS = 5.0
"""CPU seconds that one hostile text may take."""

CHECKS: tuple[Callable[[Case], None], ...] = (*RELATIONS, as_an_appointment)
"""What is asked after `holds`."""


def one_input(data: bytes, most: int | None = None) -> None:
    """Judge these bytes; `most` limits it to so many relations, chosen by the bytes.

    AssertionError, whose text begins with the name of what was asked, where an answer is wrong
    or something was raised.
    """
    case = Case(data)
    begun = time.process_time()
    _ask(holds, case)
    took = time.process_time() - begun
    assert took < SECONDS, f"holds: it took {took:.1f} s of CPU"
    for check in _chosen(data, most):
        _ask(check, case)


def _ask(check: Callable[[Case], None], case: Case) -> None:
    try:
        check(case)
    except AssertionError as error:
        raise AssertionError(f"{check.__name__}: {error}") from error
    except Exception as error:
        raise AssertionError(f"{check.__name__}: raised {error!r}") from error


def _chosen(data: bytes, most: int | None) -> Sequence[Callable[[Case], None]]:
    if most is None:
        return CHECKS
    first = zlib.crc32(data)
    return [CHECKS[(first + at) % len(CHECKS)] for at in range(most)]
