"""The forms of bills, pay days, saving goals and balances."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from weeksync.message import message
from weeksync.model.money import Balance, Bill, BusinessDayRule, Goal, MoneyFile, PayDay
from weeksync.site.record import Option
from weeksync.workflow.edit_choices import Pick, Yes
from weeksync.workflow.edit_codecs import Amount, Codec, Day, Text
from weeksync.workflow.edit_kinds import Ending, Group, Kind, listed, marked, take_out
from weeksync.workflow.edit_repeats import Repeats
from weeksync.workflow.edit_tasks import ONLY_FOR
from weeksync.workflow.edit_words import EditWords

RULES = {
    BusinessDayRule.FOLLOWING: message("the next business day"),
    BusinessDayRule.MODIFIED_FOLLOWING: message("the next one, or the one before at a month's end"),
    BusinessDayRule.PRECEDING: message("the business day before"),
    BusinessDayRule.NONE: message("it stays on its day"),
}
BUSINESS = Yes(key="business", label=message("Of the side business, not of the home"))
CURRENCY = Text(
    key="currency",
    label=message("Currency, where it is another one"),
    hint=message("The three letters of ISO 4217, as GBP."),
    most=3,
    narrow=True,
)


def _rules(words: EditWords) -> tuple[Option, ...]:
    return tuple(Option(rule.value, words.say(text)) for rule, text in RULES.items())


def _over(words: EditWords, one: Bill | PayDay) -> bool:
    if one.repeats:
        return one.until is not None and one.until < words.context.today
    return one.first < words.context.today


def _note(words: EditWords, one: Bill | PayDay) -> str:
    when = words.context.language.date(one.first, "medium")
    if one.repeats:
        when = words.say(message("from {day}, repeated", day=one.first.isoformat()))
    amount = ""
    currency = words.currency(one)
    if words.amounts and one.amount is not None and currency:
        amount = words.context.language.money(one.amount, currency)
    return listed(words, [when, amount])


def _endings(words: EditWords, one: Bill | PayDay) -> Sequence[Ending]:
    today = words.context.today
    history = marked(words, one) or bool(getattr(one, "paid", ()))
    if one.first > today and not history:
        return (take_out(message("Its first date is still to come.")),)
    if one.repeats and not _over(words, one):
        return (
            Ending(
                "end",
                message("It ends today"),
                message("No date after today; what was paid stays."),
                message("Ended today: “{title}”", title="{title}"),
                {"until": max(today, one.first)},
            ),
        )
    return ()


DATES: tuple[Codec, ...] = (
    Day(key="first", label=message("First date"), required=True, narrow=True),
    Day(key="until", label=message("Last date"), narrow=True),
    Repeats(key="repeats", label=message("It comes again"), first="first", until=False),
)


_STAYS = message("It has dates that have been: it can end, and keeps its history.")

BILLS = Kind(
    name="bills",
    word="bill",
    array="bills",
    file="money.toml",
    model=MoneyFile,
    record=Bill,
    heading=message("Bills"),
    one=message("Bill"),
    add=message("Add a bill"),
    empty=message("There is no bill."),
    held=lambda words: words.context.files.bills,
    note=_note,
    over=_over,
    endings=_endings,
    stays=_STAYS,
    groups=(
        Group(
            None,
            (
                Text(key="title", label=message("What it is called"), required=True),
                Amount(
                    key="amount",
                    label=message("Amount"),
                    hint=message("Empty where it is not known beforehand."),
                    narrow=True,
                ),
                Yes(
                    key="collected",
                    label=message("It is collected; not ticked: paid by hand"),
                    default=True,
                ),
                *DATES,
            ),
        ),
        Group(
            message("More"),
            (
                CURRENCY,
                Pick(
                    key="rule",
                    label=message("Where its date is no business day"),
                    options=_rules,
                    none=message("the next one where it is collected, else the one before"),
                ),
                BUSINESS,
                ONLY_FOR,
            ),
            folded=True,
        ),
    ),
)

PAY_DAYS = Kind(
    name="pay-days",
    word="pay-day",
    array="pay_days",
    file="money.toml",
    model=MoneyFile,
    record=PayDay,
    heading=message("Pay days"),
    one=message("Pay day"),
    add=message("Add a pay day"),
    empty=message("There is no pay day."),
    held=lambda words: words.context.files.pay_days,
    note=_note,
    over=_over,
    endings=_endings,
    stays=_STAYS,
    groups=(
        Group(
            None,
            (
                Text(key="title", label=message("What it is called"), required=True),
                Amount(key="amount", label=message("Amount"), narrow=True),
                Pick(
                    key="person",
                    label=message("Who is paid"),
                    options=EditWords.people,
                    none=message("nobody of the household"),
                    narrow=True,
                ),
                *DATES,
            ),
        ),
        Group(
            message("More"),
            (
                CURRENCY,
                Pick(
                    key="rule",
                    label=message("Where its date is no business day"),
                    options=_rules,
                    none=None,
                    default=BusinessDayRule.PRECEDING.value,
                ),
                BUSINESS,
                ONLY_FOR,
            ),
            folded=True,
        ),
    ),
)


def _goal_endings(words: EditWords, one: Goal) -> Sequence[Ending]:
    if one.start > words.context.today and not marked(words, one):
        return (take_out(message("Its steps have not begun.")),)
    return ()


GOALS = Kind(
    name="goals",
    word="goal",
    array="goals",
    file="money.toml",
    model=MoneyFile,
    record=Goal,
    heading=message("Saving goals"),
    one=message("Saving goal"),
    add=message("Add a saving goal"),
    empty=message("There is no saving goal."),
    held=lambda words: words.context.files.goals,
    note=lambda words, one: words.say(message("until {day}", day=one.end.isoformat())),
    over=lambda words, one: one.end < words.context.today,
    endings=_goal_endings,
    stays=message("Its steps have begun: it ends with its last day."),
    groups=(
        Group(
            None,
            (
                Text(key="title", label=message("What is saved for"), required=True),
                Amount(key="amount", label=message("The whole sum"), required=True, narrow=True),
                Pick(
                    key="pay_day",
                    label=message("A step on each of these pay days"),
                    options=EditWords.pay_days,
                    none=None,
                    required=True,
                    narrow=True,
                ),
                Day(key="start", label=message("From"), required=True, narrow=True),
                Day(key="end", label=message("Until"), required=True, narrow=True),
            ),
        ),
        Group(message("More"), (CURRENCY, ONLY_FOR), folded=True),
    ),
)


def _balance_note(words: EditWords, one: Balance) -> str:
    currency: Any = words.currency(one)
    amount = ""
    if words.amounts and currency:
        amount = words.context.language.money(one.amount, currency)
    return listed(words, [words.context.language.date(one.day, "medium"), amount])


BALANCES = Kind(
    name="balances",
    word="balance",
    array="balances",
    file="money.toml",
    model=MoneyFile,
    record=Balance,
    title="account",
    heading=message("Balances"),
    one=message("Balance"),
    add=message("Note a balance"),
    empty=message("No balance is noted."),
    held=lambda words: words.context.files.balances,
    note=_balance_note,
    stays=message("What was on an account on a day stays noted; it can be corrected."),
    groups=(
        Group(
            None,
            (
                Text(key="account", label=message("What the account is called"), required=True),
                Day(
                    key="day",
                    label=message("Day at whose end it was looked at"),
                    required=True,
                    narrow=True,
                ),
                Amount(
                    key="amount",
                    label=message("Balance"),
                    hint=message("With a minus where it is overdrawn."),
                    required=True,
                    narrow=True,
                ),
            ),
        ),
        Group(message("More"), (CURRENCY, BUSINESS, ONLY_FOR), folded=True),
    ),
)
