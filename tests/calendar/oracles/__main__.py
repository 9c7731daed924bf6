"""`python -m tests.calendar.oracles --cases 20000 --seed 1`: the big comparison."""

from __future__ import annotations

import argparse
import sys
from random import Random

from tests.calendar.oracles.asking import Oracles
from tests.calendar.oracles.drawing import question
from tests.calendar.oracles.minimal import minimal
from tests.calendar.oracles.question import Question
from tests.calendar.oracles.tally import Tally, Unexplained


def smallest(oracles: Oracles, one: Unexplained) -> Unexplained:
    """The same difference on the smallest calendar that shows it."""

    def still(question: Question) -> Unexplained | None:
        try:
            left = Tally(oracles).ask(question)
        except (KeyError, ValueError):  # a calendar cut down too far, as to a zone without a name
            return None
        return next((other for other in left if other.oracle == one.oracle), None)

    return still(minimal(one.question, lambda question: still(question) is not None)) or one


def main() -> int:
    """Draw, ask, print; 1 where a difference is left unexplained."""
    parser = argparse.ArgumentParser(prog="python -m tests.calendar.oracles", description=__doc__)
    parser.add_argument("--cases", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--from", type=int, default=0, dest="first", help="number of the first case"
    )
    parser.add_argument("--keep-going", type=int, default=1, help="stop at so many unexplained")
    given = parser.parse_args()
    found = 0
    with Oracles() as oracles:
        tally = Tally(oracles)
        for number in range(given.first, given.first + given.cases):
            for one in tally.ask(question(Random(f"{given.seed} {number}"))):
                found += 1
                small = smallest(oracles, one)
                print(f"--- case {number} of seed {given.seed}\n{small}\n", flush=True)
            if found >= given.keep_going:
                break
            if tally.cases % 500 == 0:
                print(f"{tally.cases} cases, {found} unexplained", file=sys.stderr)
        print(f"seed {given.seed}\n{tally.table()}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
