"""Templates: one's own replace ours, and a broken one is told with file and line."""

from __future__ import annotations

import sys
from dataclasses import replace
from importlib import metadata
from pathlib import Path

import jinja2
import pytest

from tests.support import sample_week
from weeksync.errors import TemplateError
from weeksync.language import Language
from weeksync.site import own_pages
from weeksync.site.compiled import jinja_release
from weeksync.site.pages import pages
from weeksync.site.render import Renderer, _compiled, own_templates


def made_with(folder: Path) -> dict[str, bytes]:
    """The sample's site with one's own templates in `folder`."""
    return pages(replace(sample_week.inputs(), templates=folder))


def test_ours_are_found_in_a_checkout() -> None:
    """Beside the package, where the repository has them."""
    assert (own_templates() / "week.html").is_file()


def test_one_template_is_replaced_and_the_others_stay(tmp_path: Path) -> None:
    """A file of the same name wins; pages over other templates do not change."""
    (tmp_path / "index.html").write_text("{{ page.household }}: {{ _('All weeks') }}")
    ours, mixed = pages(sample_week.inputs()), made_with(tmp_path)
    assert mixed["index.html"] == b"The Marlowicks: All weeks"
    assert {name for name in ours if ours[name] != mixed[name]} == {"index.html"}


def test_one_may_build_on_ours(tmp_path: Path) -> None:
    """A template can extend the one it replaces and fill a block; values are still escaped."""
    (tmp_path / "week.html").write_text(
        '{% extends "weeksync/week.html" %}'
        "{% block decisions %}{{ super() }}<p>{{ page.household ~ '<i>' }}</p>{% endblock %}"
    )
    page = made_with(tmp_path)["2027-W12.html"].decode()
    assert "<p>The Marlowicks&lt;i&gt;</p>" in page
    assert "Dentist – Juno" in page


@pytest.mark.parametrize(
    ("text", "line", "reason"),
    [
        ("<p>\n{% if %}", 2, "Expected an expression"),
        ("a\nb\n{{ page.nothing }}", 3, "has no attribute 'nothing'"),
        ("{{ page.first }}", 1, "has no attribute 'first'"),
        ("\n{{ 1 // 0 }}", 2, "zero"),
        ("\n\n\n{{ nowhere }}", 4, "'nowhere' is undefined"),
    ],
)
def test_a_broken_template_is_told_with_file_and_line(
    tmp_path: Path, text: str, line: int, reason: str
) -> None:
    """Mistakes of syntax, fields that do not exist and failing expressions name their place."""
    (tmp_path / "index.html").write_text(text)
    with pytest.raises(TemplateError) as caught:
        made_with(tmp_path)
    assert caught.value.template == "index.html"
    assert f"{tmp_path / 'index.html'}:{line}: " in str(caught.value)
    assert reason in str(caught.value)


def test_a_template_that_is_missing_is_named(tmp_path: Path) -> None:
    """So is the page that asked for it."""
    (tmp_path / "index.html").write_text('{% include "weather.html" %}')
    with pytest.raises(TemplateError, match=r"no template weather\.html \(needed by index\.html\)"):
        made_with(tmp_path)


def test_a_folder_that_is_missing_is_named(tmp_path: Path) -> None:
    """A setting that names no folder is a mistake, not a site with our templates."""
    with pytest.raises(TemplateError, match="no folder of templates"):
        made_with(tmp_path / "nowhere")


def test_a_template_that_leaves_the_folder_is_not_read(tmp_path: Path) -> None:
    """Templates are names, not paths out of the folder."""
    (tmp_path / "templates").mkdir()
    (tmp_path / "secret.html").write_text("secret")
    (tmp_path / "templates" / "index.html").write_text('{% include "../secret.html" %}')
    with pytest.raises(TemplateError):
        made_with(tmp_path / "templates")


def test_what_is_compiled_in_one_language_is_not_shown_in_another(tmp_path: Path) -> None:
    """Jinja works out a filter of a constant when it compiles: digits are those of the language."""
    (tmp_path / "count.html").write_text("{{ 7 | digits }}")
    for locale, digits in (("en_GB", "7"), ("ar_EG", "٧"), ("en_GB", "7"), ("fa", "۷")):
        rendered = Renderer(Language(locale), tmp_path).render("count.html", None)
        assert rendered.decode() == digits


@pytest.mark.parametrize("locale", ["en_GB", "ar_EG"])
def test_a_jinja_of_another_release_makes_the_same_pages(
    monkeypatch: pytest.MonkeyPatch, locale: str
) -> None:
    """With its own compiler, of which nothing of ours has to know."""
    inputs = sample_week.inputs(locale)
    quick = pages(inputs), own_pages(inputs)
    _compiled.cache_clear()
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    monkeypatch.setattr(jinja2, "__version__", "4.0.0")
    monkeypatch.setitem(sys.modules, "weeksync.site.quick", None)  # it cannot even be imported
    try:
        assert (pages(inputs), own_pages(inputs)) == quick
    finally:
        _compiled.cache_clear()


def test_a_jinja_that_does_not_say_its_release_is_asked_for_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """As it was installed."""
    said = jinja_release()
    monkeypatch.delattr(jinja2, "__version__")
    assert jinja_release() == said == metadata.version("jinja2")
