"""What is read off the test sheet, asked for at the keyboard."""

from __future__ import annotations

from weeksync.cli.choices import Stopped, is_yes, line
from weeksync.cli.terminal import Terminal
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.workflow import Context
from weeksync.workflow.printing_names import printer_from, test_questions

_TRIES = 5


def ask_for_printer(context: Context, config: Config, terminal: Terminal) -> int:
    """Ask for each number of the test sheet; Enter leaves one out. Exit status."""
    terminal.say(message("Print both pages, then read these off; Enter leaves one out."))
    answers: dict[str, float | bool] = {}
    for key, question, yes_or_no in test_questions(config):
        if yes_or_no:
            answers[key] = is_yes(terminal, question)
            continue
        try:
            value = _number(terminal, question)
        except Stopped:
            break
        if value is not None:
            answers[key] = value
    if not answers:
        terminal.say(message("Nothing was measured; nothing was written."))
        return 0
    return terminal.tell(printer_from(context, config, answers), always=True)


def _number(terminal: Terminal, question: Message) -> float | None:
    """Millimetres as typed, with point or comma; None for an empty answer."""
    asked = f"{terminal.language.text(question)} [mm] "
    for _ in range(_TRIES):
        typed = line(terminal, asked).replace(",", ".").strip()
        if not typed:
            return None
        try:
            return float(typed.removesuffix("mm"))
        except ValueError:
            terminal.complain(
                message('"{value}" is no length; write millimetres, as 4.5', value=typed[:40])
            )
    return None
