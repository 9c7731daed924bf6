"""A damaged state database, made anew: what can be read of it, and then every calendar again."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from weeksync.message import message
from weeksync.model.problem import Place, Problem, ProblemKind
from weeksync.model.pulled import IndexedObject, Pulled, PulledCollection
from weeksync.store import Store
from weeksync.store.opening import FILE
from weeksync.workflow.context import Context

if TYPE_CHECKING:
    from weeksync.store.salvage import Saved

_SIDES = ("-wal", "-shm")

MOST_ASIDE = 3
"""Databases that stay: on a disk that damages one every night they would fill it."""


def take_over(context: Context, store: Store, aside: Path) -> None:
    """Put into an empty store what is whole in the database that was set aside.

    Without the tokens of its sources: the next pull compares all with what they have.
    """
    from weeksync.store.salvage import salvage

    by_source: dict[str, list[Saved]] = {}
    for one in salvage(aside):
        by_source.setdefault(one.source, []).append(one)
    for source, saved in by_source.items():
        present = [one for one in saved if not one.kept]
        collections = {one.collection: (one.title, one.colour) for one in saved}
        pulled = Pulled(
            source,
            tuple(
                PulledCollection(
                    name,
                    title,
                    colour,
                    changed=tuple(one.raw for one in present if one.collection == name),
                )
                for name, (title, colour) in collections.items()
            ),
        )
        kept = [one for one in saved if one.kept]
        store.apply(
            pulled,
            _indexed(context, present),
            max(one.last_good for one in saved),
            (),
            _indexed(context, kept),
        )


def _indexed(context: Context, saved: list[Saved]) -> list[tuple[str, IndexedObject]]:
    limits = context.expand_limits.read
    from weeksync.calendar import index_object  # all that reads calendars comes with it

    return [(one.collection, index_object(one.source, one.raw, limits)[0]) for one in saved]


def asides(context: Context) -> set[Path]:
    """The damaged databases that were set aside, each named after its instant."""
    return {one for one in context.state.glob(f"{FILE}.*Z*") if not one.name.endswith(_SIDES)}


def drop_oldest(context: Context) -> None:
    """Take away what was set aside before the last few; what is whole in them was taken over."""
    for aside in sorted(asides(context), key=lambda one: one.stat().st_mtime_ns)[:-MOST_ASIDE]:
        for end in (*_SIDES, ""):
            with suppress(OSError):
                aside.with_name(f"{aside.name}{end}").unlink()


def made_anew(context: Context) -> Problem:
    """What is said after a night that found the database damaged."""
    aside = max(asides(context), key=lambda one: one.stat().st_mtime_ns, default=context.state)
    return Problem(
        ProblemKind.SOURCE,
        message(
            "the state database was damaged; it has been made anew from what could be read of it"
            " and from the calendars, and is kept as {file}",
            file=aside.name,
        ),
        Place(f"{context.state.name}/{FILE}"),
        message("if it happens again, look at the disk or memory card of this machine"),
    )
