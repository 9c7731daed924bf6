"""`python -m tests.calendar.fuzz --minutes N [--seed S]`: look for wrong answers at the desk.

Guided by coverage through atheris where that is installed (extra `fuzz`: it has no wheel for
every system), else by the steps of `reach`. What fails is made small and written into a folder
that is printed; so is what reaches new steps of the reader. The exit status is 1 where
something failed.
"""

from __future__ import annotations

import argparse
import multiprocessing
import random
import sys
import tempfile
from hashlib import sha256
from importlib.util import find_spec
from pathlib import Path

from tests.calendar.fuzz.engines import guided, thrown_dice

MOST_NEW = 60
"""Texts that reach something new and are kept of one run."""


def main() -> int:
    """Run for so many minutes and say what came of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.calendar.fuzz", description=__doc__)
    parser.add_argument("--minutes", type=float, required=True)
    parser.add_argument("--seed", type=int, default=random.randrange(1, 1 << 31))
    parser.add_argument("--relations", type=int, default=3, help="asked of each text (3)")
    parser.add_argument("--folder", type=Path, help="where finds go (a new temporary one)")
    wanted = parser.parse_args()
    folder = wanted.folder or Path(tempfile.mkdtemp(prefix="weeksync-fuzz-"))
    for name in ("failed", "seen"):
        (folder / name).mkdir(parents=True, exist_ok=True)
    engine = guided if find_spec("atheris") else thrown_dice
    print(f"{engine.__name__}, seed {wanted.seed}, finds go to {folder}", flush=True)
    # A process of its own: atheris instruments imports, and ends the process it runs in.
    run = multiprocessing.get_context("spawn").Process(
        target=engine, args=(folder, wanted.minutes * 60, wanted.seed, wanted.relations)
    )
    run.start()
    run.join()
    return conclude(folder)


def conclude(folder: Path) -> int:
    """Make small what failed, keep what reaches something new, and say so."""
    from tests.calendar.fuzz.finds import fails_alike, failure
    from tests.calendar.fuzz.minimise import minimised
    from tests.calendar.fuzz.mutate import corpus
    from tests.calendar.fuzz.reach import Arc, arcs, covering, smaller

    failed = 0
    for path in sorted((folder / "failed").iterdir()):
        data = path.read_bytes()
        if why := failure(data):
            failed += 1
            path.write_bytes(small := minimised(data, fails_alike(why)))
            print(f"\n{path}\n  {failure(small)}")
    reached = frozenset[Arc]().union(*map(arcs, corpus()))
    texts = [path.read_bytes() for path in (folder / "seen").iterdir()]
    new = covering([text for text in texts if not failure(text)], reached, MOST_NEW)
    (folder / "new").mkdir(exist_ok=True)
    for data in new:
        small = smaller(data, arcs(data) - reached)
        (folder / "new" / f"{sha256(small).hexdigest()[:12]}.ics").write_bytes(small)
    print(f"\n{failed} failed; {len(new)} reach something new: {folder / 'new'}")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
