"""`python -m tests.calendar.table`: every situation, what the RFC says, what we do, and if so.

The rows are the cases and the RFC's own examples. With `--oracles` each row also has what
ical.js, libical, recurring-ical-events and dateutil make of the same calendar: `agrees`, `differs`
or `refuses`. With `--write` the documentation `SITUATIONS.md` beside this file is written anew.
Ends with status 1 where a row does not hold.
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from tests.calendar import cases, rfc_examples

DOCUMENT = Path(__file__).parent / "SITUATIONS.md"

_SUBJECTS = (
    "Rules", "Clock changes", "Lengths and ends", "Whole days",
    "Exceptions and added dates", "Changed instances", "Cancelled", "Versions and copies",
    "Zones by name", "Zones with rules of their own", "Floating times", "To-dos and journals",
    "The window", "Texts and properties", "Bad values", "Damaged files",
    "The RFC's examples",
)  # fmt: skip
_HEAD = """# Why is it shown at that time?

What weeksync does with a calendar, situation by situation, beside what the standard says: RFC 5545
where only a section is named. Where the RFC is silent or contradicts itself the answer is a
choice of this project; then *Ours* gives the reason. Each situation is a small calendar file that
the tests run; its expected times were worked out by hand and stand beside it, in a file of the
same name.

This page is written by `python -m tests.calendar.table --write`; a test holds it against the files.
"""


@dataclass(frozen=True)
class Row:
    """A line of the table; `faults` is empty where it holds."""

    subject: str
    name: str
    section: str
    rfc: str
    does: str
    link: str = ""
    faults: tuple[str, ...] = ()
    oracles: Mapping[str, str] = field(default_factory=dict)


def rows(*, oracles: bool = False) -> Iterator[Row]:
    """All rows, in the order of the page."""
    with ExitStack() as stack:
        ask = _Asking(stack) if oracles else None
        found = sorted(map(cases.read, cases.names()), key=_place)
        yield from (_of_case(one, ask) for one in found)
        yield from (_of_example(one, ask) for one in rfc_examples.examples())


class _Asking:
    """The oracles, started once."""

    def __init__(self, stack: ExitStack) -> None:
        # Imported here: without --oracles none of them need be installed.
        from tests.calendar.oracles.asking import Oracles
        from tests.calendar.oracles.verdicts import verdicts

        self._verdicts = verdicts
        self._oracles = stack.enter_context(Oracles())

    def __call__(self, content: bytes, start: date, end: date, tz: str) -> Mapping[str, str]:
        return self._verdicts(content, start, end, tz, self._oracles)


def _place(case: cases.Case) -> tuple[int, str]:
    return _SUBJECTS.index(case.subject), case.name


def _of_case(case: cases.Case, ask: _Asking | None) -> Row:
    does = f"{case.says} *Ours:* {case.why}" if case.why else case.says
    verdict: Mapping[str, str] = {}
    if ask is not None and len(case.objects) == 1:
        verdict = ask(case.content, case.start, case.end, case.tz.key)
    return Row(
        case.subject,
        case.name.replace("-", " "),
        case.section,
        case.rfc,
        does,
        f"data/cases/{case.name}.ics",
        tuple(cases.faults(case)),
        verdict,
    )


def _of_example(example: rfc_examples.Example, ask: _Asking | None) -> Row:
    does = "What the RFC prints."
    if example.number == rfc_examples.MISPRINTED:
        does = "09:00 and 12:00: the print is wrong, 17:00Z is 13:00 in New York."
    verdict: Mapping[str, str] = {}
    if ask is not None:
        verdict = ask(example.content.encode(), *example.window, rfc_examples.ZONE)
    return Row(
        _SUBJECTS[-1],
        f"{example.number}: `{example.rule}` from {example.start}",
        "3.8.5.3",
        " ".join(example.printed),
        does,
        faults=tuple(rfc_examples.faults(example)),
        oracles=verdict,
    )


def document() -> str:
    """The page for users."""
    parts = [_HEAD]
    found = list(rows())
    for subject in _SUBJECTS:
        parts.append(f"\n## {subject}\n\n| situation | what weeksync does | what the RFC says |")
        parts.append("\n|---|---|---|\n")
        parts += [
            line([_linked(row), row.does, f"{row.section}: {row.rfc}"])
            for row in found
            if row.subject == subject
        ]
    return "".join(parts)


def _linked(row: Row) -> str:
    return f"[{row.name}]({row.link})" if row.link else row.name


def line(cells: Sequence[str]) -> str:
    """A line of a Markdown table."""
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |\n"


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table; 1 where a row does not hold."""
    parser = ArgumentParser("python -m tests.calendar.table", description=__doc__)
    parser.add_argument("--oracles", action="store_true", help="ask the oracles, too")
    parser.add_argument("--write", action="store_true", help=f"write {DOCUMENT.name}")
    asked = parser.parse_args(arguments)
    columns = ["subject", "situation", "section", "what the RFC says", "what we do", "holds"]
    failed = count = 0
    for row in rows(oracles=asked.oracles):
        if not count:
            columns += row.oracles
            sys.stdout.write(line(columns) + line(["---"] * len(columns)))
        count += 1
        failed += bool(row.faults)
        holds = "NO: " + "; ".join(row.faults) if row.faults else "yes"
        cells = [row.subject, row.name, row.section, row.rfc, row.does, holds]
        sys.stdout.write(line([*cells, *(row.oracles.get(one, "") for one in columns[6:])]))
    sys.stdout.write(f"\n{count} situations, {count - failed} hold, {failed} do not.\n")
    if asked.write:
        DOCUMENT.write_text(document(), "utf-8")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
