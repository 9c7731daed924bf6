"""Compiled templates are kept where only who can change our code can change them."""

from __future__ import annotations

from pathlib import Path

import jinja2
import pytest
from markupsafe import Markup, escape

from weeksync.language import Language
from weeksync.site.compiled import Compiled
from weeksync.site.quick import QuickEnvironment, escaped
from weeksync.site.render import Renderer


@pytest.fixture(autouse=True)
def _writing(monkeypatch: pytest.MonkeyPatch) -> None:
    """As where PYTHONDONTWRITEBYTECODE is not set."""
    monkeypatch.setattr("sys.dont_write_bytecode", False)


def _environment(ours: Path, *folders: Path) -> QuickEnvironment:
    loader = jinja2.FileSystemLoader([*folders, ours])
    return QuickEnvironment(loader=loader, autoescape=True, bytecode_cache=Compiled(ours))


def _kept(folder: Path) -> list[Path]:
    return sorted(folder.rglob("*.pyc"))


@pytest.mark.parametrize(
    "value",
    ["plain", "ä – ö", "<b>", "a & b", "'", '"', "", Markup("<b>"), 5, 2.5, None, True, ["<"]],
)
def test_a_value_is_escaped_as_markupsafe_does(value: object) -> None:
    """Texts with and without what has to be escaped, finished markup, and everything else."""
    assert str(escaped(value)) == str(escape(value))


def test_every_value_of_a_page_is_escaped(tmp_path: Path) -> None:
    """In the page itself, in a macro, in a block that is caught, and joined to markup."""
    (tmp_path / "a.html").write_text(
        "{% macro m(x) %}<i>{{ x }}</i>{% endmacro %}{% set y %}<u>{{ v }}</u>{% endset %}"
        "{{ v }}{{ m(v) }}{{ y }}{{ ('<b>' | safe) ~ v }}{{ v | upper }}"
    )
    made = _environment(tmp_path).get_template("a.html").render(v="<&>")
    safe = "&lt;&amp;&gt;"
    assert made == f"{safe}<i>{safe}</i><u>{safe}</u><b>{safe}{safe}"


def test_macros_take_their_arguments_as_those_of_jinja_do(tmp_path: Path) -> None:
    """In order, by name, with and without what has a default; and too many are a mistake."""
    macro = "{% macro m(a, b='<', c=a) %}[{{ a }}{{ b }}{{ c }}]{% endmacro %}"
    rest = (
        "{% macro r(a) %}{{ a }}{{ varargs | join }}{{ kwargs['x'] }}{{ caller() }}{% endmacro %}"
    )
    calls = "{{ m(1) }}{{ m(1, 2) }}{{ m(1, c=3) }}{{ m(*[4, 5]) }}{{ m(**{'a': 6}) }}"
    (tmp_path / "a.html").write_text(
        f"{macro}{rest}{calls}{{% call r(7, 8, x=9) %}}0{{% endcall %}}"
    )
    made = _environment(tmp_path).get_template("a.html").render()
    assert made == "[1&lt;1][121][1&lt;3][454][6&lt;6]7890"
    for call in ("m(1, 2, 3, 4)", "m(1, d=2)"):
        (tmp_path / "b.html").write_text(f"{macro}{{{{ {call} }}}}")
        with pytest.raises(TypeError):
            _environment(tmp_path).get_template("b.html").render()


def test_only_our_own_templates_are_held_to_what_records_have(tmp_path: Path) -> None:
    """A household's own may ask whether there is a field; mappings that a template writes down
    are read as records in both."""
    ours, own = tmp_path / "ours", tmp_path / "own"
    for folder in (ours, own):
        folder.mkdir()
    (ours / "parts.html").write_text("{% macro m(x) %}{{ x.title }}{% endmacro %}")
    head = "{% import 'parts.html' as parts %}{% set m = parts.m %}"
    head += "{{ m({'title': '<'}) }}{{ m([{'title': page and 4}][0]) }}{{ m(dict(title=2)) }}"
    (own / "a.html").write_text(
        head + "{{ page.nothing is defined }}{{ page.nothing | default(3) }}"
    )
    environment = _environment(ours, own)
    assert environment.get_template("a.html").render(page=tmp_path) == "&lt;42False3"


def test_what_is_compiled_is_used_by_the_next_process(tmp_path: Path) -> None:
    """It lies in `__pycache__`; what is not changed is not compiled again."""
    (tmp_path / "a.html").write_text("one {{ v }}")
    assert _environment(tmp_path).get_template("a.html").render(v=1) == "one 1"
    (kept,) = _kept(tmp_path)
    assert kept.parent.name == "__pycache__"
    before = kept.stat().st_mtime_ns, kept.stat().st_ino
    assert _environment(tmp_path).get_template("a.html").render(v=2) == "one 2"
    assert (kept.stat().st_mtime_ns, kept.stat().st_ino) == before
    assert _kept(tmp_path) == [kept]


def test_a_changed_template_is_compiled_again(tmp_path: Path) -> None:
    """By its text, whatever its time says."""
    page = tmp_path / "a.html"
    for text in ("one", "two", "one"):
        page.write_text(text)
        assert _environment(tmp_path).get_template("a.html").render() == text


@pytest.mark.parametrize("harm", ["empty", "cut", "noise", "another place"])
def test_a_damaged_file_is_made_again(tmp_path: Path, harm: str) -> None:
    """Nothing of it is run."""
    ours = tmp_path / "ours"
    ours.mkdir()
    (ours / "a.html").write_text("one")
    _environment(ours).get_template("a.html").render()
    (kept,) = _kept(ours)
    whole = kept.read_bytes()
    if harm == "another place":
        ours = ours.rename(tmp_path / "moved")
        (kept,) = _kept(ours)
    else:
        kept.write_bytes({"empty": b"", "cut": whole[:-9], "noise": b"x" * len(whole)}[harm])
    assert _environment(ours).get_template("a.html").render() == "one"
    assert kept.read_bytes() != whole if harm == "another place" else kept.read_bytes() == whole


def test_templates_of_a_household_are_not_kept_on_the_disk(tmp_path: Path) -> None:
    """Nothing that is run lies in a folder that may be shared."""
    ours, own = tmp_path / "ours", tmp_path / "own"
    for folder in (ours, own):
        folder.mkdir()
        (folder / "a.html").write_text(folder.name)
    assert _environment(ours, own).get_template("a.html").render() == "own"
    assert _kept(tmp_path) == []


def test_where_nobody_may_write_it_is_compiled_each_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As Python does when it is told to write no .pyc, or cannot make the folder."""
    (tmp_path / "a.html").write_text("one")
    (tmp_path / "__pycache__").write_text("a file in the way")
    assert _environment(tmp_path).get_template("a.html").render() == "one"
    (tmp_path / "__pycache__").unlink()
    monkeypatch.setattr("sys.dont_write_bytecode", True)
    assert _environment(tmp_path).get_template("a.html").render() == "one"
    assert _kept(tmp_path) == []


def test_compiled_templates_serve_every_language(tmp_path: Path) -> None:
    """The digits of a constant are those of the page, whoever compiled it."""
    (tmp_path / "x.html").write_text("{{ 10 | digits }}")
    made = [Renderer(Language(one), tmp_path).render("x.html", None) for one in ("en_GB", "fa")]
    assert [one.decode() for one in made] == ["10", "۱۰"]
