"""Relations between answers: what a text must say when it is written or asked otherwise.

A fuzzer that only waits for exceptions misses every wrong answer. Each relation here takes a
case, changes the text or the question in a way that must not matter (or must matter in a way
that is known), and holds the two answers against each other. Where a relation does not apply,
the function says why and returns; a budget that was met is always such a reason, since what is
left out then depends on the order of things.
"""

from __future__ import annotations

from collections.abc import Callable

from tests.calendar.fuzz.asked_otherwise import (
    equal_inputs,
    four_centuries_later,
    larger_budgets,
    other_households,
    other_windows,
)
from tests.calendar.fuzz.case import Case
from tests.calendar.fuzz.damaged import (
    a_good_neighbour,
    cut_anywhere,
    digests_tell_changes,
)
from tests.calendar.fuzz.written_otherwise import (
    an_object_each,
    case_of_names,
    case_of_words,
    line_ends_and_folds,
    once_more,
    order_of_components,
    order_of_lines,
    strangers,
    unfolding_is_stable,
)

RELATIONS: tuple[Callable[[Case], None], ...] = (
    unfolding_is_stable,
    equal_inputs,
    line_ends_and_folds,
    case_of_names,
    case_of_words,
    order_of_lines,
    order_of_components,
    an_object_each,
    once_more,
    strangers,
    other_windows,
    other_households,
    a_good_neighbour,
    cut_anywhere,
    larger_budgets,
    digests_tell_changes,
    four_centuries_later,
)
"""All of them; each raises AssertionError where the answers do not fit together."""
