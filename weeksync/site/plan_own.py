"""What is worked out about a week and is on no common page, for a page of one's own."""

from __future__ import annotations

from dataclasses import replace

from weeksync.message import Message, message
from weeksync.model.spread import Spread
from weeksync.site.plan_boxes import PlanBoxes
from weeksync.site.record import PlanBox, PlanLine
from weeksync.site.words import Words


def own_boxes(words: Words, spread: Spread) -> tuple[PlanBox, ...]:
    """Bedtimes and balances with their cautions, lighter days with their reasons, and of every
    other box what is only for some."""
    plan = spread.plan
    if plan is None:
        return ()
    made = PlanBoxes(words, spread, plan, bool)
    sleep = _box(
        words,
        "sleep",
        message("Latest bedtimes"),
        tuple(words.say.bedtimes(plan.sleep)),
        message("Information, not advice."),
    )
    money = _box(
        words,
        "money",
        message("Money worked out"),
        (*map(words.say.balance, plan.balances), *map(words.say.business, plan.business)),
        message("Your own figures as you wrote them down: information, not advice."),
    )
    whole = PlanBoxes(words, spread, plan, lambda only_for: True)
    every = (
        sleep,
        money,
        whole.lighter(reasons=True),
        *(
            replace(box, id=f"own-{box.id}")
            for box in (
                made.meets(), made.without_place(), made.proposed(each=True), made.carried(),
                made.coming_up(), made.changes(),
            )
        ),
    )  # fmt: skip
    return tuple(box for box in every if box.lines)


def _box(
    words: Words, name: str, heading: Message, lines: tuple[str, ...], caution: Message
) -> PlanBox:
    return PlanBox(
        name, words.text(heading), tuple(map(PlanLine, lines)), caution=words.text(caution)
    )
