"""What is kept beside our modules: the same again, or nothing, and never something else."""

from __future__ import annotations

import random
import sys
from pathlib import Path

import pytest

from weeksync import pycache

VALUE = {"en": ("Monday", 1, 2.5), "de": (b"Montag", None, True)}
ABOUT = ("release 2.19", 3)


@pytest.fixture(autouse=True)
def writes(monkeypatch: pytest.MonkeyPatch) -> None:
    """As where Python may write what it makes of modules."""
    monkeypatch.setattr(sys, "dont_write_bytecode", False)


def test_what_was_kept_is_read(tmp_path: Path) -> None:
    """Under the same words about it, and under no others."""
    place = tmp_path / "made" / "kept.pyc"
    pycache.write(place, ABOUT, VALUE)
    assert pycache.read(place, ABOUT) == VALUE
    assert pycache.read(place, ("release 2.19", 4)) is None
    assert [one.name for one in place.parent.iterdir()] == ["kept.pyc"]


def test_damage_is_as_if_nothing_had_been_kept(tmp_path: Path) -> None:
    """A bit, an end that is missing, or zeros, as power cuts leave them."""
    place, dice = tmp_path / "kept.pyc", random.Random(3)
    pycache.write(place, ABOUT, VALUE)
    whole = place.read_bytes()
    for at in range(len(whole)):
        for spoilt in (
            whole[:at] + bytes([whole[at] ^ 1 << dice.randrange(8)]) + whole[at + 1 :],
            whole[:at],
            whole[:at] + bytes(len(whole) - at),
        ):
            place.write_bytes(spoilt)
            assert pycache.read(place, ABOUT) is None or spoilt == whole
    pycache.write(place, ABOUT, VALUE)
    assert pycache.read(place, ABOUT) == VALUE


def test_a_module_that_changed_made_something_else(tmp_path: Path) -> None:
    """Told by its size and time, as Python tells whether what it kept of a module is its."""
    module = tmp_path / "cldr.py"
    module.write_text("a = 1\n")
    first = pycache.made_by(module)
    assert pycache.made_by(module) == first
    module.write_text("a = 10\n")
    second = pycache.made_by(module)
    module.unlink()
    assert len({first, second, pycache.made_by(module)}) == 3
