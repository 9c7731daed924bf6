"""What is to be printed, and on which sheets: from `[paper]` and from what a command asked for."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any, Literal

from weeksync.errors import UsageError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.model.config import Config
from weeksync.model.settings import Paper
from weeksync.model.sheets import SIZES, SizeName
from weeksync.model.week import IsoWeek, Month
from weeksync.paper.bands import ROOM_MM, WITHOUT, Band
from weeksync.paper.blank import Pattern
from weeksync.paper.engines import Engine
from weeksync.paper.holes import NONE, HolePattern, own_pattern, pattern_for
from weeksync.paper.kinds import NEEDS_PERSON, PRIVATE, Kind
from weeksync.paper.page_order import Way
from weeksync.paper.sheet import Sheet
from weeksync.paper.style import Style

LEAST_FOR_BAND_MM = 150.0
"""Lower sheets have no band: its room is needed for the days."""


@dataclass(frozen=True, slots=True)
class PrintOrder:
    """What a person asked to have printed; `weeks` in order, without a gap for most ways.

    `month` and `year` are for the kinds that are of one. `engine` None takes the one that is
    there; `browser` writes the sheets as a page for the browser's own print.
    """

    kind: Kind = Kind.SPREAD
    weeks: tuple[IsoWeek, ...] = ()
    month: Month | None = None
    year: int | None = None
    person: str = ""
    way: Way = Way.SINGLE
    engine: Engine | Literal["browser"] | None = None
    pattern: Pattern = "lines"
    count: int = 2
    target: Path | None = None
    report: bool = False

    @property
    def private(self) -> bool:
        """Whether it is not for everybody."""
        return self.kind in PRIVATE

    @property
    def counts(self) -> bool:
        """Whether a week counts as printed afterwards: it is whole on this kind of sheet."""
        return self.kind in {Kind.SPREAD, Kind.WEEK, Kind.DAYS, Kind.CHANGES}

    @property
    def name(self) -> str:
        """The name of the file, without its ending."""
        if self.kind is Kind.YEAR:
            first = str(self.year)
        elif self.kind in {Kind.MONTH, Kind.BILLS}:
            first = str(self.month)
        elif self.kind in {Kind.BLANK, Kind.TEST}:
            first = ""
        elif len(self.weeks) > 1:
            first = f"{self.weeks[0]}-{self.weeks[-1]}"
        else:
            first = str(self.weeks[0])
        of = self.person if self.kind in NEEDS_PERSON else ""
        return "-".join(one for one in (first, self.kind.value, of) if one)


def measures(paper: Paper) -> tuple[float, float]:
    """Width and height of the household's sheet, upright, in millimetres."""
    if paper.width_mm is not None and paper.height_mm is not None:
        return paper.width_mm, paper.height_mm
    return SIZES[paper.size]


def sheet_for(config: Config, kind: Kind) -> Sheet:
    """The sheet of a kind of page. UsageError where its holes do not fit on it.

    What hangs on a wall has no holes, and lies on its side.
    """
    paper = config.paper
    width, height = measures(paper)
    if kind is Kind.TEST:  # what lies in the printer is measured
        width, height = SIZES[paper.paper] if paper.paper else (width, height)
        return Sheet(width, height, 0.0, paper.margin_mm)
    if kind is Kind.FRIDGE:
        return Sheet(height, width, 0.0, paper.margin_mm, landscape=True)
    holes = _holes(paper, width if paper.landscape else height)
    binding = max(float(paper.binding_mm), holes.keep_clear_mm)
    if binding + paper.margin_mm > width * 0.55:
        raise UsageError(
            message(
                "a sheet {width} mm wide has no room beside binding_mm = {binding}; write less "
                "under [paper] in config.toml",
                width=round(width, 1),
                binding=round(binding, 1),
            )
        )
    upright = Sheet(width, height, binding, paper.margin_mm, holes=holes)
    return upright.turned() if paper.landscape else upright


def _holes(paper: Paper, edge_mm: float) -> HolePattern:
    if paper.hole_centres_mm:
        return own_pattern(
            paper.hole_centres_mm, edge_mm, paper.hole_diameter_mm, paper.hole_edge_mm
        )
    try:
        return pattern_for(paper.holes, edge_mm)
    except UsageError:
        if paper.holes == Paper().holes:  # nobody chose it: a sheet too small has none
            return NONE
        raise


def style_for(config: Config, kind: Kind, sheet: Sheet, band: Band | None) -> Style:
    """The sizes on a sheet, with the room of its band."""
    wanted = band is not None and kind not in WITHOUT
    return Style.of(config.paper, band_mm=ROOM_MM if wanted else 0.0)


def band_for(config: Config, kind: Kind, sheet: Sheet, folder: Path) -> Band | None:
    """The band of a kind of page, None for none. UsageError where its picture is not there."""
    paper = config.paper
    if (
        paper.band == "none"
        or paper.ink_saving
        or sheet.landscape
        or sheet.height_mm < LEAST_FOR_BAND_MM
        or kind in {*WITHOUT, *PRIVATE, Kind.FRIDGE, Kind.BLANK, Kind.MONTH, Kind.YEAR}
    ):
        return None
    picture = b""
    if paper.band == "picture":
        place = folder / paper.band_picture
        try:
            picture = place.read_bytes()
        except OSError as error:
            raise UsageError(
                message(
                    "the picture {place} of band_picture under [paper] cannot be read; write "
                    "where it lies, or another band",
                    place=str(place),
                )
            ) from error
    return Band(paper.band, paper.band_colours, picture)


def with_options(
    config: Config,
    *,
    size: SizeName | None = None,
    paper: SizeName | None = None,
    landscape: bool | None = None,
    large: bool = False,
    ink_saving: bool = False,
    ticks: bool = False,
) -> Config:
    """The household's settings with what a command asked for in their place."""
    changes: dict[str, Any] = {}
    if size is not None:
        changes |= {"size": size, "width_mm": None, "height_mm": None}
        if size != config.paper.size and not config.paper.hole_centres_mm:
            width, height = SIZES[size]
            if not pattern_for_fits(config.paper.holes, height):
                changes["holes"] = "none"
            if width < SIZES["A5"][0]:
                changes["binding_mm"] = min(config.paper.binding_mm, NARROW_BINDING_MM)
    if paper is not None:
        changes["paper"] = paper
    if landscape is not None:
        changes["landscape"] = landscape
    if large:
        changes["large"] = True
    if ink_saving:
        changes["ink_saving"] = True
    if ticks:
        changes["hole_ticks"] = True
    return replace(config, paper=replace(config.paper, **changes))


NARROW_BINDING_MM = 13
"""Keep-clear of narrow sheets for six rings: 5.5 mm holes whose edge lies up to 6 mm in
(common practice, from memory), and 1.5 mm of white."""


def pattern_for_fits(name: str, height_mm: float) -> bool:
    """Whether a sheet of that height takes the holes of that name."""
    try:
        pattern_for(name, height_mm)
    except UsageError:
        return False
    return True
