"""The two trees of pages: the common site, and pages of one's own."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from weeksync.model.settings import Paper
from weeksync.model.sheets import SIZES
from weeksync.model.spread import Spread
from weeksync.model.week import IsoWeek
from weeksync.site.caution import CAUTIONS
from weeksync.site.enter import can_be_entered, enter_name
from weeksync.site.inputs import SiteInput, Take
from weeksync.site.lasting import lasting_renderer
from weeksync.site.lists import index_page, problems_page
from weeksync.site.month import month_page
from weeksync.site.offline import STATUS, offline_files, status
from weeksync.site.record import VERSION, StylePage
from weeksync.site.render import Renderer
from weeksync.site.review_links import SEARCH, SEARCH_SCRIPT, index_name, name_of, year_name
from weeksync.site.week import week_page
from weeksync.site.words import Words

SCRIPTS = ("page.js", "marks.js", "check_in.js", "offline.js")
"""Scripts that every page has, in their order."""

ENTERING = ("paper_rows.js", "enter.js")
"""Scripts that only the pages for entering a week have."""

SERVED = ("forms.js", "plan_evening.js")
"""Scripts of pages that are only made when `weeksync serve` is asked for them."""

STYLES = (
    "style.css",
    "overview.css",
    "enter.css",
    "check_in.css",
    "review.css",
    "year.css",
    "forms.css",
    "start.css",
    "plan_evening.css",
    "icon.svg",
)
"""Style sheets and the icon, made from one record."""

CHECK_IN = "check-in.html"
"""The page of the form of a check-in, in the tree of one's own."""

LEAF_MM = 150
"""A sheet that is narrower has the week on several of its sides: A5 and half a letter do."""

MARGIN_MM = 7
"""Room along the edges that are not punched; printers need 4 to 6.4 mm (common practice)."""


def _make(name: str, make: Callable[[], bytes], about: object = None) -> bytes:
    """Every page is made."""
    return make()


def pages(inputs: SiteInput, take: Take = _make) -> dict[str, bytes]:
    """The common site: relative POSIX path → content. The same input gives the same bytes.

    Nothing that is only for some, no amounts and no check-ins are on it, even where the views
    handed in should hold them. TemplateError where a template is missing or broken. Pages that
    are made of more than one week are asked for through `take`, which knows whether they have to
    be made; those of weeks, months and longer spans are made unless `inputs.kept` has them.
    """
    words, renderer = Words(inputs), Renderer(inputs.language, inputs.templates)
    made = _assets(inputs, renderer, take)
    made[STATUS] = status(inputs)
    made["problems.html"] = take(
        "problems.html", lambda: renderer.render("problems.html", problems_page(inputs, words))
    )
    made |= _of_weeks(inputs, words, renderer)
    for plan in inputs.months:
        name = f"{plan.month}.html"
        if name not in inputs.kept:
            made[name] = renderer.render("month.html", month_page(inputs, words, plan))
    made["index.html"] = take(
        "index.html",
        lambda: renderer.render("index.html", index_page(inputs, words, inputs.weeks)),
    )
    made[CAUTIONS] = take(CAUTIONS, lambda: _cautions(inputs, words, renderer, own=False))
    made |= _years(inputs, words, renderer, own=False)
    made |= _beside(inputs, words, renderer, take)
    if inputs.can_search:
        made |= _search(inputs, words, renderer, take)
    made |= inputs.kept
    return made | offline_files(inputs, renderer, made, take)


def _beside(inputs: SiteInput, words: Words, renderer: Renderer, take: Take) -> dict[str, bytes]:
    """Pages of the weeks beside those that have pages: they say so."""

    def absent(week: IsoWeek) -> bytes:
        from weeksync.site.frozen import absent_page

        return renderer.render("absent.html", absent_page(inputs, words, week, "absent"))

    weeks = (week for week in sorted(inputs.beside) if f"{week}.html" not in inputs.kept)
    return {f"{week}.html": take(f"{week}.html", partial(absent, week)) for week in weeks}


