"""`money.toml`: bills, pay days and saving goals, in minor units of ISO 4217 currencies."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal

from weeksync.lazy import dataclass
from weeksync.model.fields import Currency, Day, FileRecord, Id, Ids, MaybeId, RuleText, Title
from weeksync.model.record import Record, Within

MOST = 10**15
"""Ten million millions of a currency with two decimals: no household has more."""

Amount = Annotated[int, Within(least=-MOST, most=MOST)]


class BusinessDayRule(StrEnum):
    """Where a date goes that is no business day (2006 ISDA Definitions section 4.12)."""

    FOLLOWING = "following"
    MODIFIED_FOLLOWING = "modified following"
    PRECEDING = "preceding"
    NONE = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Paid(Record):
    """That a bill was paid: for which due date, when, and how much where it differed."""

    due: Day
    """The due date that was paid, before any moving."""
    on: Day
    """The day it was paid."""
    amount: Amount | None = None
    """Minor units, where it differed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill(Record):
    """Money that goes out (`[[bills]]`), in minor units of its currency."""

    id: MaybeId = ""
    """Permanent name; given where missing."""
    title: Title
    """What it is called."""
    amount: Amount | None = None
    """Minor units, as 4250 for 42.50; left out where it is not known beforehand."""
    currency: Currency | None = None
    """ISO 4217 code; without it the file's."""
    first: Day
    """The first due date; `repeats` counts from it."""
    repeats: RuleText | Literal[""] = ""
    """RRULE text of RFC 5545, as FREQ=MONTHLY;BYMONTHDAY=24."""
    collected: bool = True
    """Collected by the payee; false: paid by hand."""
    rule: BusinessDayRule | None = None
    """Without it: following for collected bills, preceding for those paid by hand."""
    until: Day | None = None
    """The last due date."""
    business: bool = False
    """Of the side business, not of the home."""
    paid: tuple[Paid, ...] = ()
    """What was paid."""
    only_for: Ids = ()
    """The persons who may see it; then it is on no common page."""

    @property
    def day_rule(self) -> BusinessDayRule:
        """The rule that holds."""
        if self.rule is not None:
            return self.rule
        return BusinessDayRule.FOLLOWING if self.collected else BusinessDayRule.PRECEDING


@dataclass(frozen=True, slots=True, kw_only=True)
class PayDay(Record):
    """Money that comes in (`[[pay_days]]`)."""

    id: MaybeId = ""
    """Permanent name; given where missing."""
    title: Title
    """What it is called."""
    amount: Amount | None = None
    """Minor units."""
    currency: Currency | None = None
    """ISO 4217 code; without it the file's."""
    first: Day
    """The first date; `repeats` counts from it."""
    repeats: RuleText | Literal[""] = ""
    """RRULE text of RFC 5545, as FREQ=WEEKLY;INTERVAL=4."""
    rule: BusinessDayRule = BusinessDayRule.PRECEDING
    """Where a date goes that is no business day."""
    until: Day | None = None
    """The last date."""
    person: Id | None = None
    """Who is paid."""
    business: bool = False
    """Of the side business, not of the home."""
    only_for: Ids = ()
    """The persons who may see it; then it is on no common page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal(Record):
    """A sum to save in steps, one on each pay date (`[[goals]]`)."""

    id: MaybeId = ""
    """Permanent name; given where missing."""
    title: Title
    """What is saved for."""
    amount: Annotated[int, Within(above=0, most=MOST)]
    """The whole sum in minor units."""
    currency: Currency | None = None
    """ISO 4217 code; without it the file's."""
    pay_day: Id
    """The id of the pay day whose dates carry the steps."""
    start: Day
    """The first pay date that can carry a step."""
    end: Day
    """Steps on pay dates from `start` to `end`, both included."""
    only_for: Ids = ()
    """The persons who may see it; then it is on no common page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance(Record):
    """What was on an account on a day (`[[balances]]`), at its end; as you write it down.

    Bills and pay are counted on from the latest one, for the first account of each currency.
    """

    account: Title
    """What the account is called; of each currency the one listed first is counted on."""
    day: Day
    """The day at whose end it was looked at."""
    amount: Amount
    """Minor units; below zero where it is overdrawn."""
    currency: Currency | None = None
    """ISO 4217 code; without it the file's."""
    business: bool = False
    """Bills and pay of the side business run over it; else those of the home."""
    only_for: Ids = ()
    """The persons who may see it; then it is on no common page."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MoneyFile(FileRecord):
    """`money.toml`; `currency` holds where an entry names none."""

    currency: Currency | None = None
    """ISO 4217 code that holds where an entry names none."""
    bills: tuple[Bill, ...] = ()
    """What goes out."""
    pay_days: tuple[PayDay, ...] = ()
    """What comes in."""
    goals: tuple[Goal, ...] = ()
    """What is saved for."""
    balances: tuple[Balance, ...] = ()
    """What was on an account on a day."""
