"""Who may see what: the tests that all views share."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable
from dataclasses import replace
from typing import Protocol, TypeVar

from weeksync.model.money_item import MoneyItem


class Reserved(Protocol):
    """Something that may be only for some."""

    @property
    def only_for(self) -> tuple[str, ...]:
        """Who may see it; () for everybody."""


class Personal(Reserved, Protocol):
    """Something that is some people's."""

    @property
    def persons(self) -> tuple[str, ...]:
        """Whose it is; () for nobody's in particular."""


class OnePersons(Reserved, Protocol):
    """Something that is one person's."""

    @property
    def person(self) -> str:
        """Whose it is."""


R = TypeVar("R", bound=Reserved)
S = TypeVar("S", bound=OnePersons)
P = TypeVar("P", bound=Personal)


def may(only_for: tuple[str, ...], person: str) -> bool:
    """Whether that person may see what is only for these."""
    return not only_for or person in only_for


def for_all(things: Iterable[R]) -> tuple[R, ...]:
    """Those that everybody may see."""
    return tuple(one for one in things if not one.only_for)


def is_for(thing: Personal, person: str) -> bool:
    """Whether it is theirs or nobody's in particular, and they may see it."""
    return (not thing.persons or person in thing.persons) and may(thing.only_for, person)


def theirs(things: Iterable[P], person: str) -> tuple[P, ...]:
    """Those that are theirs or nobody's in particular, and that they may see."""
    return tuple(one for one in things if is_for(one, person))


def of(things: Iterable[S], person: str) -> tuple[S, ...]:
    """Those that are that one person's, and that they may see."""
    return tuple(one for one in things if one.person == person and may(one.only_for, person))


def most_told(sums: Iterable[R], person: str, key: Callable[[R], Hashable]) -> tuple[R, ...]:
    """Of sums made for everybody, and for some who see more, those that tell this person most."""
    seen = [one for one in sums if may(one.only_for, person)]
    own = {key(one) for one in seen if one.only_for}
    return tuple(one for one in seen if one.only_for or key(one) not in own)


def without_amount(item: MoneyItem) -> MoneyItem:
    """The same without what was or will be paid."""
    return replace(item, amount=None, paid_amount=None)
