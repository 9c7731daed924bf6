"""Fewest late and least lateness, against published examples and by trying everything."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import accumulate, combinations, permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.support.plans import EXPECTED
from weeksync.plan.fewest_late import (
    Job,
    Missing,
    by_due,
    fewest_late,
    least_lateness,
)

JOBS = st.lists(st.tuples(st.integers(1, 12), st.integers(0, 40)), max_size=8)


def jobs(minutes: Iterable[int], deadlines: Iterable[int]) -> list[Job]:
    """Jobs numbered from 1."""
    return [
        Job(number, long, due)
        for number, (long, due) in enumerate(zip(minutes, deadlines, strict=True), start=1)
    ]


def made(pairs: Iterable[tuple[int, int]]) -> list[Job]:
    """Jobs of (minutes, deadline) pairs."""
    return [Job(number, long, due) for number, (long, due) in enumerate(pairs)]


def all_in_time(chosen: Iterable[Job]) -> bool:
    """Whether the jobs, in the order of their deadlines, all end in time."""
    ordered = sorted(chosen, key=lambda job: job.deadline)
    ends = accumulate(job.minutes for job in ordered)
    return all(end <= job.deadline for end, job in zip(ends, ordered, strict=True))


def numbers(found: Iterable[Job]) -> list[int]:
    """Their numbers, smallest first."""
    return sorted(job.number for job in found)


def test_moore_s_example() -> None:
    """Two of five are late: Pinedo, Scheduling, example 3.3.3, after Moore 1968.

    Data and reference from a page that quotes them; the answer was computed and tried by force.
    """
    given_jobs = jobs([7, 8, 4, 6, 6], [9, 17, 18, 19, 21])
    in_time, late = fewest_late(given_jobs)
    assert (numbers(in_time), numbers(late)) == ([3, 4, 5], [1, 2])
    assert least_lateness(given_jobs) == 10, "by due date alone three are late, by up to 10"


def test_ten_jobs_of_a_course() -> None:
    """Jobs 7 and 8 are late (an exercise of a course; the answer computed and tried by force)."""
    in_time, late = fewest_late(
        jobs(
            [19, 23, 5, 31, 17, 8, 32, 41, 26, 18],
            [48, 75, 170, 215, 205, 240, 85, 67, 100, 95],
        )
    )
    assert numbers(late) == [7, 8]
    assert [job.deadline for job in in_time] == sorted(job.deadline for job in in_time)


def test_least_lateness_by_due_date() -> None:
    """The greatest lateness is 1: Kleinberg & Tardos 2005, section 4.2 (from memory, computed)."""
    assert least_lateness(jobs([3, 2, 1, 4, 3, 2], [6, 8, 9, 9, 14, 15])) == 1


def test_no_jobs() -> None:
    """Nothing to do is never late."""
    assert fewest_late([]) == ([], [])
    assert least_lateness([]) == 0


def test_the_nine_tasks_of_the_demo() -> None:
    """Against its cumulative minutes only the sales sheet is late, as trying all of them says."""
    figures = EXPECTED["tasks"]
    days = {name: at for at, name in enumerate(["Mon 22", "Tue 23", "Wed 24", "Thu 25", "Fri 26"])}
    titles = [title for title, _, _ in figures["tasks"]]
    weighed = [
        Job(number, minutes, figures["cumulative"][days[day]])
        for number, (_, minutes, day) in enumerate(figures["tasks"])
    ]
    in_time, late = fewest_late(weighed)
    assert [titles[job.number] for job in late] == figures["moore_hodgson_late"]
    assert len(late) == figures["brute_force_min_late"]
    assert least_lateness(in_time) <= 0
    # With its 300 minutes it is Wednesday that runs over: 240 + 90 + 240 + 240 + 60 before it.
    assert Missing(in_time).of(late[0]) == 870 + 300 - 1008


@given(JOBS)
def test_nothing_beats_it(pairs: list[tuple[int, int]]) -> None:
    """Of all choices of at most eight jobs none that ends in time is larger."""
    weighed = made(pairs)
    in_time, late = fewest_late(weighed)
    assert numbers([*in_time, *late]) == numbers(weighed)
    assert all_in_time(in_time)
    most = max(
        size
        for size in range(len(weighed) + 1)
        if any(all_in_time(some) for some in combinations(weighed, size))
    )
    assert len(in_time) == most


@given(JOBS.filter(lambda pairs: len(pairs) <= 6))
def test_no_other_order_has_less_lateness(pairs: list[tuple[int, int]]) -> None:
    """Of all orders of at most six jobs none has a smaller greatest lateness."""

    def worst(order: Sequence[Job]) -> int:
        ends = accumulate(job.minutes for job in order)
        return max((end - job.deadline for end, job in zip(ends, order, strict=True)), default=0)

    weighed = made(pairs)
    assert least_lateness(weighed) == min(worst(order) for order in permutations(weighed))


@given(JOBS)
def test_what_is_missing_is_just_enough(pairs: list[tuple[int, int]]) -> None:
    """With so many minutes more before its deadline a late job is in time, with one less not."""
    in_time, late = fewest_late(made(pairs))
    loads = Missing(in_time)
    for job in late:
        need = loads.of(job)
        assert need > 0

        def moved(one: Job, more: int, due: int = job.deadline) -> Job:
            later = one.deadline + more if one.deadline >= due else one.deadline
            return Job(one.number, one.minutes, later)

        assert all_in_time(moved(one, need) for one in [*in_time, job])
        assert not all_in_time(moved(one, need - 1) for one in [*in_time, job])


@pytest.mark.parametrize("ranks", [(1, 2), (2, 1)])
def test_of_two_as_long_the_less_important_is_given_up(ranks: tuple[int, int]) -> None:
    """The own ranking decides where the minutes do not."""
    pair = [Job(number, 10, 15, rank) for number, rank in enumerate(ranks)]
    _, late = fewest_late(pair)
    assert [job.rank for job in late] == [2]
    assert [job.rank for job in by_due(pair)] == [1, 2]
