"""The entries of a large text in small blocks, so that one of them is read without all others.

What `text` takes from the bytes is put in as it is, and comes back as if all had been read. Small
texts have no blocks: reading them whole costs as little.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence

from weeksync.calendar.text import LONGEST_LINE, CalendarText, ComponentText, FileText

PER_BLOCK = 16
"""Groups of one block: some ten kilobytes, which pack well and unpack in no time."""
FEWEST = 48
"""Groups of a text that is worth it."""


def blocks_of(
    file: FileText, groups: Sequence[Sequence[tuple[ComponentText, bytes]]]
) -> tuple[bytes, ...]:
    """The head, which has the calendars of the text, then block by block the groups in order.

    A group has its components with their `raw`. Nothing where the text is small, and where not all
    of it is read as it stands: such texts are read whole.
    """
    if len(groups) < FEWEST or file.full or file.heavy:
        return ()
    if any(one.size > LONGEST_LINE for group in groups for one, _ in group):
        return ()
    numbers = {id(one): number for number, one in enumerate(file.calendars)}
    head = json.dumps([[one.default_zone, one.cancels, one.zones] for one in file.calendars])
    return (
        head.encode(),
        *(
            b"".join(_packed(group, numbers) for group in groups[at : at + PER_BLOCK])
            for at in range(0, len(groups), PER_BLOCK)
        ),
    )


def _packed(group: Sequence[tuple[ComponentText, bytes]], numbers: dict[int, int]) -> bytes:
    parts = [b"%d\n" % len(group)]
    for one, raw in group:
        calendar = numbers[id(one.calendar)]
        parts.append(f"{one.kind} {int(one.whole)} {calendar} {len(raw)}\n".encode())
        parts.append(raw)
    return b"".join(parts)


class KeptText:
    """A text of which only some blocks are there, by their number from 0 on."""

    def __init__(self, head: bytes, blocks: Mapping[int, bytes]) -> None:
        self._calendars = [CalendarText(*one) for one in json.loads(head)]
        self._blocks = blocks

    def components(self, positions: Iterable[int]) -> Iterator[ComponentText]:
        """The components of the groups at these places among those of the text."""
        for position in positions:
            number, place = divmod(position, PER_BLOCK)
            block, at = self._blocks[number], 0
            for _ in range(place):
                for component in self._group(block, at):
                    at = component[1]
            yield from (component for component, _ in self._group(block, at))

    def _group(self, block: bytes, at: int) -> Iterator[tuple[ComponentText, int]]:
        """Each component of the group that begins there, with where it ends."""
        line_end = block.index(b"\n", at)
        count, at = int(block[at:line_end]), line_end + 1
        for _ in range(count):
            line_end = block.index(b"\n", at)
            kind, whole, calendar, length = block[at:line_end].split()
            end = line_end + 1 + int(length)
            raw = block[line_end + 1 : end]
            yield (
                ComponentText(
                    kind.decode(),
                    self._calendars[int(calendar)],
                    raw,
                    ((0, len(raw)),),
                    whole == b"1",
                ),
                end,
            )
            at = end
