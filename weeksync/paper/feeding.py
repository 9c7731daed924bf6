"""One line that says how to feed the paper and how to turn it."""

from __future__ import annotations

from weeksync.message import Message, message
from weeksync.paper.page_order import Way
from weeksync.paper.printer import Printer


def instruction(way: Way, printer: Printer | None = None) -> Message:
    """What to choose in the printer's dialogue, and what to do with the paper afterwards.

    Leaves are turned over their long edge, upright and landscape ones alike; two pages beside
    each other over the short one. A printer that cannot print both sides is told to take the
    pile a second time.
    """
    by_hand = printer is not None and not printer.both_sides
    return (_TWICE if by_hand and way.both_sides else _AT_ONCE)[way]


_AT_ONCE: dict[Way, Message] = {
    Way.SINGLE: message("Print on one side, at 100 % (actual size)."),
    Way.DUPLEX: message(
        "Print on both sides, turned over the long edge, at 100 % (actual size); each leaf holds "
        "the right page of one week and the left page of the next."
    ),
    Way.ONE_LEAF: message(
        "Print on both sides, turned over the long edge, at 100 % (actual size); each week is one "
        "leaf."
    ),
    Way.TWO_UP: message(
        "Print on one side, landscape, at 100 % (actual size); then fold or cut in the middle."
    ),
    Way.TWO_UP_DUPLEX: message(
        "Print on both sides, landscape, turned over the short edge, at 100 % (actual size); cut "
        "the pile in the middle and put the right half under the left one."
    ),
    Way.BOOKLET: message(
        "Print on both sides, landscape, turned over the short edge, at 100 % (actual size); fold "
        "the pile in the middle and staple it there."
    ),
}

_TWICE: dict[Way, Message] = {
    Way.DUPLEX: message(
        "Print the odd pages at 100 % (actual size), turn the pile over its long edge, put it "
        "back and print the even pages; each leaf holds the right page of one week and the left "
        "page of the next."
    ),
    Way.ONE_LEAF: message(
        "Print the odd pages at 100 % (actual size), turn the pile over its long edge, put it "
        "back and print the even pages; each week is one leaf."
    ),
    Way.TWO_UP_DUPLEX: message(
        "Print the odd pages landscape at 100 % (actual size), turn the pile over its short edge, "
        "put it back and print the even pages; cut the pile in the middle and put the right half "
        "under the left one."
    ),
    Way.BOOKLET: message(
        "Print the odd pages landscape at 100 % (actual size), turn the pile over its short edge, "
        "put it back and print the even pages; fold the pile in the middle and staple it there."
    ),
}