def _search(inputs: SiteInput, words: Words, renderer: Renderer, take: Take) -> dict[str, bytes]:
    """The page for searching, and the texts of each year that it searches."""

    def page() -> bytes:
        from weeksync.site.search import search_page

        return renderer.render("search.html", search_page(inputs, words))

    def script(year: int) -> Callable[[], bytes]:
        def made() -> bytes:
            from weeksync.site.search import index_script

            return index_script(words, year, inputs.texts[year])

        return made

    return {
        SEARCH: take(SEARCH, page),
        SEARCH_SCRIPT: take(SEARCH_SCRIPT, lambda: renderer.script(SEARCH_SCRIPT)),
        **{index_name(year): take(index_name(year), script(year)) for year in inputs.texts},
    }


def week_pages(inputs: SiteInput) -> dict[str, bytes]:
    """Of the common site only the pages of `inputs.weeks`, byte for byte as in `pages`.

    For pages that are put in place before the whole site is made; `inputs.elsewhere` names the
    weeks and months that have pages and are not among the inputs.
    """
    return _of_weeks(inputs, Words(inputs), lasting_renderer(inputs.language, inputs.templates))


class WeekPages:
    """Makes the pages of one week after the other, byte for byte as in `pages` and `own_pages`.

    So nobody has to hold the plans of all weeks until the last one is made; `inputs.elsewhere`
    names all weeks and months that have pages.
    """

    def __init__(self, inputs: SiteInput) -> None:
        self._inputs, self._words = inputs, Words(inputs)
        self._renderer = Renderer(inputs.language, inputs.templates)

    def common(self, spread: Spread) -> dict[str, bytes]:
        """Those of the common site; `spread` is a common view."""
        return _of_week(self._inputs, self._words, self._renderer, spread)

    def own(self, spread: Spread) -> dict[str, bytes]:
        """Those of one's own, of the whole spread."""
        return _of_own_week(self._inputs, self._words, self._renderer, spread)


def _of_weeks(inputs: SiteInput, words: Words, renderer: Renderer) -> dict[str, bytes]:
    made: dict[str, bytes] = {}
    for spread in inputs.weeks:
        made |= _of_week(inputs, words, renderer, spread)
    return made | _reviews(inputs, words, renderer, own=False)


def _of_week(
    inputs: SiteInput, words: Words, renderer: Renderer, spread: Spread
) -> dict[str, bytes]:
    if spread.week is None or f"{spread.week}.html" in inputs.kept:
        return {}
    page = week_page(inputs, words, spread, spread.week)
    made = {f"{spread.week}.html": renderer.render("week.html", page)}
    return made | _enter(inputs, words, renderer, spread, "enter")


def _reviews(inputs: SiteInput, words: Words, renderer: Renderer, *, own: bool) -> dict[str, bytes]:
    """The pages that look back, of one of the two trees; not every run makes one."""
    if not (inputs.own_reviews if own else inputs.reviews):
        return {}
    from weeksync.site.review import review_page

    return {
        name_of(one.span): renderer.render("review.html", review_page(inputs, words, one, own=own))
        for one in (inputs.own_reviews if own else inputs.reviews)
    }


def _years(inputs: SiteInput, words: Words, renderer: Renderer, *, own: bool) -> dict[str, bytes]:
    """The pages of years, of one of the two trees; not every run makes one."""
    if not (inputs.own_years if own else inputs.years):
        return {}
    from weeksync.site.year import year_page

    return {
        year_name(one.number): renderer.render("year.html", year_page(inputs, words, one, own=own))
        for one in (inputs.own_years if own else inputs.years)
    }


def _cautions(inputs: SiteInput, words: Words, renderer: Renderer, *, own: bool) -> bytes:
    from weeksync.site.review import caution_page

    return renderer.render("cautions.html", caution_page(inputs, words, own=own))


def _enter(
    inputs: SiteInput, words: Words, renderer: Renderer, spread: Spread, kind: str
) -> dict[str, bytes]:
    """The page on which that week is entered from paper, where there is one."""
    from weeksync.site.enter import enter_page

    if spread.week is None or not can_be_entered(inputs, spread, kind):
        return {}
    page = enter_page(inputs, words, spread, spread.week, kind)
    return {enter_name(spread.week): renderer.render("enter.html", page)}


