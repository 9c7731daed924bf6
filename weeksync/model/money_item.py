"""Money that moves on a day: what becomes of bills, pay days and goals."""

from __future__ import annotations

from datetime import date
from enum import StrEnum

from weeksync.lazy import dataclass


class MoneyKind(StrEnum):
    """What moves on a day."""

    BILL = "bill"
    PAY = "pay"
    STEP = "step"


@dataclass(frozen=True, slots=True)
class MoneyItem:
    """Money that moves on `day`: a bill, pay, or a step of a saving goal.

    `due` is the nominal date; where it differs from `day` the date was moved by the
    business-day rule. `amount` is in minor units of `currency`. `paid_on` is None where not
    (known to be) paid. `overdue`: a bill paid by hand whose day was over, unpaid, when it was
    asked about.
    """

    kind: MoneyKind
    id: str
    title: str
    day: date
    due: date
    amount: int | None = None
    currency: str | None = None
    collected: bool = True
    business: bool = False
    paid_on: date | None = None
    paid_amount: int | None = None
    person: str | None = None
    only_for: tuple[str, ...] = ()
    overdue: bool = False

    @property
    def moved(self) -> bool:
        """Whether the business-day rule moved it."""
        return self.day != self.due

    @property
    def sum(self) -> int | None:
        """What was or will be paid, in minor units; None where nobody said."""
        return self.amount if self.paid_amount is None else self.paid_amount
