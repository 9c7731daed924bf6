"""Sums that not everybody may see whole: one for all, and one for each person who sees more."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from weeksync.model.money_item import MoneyItem

Audience = tuple[str, ...]
"""Who may see a sum: () for everybody, else one person."""


def audiences(items: Iterable[MoneyItem]) -> Iterator[Audience]:
    """Everybody first, then in order each person whom one of the items is reserved for."""
    yield ()
    for person in sorted({person for item in items for person in item.only_for}):
        yield (person,)


def may_see(audience: Audience, item: MoneyItem) -> bool:
    """Whether all of the audience may see the item; a sum with it would tell it to them."""
    return not item.only_for or (bool(audience) and set(audience) <= set(item.only_for))