def own_pages(inputs: SiteInput, take: Take = _make) -> dict[str, bytes]:
    """Pages of one's own, a tree apart from the common site; neither leads to the other.

    `take` as for `pages`.
    """
    words, renderer = Words(inputs), Renderer(inputs.language, inputs.templates)
    made = _assets(inputs, renderer, take)
    made[STATUS] = status(inputs)
    made |= _of_own_weeks(inputs, words, renderer)
    made[CHECK_IN] = take(CHECK_IN, lambda: _check_in(inputs))
    made[CAUTIONS] = take(CAUTIONS, lambda: _cautions(inputs, words, renderer, own=True))
    made |= _years(inputs, words, renderer, own=True)
    made["index.html"] = take("index.html", lambda: _own_start(inputs, words, renderer))
    return made | dict(inputs.own_kept)


def _check_in(inputs: SiteInput) -> bytes:
    from weeksync.site.check_in import check_in_page

    return check_in_page(inputs)


def own_page(inputs: SiteInput, name: str) -> bytes | None:
    """One of `own_pages`, made alone: the start page, the one of cautions, one of a week of
    `inputs.own_weeks`, or one of `inputs.own_reviews` or `inputs.own_years`."""
    words, renderer = Words(inputs), lasting_renderer(inputs.language, inputs.templates)
    if name == "index.html":
        return _own_start(inputs, words, renderer)
    if name == CAUTIONS:
        return _cautions(inputs, words, renderer, own=True)
    return (_of_own_weeks(inputs, words, renderer) | _years(inputs, words, renderer, own=True)).get(
        name
    )


def _of_own_weeks(inputs: SiteInput, words: Words, renderer: Renderer) -> dict[str, bytes]:
    made: dict[str, bytes] = {}
    for spread in inputs.own_weeks:
        made |= _of_own_week(inputs, words, renderer, spread)
    return made | _reviews(inputs, words, renderer, own=True)


def _of_own_week(
    inputs: SiteInput, words: Words, renderer: Renderer, spread: Spread
) -> dict[str, bytes]:
    if spread.week is None or f"{spread.week}.html" in inputs.own_kept:
        return {}
    from weeksync.site.own import own_week_page

    page = own_week_page(inputs, words, spread, spread.week)
    made = {f"{spread.week}.html": renderer.render("own_week.html", page)}
    return made | _enter(inputs, words, renderer, spread, "own-enter")


def _own_start(inputs: SiteInput, words: Words, renderer: Renderer) -> bytes:
    index = index_page(inputs, words, inputs.own_weeks, "own-index")
    return renderer.render("index.html", index)


def _assets(inputs: SiteInput, renderer: Renderer, take: Take) -> dict[str, bytes]:
    def style(name: str) -> Callable[[], bytes]:
        return lambda: renderer.render(name, _style(inputs.config.paper))

    def script(name: str) -> Callable[[], bytes]:
        return lambda: renderer.script(name)

    scripts = (name for name in (*SCRIPTS, *ENTERING, *SERVED) if renderer.has(name))
    return {
        **{name: take(name, style(name)) for name in STYLES},
        **{name: take(name, script(name)) for name in scripts},
        "words.js": take("words.js", lambda: _words(inputs)),
    }


def _words(inputs: SiteInput) -> bytes:
    from weeksync.site.page_words import words_script

    return words_script(inputs.language)


def _style(paper: Paper) -> StylePage:
    from weeksync.site.palette import TINTS

    return StylePage(
        record=VERSION,
        kind="style",
        sheet=_on_its_side(paper),
        leaves=min(_measures(paper)) < LEAF_MM,
        binding_mm=max(paper.binding_mm, MARGIN_MM),
        margin_mm=MARGIN_MM,
        tints=TINTS,
    )


def _measures(paper: Paper) -> tuple[float, float]:
    if paper.width_mm is not None and paper.height_mm is not None:
        return paper.width_mm, paper.height_mm
    return SIZES[paper.size]


def _on_its_side(paper: Paper) -> str:
    """Width and height for `size` of `@page`, with the sheet laid on its side."""
    short, long = sorted(_measures(paper))
    return f"{long:g}mm {short:g}mm"
