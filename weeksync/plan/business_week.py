"""What comes in and goes out of the side business in a week."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from weeksync.model.money_item import MoneyItem, MoneyKind
from weeksync.model.week_plan import BusinessWeek
from weeksync.plan.audiences import Audience, audiences, may_see


def business_week(items: Iterable[MoneyItem]) -> tuple[BusinessWeek, ...]:
    """In and out by currency, of the items that move on the days of a week.

    What is paid counts with what was paid; an item without an amount is only counted as unknown.
    Steps of saving goals are no business. One sum is for everybody, without what is reserved for
    somebody; a person who may see more has one of their own.
    """
    business = [one for one in items if one.business and one.kind is not MoneyKind.STEP]
    open_to_all = sum(may_see((), one) for one in business)
    found: list[BusinessWeek] = []
    for audience in audiences(business):
        seen = [one for one in business if may_see(audience, one)]
        if not audience or len(seen) > open_to_all:
            found += _by_currency(seen, audience)
    return tuple(found)


def _by_currency(items: Sequence[MoneyItem], audience: Audience) -> Iterator[BusinessWeek]:
    for currency in sorted({one.currency or "" for one in items}):
        known = [one for one in items if (one.currency or "") == currency]
        pays = [one for one in known if one.kind is MoneyKind.PAY]
        bills = [one for one in known if one.kind is MoneyKind.BILL]
        yield BusinessWeek(
            currency=currency,
            money_in=sum(one.sum or 0 for one in pays),
            money_out=sum(one.sum or 0 for one in bills),
            unknown=sum(one.sum is None for one in known),
            only_for=audience,
        )
