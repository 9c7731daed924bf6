"""What holds for every test: property tests draw the same cases on every run, and have time."""

from __future__ import annotations

from hypothesis import settings

# A change must not fail for a case that another one drew. New cases are looked for with
# `--hypothesis-profile=search`, and go into the suites by hand.
settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("search", deadline=None)
settings.load_profile("same")
