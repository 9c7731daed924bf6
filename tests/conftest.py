"""What holds for every test: property tests draw the same cases on every run, and have time."""

from __future__ import annotations

from hypothesis import settings
from hypothesis.internal.conjecture import providers
from hypothesis.internal.constants_ast import Constants

# A change must not fail for a case that another one drew. New cases are looked for with
# `--hypothesis-profile=search`, and go into the suites by hand.
settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("search", deadline=None)
settings.load_profile("same")

# Hypothesis draws from the constants of whatever of ours is imported by then, too, so that a
# suite by itself would draw other cases than the whole run, and each change new ones. It has no
# setting for that; tests/test_draws.py tells where a release has another name for it.
_no_constants = Constants()
providers._get_local_constants = lambda: _no_constants
