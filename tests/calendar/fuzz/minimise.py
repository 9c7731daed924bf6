"""A text made small while it still shows the same (delta debugging by lines, then by bytes)."""

from __future__ import annotations

from collections.abc import Callable, Sequence

MOST_TRIES = 1_500


def minimised(data: bytes, shows: Callable[[bytes], bool], tries: int = MOST_TRIES) -> bytes:
    """A part of `data` for which `shows` still holds, no line or run of bytes of which can go.

    `shows` is asked at most so many times; where that is too few, the part is larger.
    """
    asked = _Asked(shows, tries)
    lines = _shrunk(data.splitlines(keepends=True), lambda parts: asked(b"".join(parts)))
    pieces = [bytes([one]) for one in b"".join(lines)]
    return b"".join(_shrunk(pieces, lambda parts: asked(b"".join(parts))))


class _Asked:
    """Counts what is asked, and says no when it is too much."""

    def __init__(self, shows: Callable[[bytes], bool], tries: int) -> None:
        self._shows, self._left = shows, tries

    def __call__(self, data: bytes) -> bool:
        self._left -= 1
        return self._left >= 0 and self._shows(data)


def _shrunk(parts: Sequence[bytes], shows: Callable[[Sequence[bytes]], bool]) -> Sequence[bytes]:
    size = len(parts) // 2
    while size >= 1:
        at = 0
        while at < len(parts):
            fewer = [*parts[:at], *parts[at + size :]]
            if shows(fewer):
                parts = fewer
            else:
                at += size
        size //= 2
    return parts
