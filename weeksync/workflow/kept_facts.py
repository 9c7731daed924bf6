"""Digests of facts, kept from run to run under a key that stands for all they come from."""

from __future__ import annotations

from collections.abc import Callable

from weeksync.workflow.fingerprint import fingerprint
from weeksync.workflow.units import Unit, Units


class KeptFacts:
    """Digests by name in a unit without pages; those of another key are worked out anew."""

    def __init__(self, units: Units, unit: str, key: str) -> None:
        self._units, self._unit, self._key = units, unit, key
        found = units.before(unit)
        held = found.gist if found is not None and found.key == key else ()
        self._known = {str(name): str(digest) for name, digest in held}
        self._now: dict[str, str] = {}

    def of(self, name: str, work_out: Callable[[], object]) -> str:
        """The digest of that name; facts are worked out only where it is not known."""
        found = self._now.get(name)
        if found is None:
            found = self._now[name] = self._known.get(name) or fingerprint(work_out())
        return found

    def note(self) -> None:
        """Keep for the next run what this one has asked for."""
        gist = [[name, digest] for name, digest in sorted(self._now.items())]
        self._units.note(self._unit, Unit(self._key, gist=gist))
