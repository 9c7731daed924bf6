"""What ends a look: it says no more than that the whole run has to find out."""

from __future__ import annotations


class Doubt(Exception):
    """Whether something has changed cannot be told for certain."""
