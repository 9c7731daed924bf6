"""Printing: lay out, make a PDF, look whether all is in it, and count it as printed when it is.

A week counts as printed only when a person says that it came out: then what its sheets showed is
kept as its snapshot, and changes are counted from there.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

from weeksync.errors import BuildError, UsageError
from weeksync.household.files import replace_file
from weeksync.lazy import dataclass
from weeksync.message import Message, message
from weeksync.model.config import Config
from weeksync.model.problem import Problem
from weeksync.model.sheets import SIZES
from weeksync.model.snapshot import Snapshot
from weeksync.paper.document import Document
from weeksync.paper.engines import Engine, engine_there, pdf
from weeksync.paper.feeding import instruction
from weeksync.paper.html import html
from weeksync.paper.impose import imposed
from weeksync.paper.ink import coverage, ink_line
from weeksync.paper.kinds import Kind
from weeksync.paper.overflow import check
from weeksync.paper.page_order import Way
from weeksync.paper.printer import Printer, as_json, from_json
from weeksync.paper.test_sheet import HOW
from weeksync.plan.snapshot import take
from weeksync.site.render import Renderer
from weeksync.workflow.context import Context
from weeksync.workflow.kept_pages import templates_of
from weeksync.workflow.outcome import Outcome, unique
from weeksync.workflow.pages_at import page_of
from weeksync.workflow.printing_order import PrintOrder
from weeksync.workflow.printing_pages import LaidOut, about, laid_out
from weeksync.workflow.show import planned

FOLDER = "paper"
"""The folder of printed sheets inside the folder that pages go to."""

PRINTER = "printer.json"
"""The printer's numbers, in the folder of the state."""


@dataclass(frozen=True, slots=True)
class Printed:
    """What was made. `shown_in_browser` says that printing is the browser's part.

    `snapshots` are kept when it came out; they show what is on the sheets, whatever changed since.
    """

    path: Path
    said: tuple[Message, ...]
    snapshots: tuple[Snapshot, ...] = ()
    problems: tuple[Problem, ...] = ()
    shown_in_browser: bool = False


def print_sheets(context: Context, config: Config, order: PrintOrder) -> Printed:
    """Make the sheets that were ordered and write them; nothing counts as printed yet.

    Without any engine for PDFs they are made as a page that the browser prints, and where text
    cannot be measured either, it is the week's page of the site. UsageError and BuildError where
    nothing could be made.
    """
    engine = order.engine or engine_there() or "browser"
    if find_spec("uharfbuzz") is None:
        return _page_of_the_site(context, order)
    laid = laid_out(context, config, order)
    render = Renderer(context.language, templates_of(context)).render
    page = html(laid.document, render)
    if engine == "browser":
        said = _said_of_browser(order)
        path = _written(context, order, page, ".html")
    else:
        content, said = _as_pdf(context, config, order, laid, page, engine)
        path = _written(context, order, content, ".pdf")
    if laid.cells is not None:
        beside = path.with_suffix(".json")
        replace_file(beside, _json(laid))
        said = (*said, message("Where its boxes are: {place}", place=str(beside)))
    made = message("The sheets are in {place}", place=str(path))
    return Printed(
        path,
        (made, *about(laid, order), *said),
        tuple(_snapshots(context, laid)),
        unique(laid.problems),
        engine == "browser",
    )


def _json(laid: LaidOut) -> bytes:
    return (json.dumps(laid.cells, ensure_ascii=False, indent=1) + "\n").encode()


def _as_pdf(
    context: Context,
    config: Config,
    order: PrintOrder,
    laid: LaidOut,
    page: bytes,
    engine: Engine,
) -> tuple[bytes, tuple[Message, ...]]:
    content = pdf(page, engine, laid.document.sizes)
    check(content, laid.document)
    report: tuple[Message, ...] = ()
    if order.report:
        report = _report(content, laid.document)
    measured = read_printer(context)
    paper = SIZES[config.paper.paper] if config.paper.paper else None
    if order.kind is Kind.TEST:
        return content, (HOW, *report)
    if order.way is Way.SINGLE and paper is None and measured is None:
        return content, (instruction(order.way), *report)
    content = imposed(
        content,
        laid.document,
        order.way,
        paper=paper,
        printer=measured,
        cutting_marks=config.paper.cutting_marks,
    )
    cautions: tuple[Message, ...] = ()
    if measured is not None and laid.document.pages:
        cautions = measured.cautions(laid.document.pages[0].sheet)
    return content, (instruction(order.way, measured), *cautions, *report)


def _report(content: bytes, document: Document) -> tuple[Message, ...]:
    dark = coverage(content)
    return tuple(
        ink_line(number, page.title, share)
        for number, (page, share) in enumerate(zip(document.pages, dark, strict=True), 1)
    )


def _said_of_browser(order: PrintOrder) -> tuple[Message, ...]:
    if order.way is not Way.SINGLE:
        raise UsageError(
            message(
                "the browser prints single sides only; for --way {way} install weeksync[paper] or "
                "use --with chromium",
                way=order.way.value,
            )
        )
    return (
        message(
            "Print it from the browser: at 100 %, without margins, headers and footers of its own."
        ),
    )


def _page_of_the_site(context: Context, order: PrintOrder) -> Printed:
    """The week's page, whose own print is laid out for paper, too."""
    if order.engine is not None or order.kind is not Kind.SPREAD or len(order.weeks) != 1:
        raise UsageError(
            message(
                "only a week's own page can be printed, from the browser: install "
                "weeksync[paper] for sheets"
            )
        )
    path = page_of(context, str(order.weeks[0]))
    said = (message("Print the page from the browser; its own print is made for paper, too."),)
    return Printed(path, said, _of_week(context, order), shown_in_browser=True)


def _of_week(context: Context, order: PrintOrder) -> tuple[Snapshot, ...]:
    week = order.weeks[0]
    if context.rule.days(week)[-1] < context.today:
        return ()
    return (take(planned(context, week)[1], context.local_now),)


def _snapshots(context: Context, laid: LaidOut) -> Iterator[Snapshot]:
    """Of the weeks that are not over: of others nobody can tell what they will have shown."""
    for spread in laid.spreads:
        if spread.days[-1].date >= context.today:
            yield take(spread, context.local_now)


def _written(context: Context, order: PrintOrder, content: bytes, ending: str) -> Path:
    path = order.target
    if path is None:
        path = context.output / FOLDER / f"{order.name}{ending}"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        if order.private:
            path.unlink(missing_ok=True)  # else it would keep the mode of an earlier one
        replace_file(path, content, mode=0o600 if order.private else 0o666)
    except OSError as error:
        raise BuildError(
            message("{place} cannot be written ({reason})", place=str(path), reason=str(error))
        ) from error
    return path


def read_printer(context: Context) -> Printer | None:
    """The printer's numbers as they were measured; None where nobody did."""
    place = context.state / PRINTER
    try:
        text = place.read_text("utf-8")
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError) as error:
        raise UsageError(
            message("{place} cannot be read ({reason})", place=str(place), reason=str(error))
        ) from error
    return from_json(text, str(place))


def write_printer(context: Context, printer: Printer) -> Outcome:
    """Keep the printer's numbers, in place of earlier ones."""
    place = context.state / PRINTER
    place.parent.mkdir(parents=True, exist_ok=True)
    replace_file(place, as_json(printer).encode())
    return Outcome.of([message("The printer's numbers are kept in {place}", place=str(place))], ())
