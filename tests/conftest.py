"""What holds for every test: property tests draw the same cases in CI, and have time."""

from __future__ import annotations

import os

from hypothesis import settings

# A change must not fail for a case that another one drew: new cases are found at the desk, where
# every run draws others, and go into the suites by hand.
settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("desk", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "desk")
