"""The two engines of a desk run; both keep what failed through `Finds`.

Imports of the target stand inside: atheris must see the reader being imported.
"""

from __future__ import annotations

import random
import time
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from typing import Any


def guided(folder: Path, seconds: float, seed: int, relations: int) -> None:
    """The engine of atheris (libFuzzer) with edits of our own beside its."""
    atheris: Any = import_module("atheris")
    with atheris.instrument_imports(include=["weeksync.calendar"]):
        from tests.calendar.fuzz.finds import Finds
    from tests.calendar.fuzz.mutate import HERE, LARGEST, corpus, thrown

    finds, texts, seeds = Finds(folder, relations), corpus(), folder / "seeds"
    seeds.mkdir(exist_ok=True)
    for text in texts:
        (seeds / sha256(text).hexdigest()[:16]).write_bytes(text)

    def other(data: bytes, size: int, number: int) -> bytes:
        dice = random.Random(number)
        if dice.random() < 0.3:
            return bytes(atheris.Mutate(data, size))
        return thrown([data] * 3 + [dice.choice(texts)], dice)[:size]

    atheris.Setup(
        [
            "fuzz", str(folder / "seen"), str(seeds), f"-max_total_time={int(seconds)}",
            f"-seed={seed}", f"-max_len={LARGEST}", f"-dict={HERE / 'tokens.dict'}",
            "-print_final_stats=1", "-verbosity=0", "-rss_limit_mb=1024", "-timeout=60",
            f"-artifact_prefix={folder / 'failed'}/",
        ],
        finds.judge,
        custom_mutator=other,
    )  # fmt: skip
    atheris.Fuzz()


def thrown_dice(folder: Path, seconds: float, seed: int, relations: int) -> None:
    """Mutations by dice; a text that takes a new step of the reader is mutated on."""
    from tests.calendar.fuzz.finds import Finds
    from tests.calendar.fuzz.mutate import corpus, thrown
    from tests.calendar.fuzz.reach import Arc, arcs

    dice, finds, texts = random.Random(seed), Finds(folder, relations), corpus()
    seen = frozenset[Arc]().union(*map(arcs, texts))
    done, begun = 0, time.monotonic()
    while time.monotonic() - begun < seconds:
        data = thrown(texts, dice)
        finds.judge(data)
        done += 1
        if not arcs(data) <= seen:
            seen |= arcs(data)
            texts.append(data)
            (folder / "seen" / sha256(data).hexdigest()[:16]).write_bytes(data)
    print(f"{done} texts, {len(seen)} steps reached")
