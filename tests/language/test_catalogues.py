"""The catalogues hold every sentence of the sources, whole."""

from __future__ import annotations

import ast
import re
import string
from collections.abc import Iterator
from gettext import c2py
from pathlib import Path

import pytest
from babel import Locale
from babel.messages import Catalog

from weeksync.language import catalogues, extract

CATEGORIES = ("zero", "one", "two", "few", "many")
"""The plural categories of CLDR before `other`, in the order of the forms."""

RUN = "run python -m weeksync.language.extract, then translate what it lists"


def ids(catalogue: Catalog) -> set[object]:
    """The sentences of a catalogue; a plural one as the pair of its forms."""
    return {tuple(one.id) if isinstance(one.id, list) else one.id for one in catalogue if one.id}


@pytest.fixture(scope="module")
def used() -> set[object]:
    """The sentences of the sources."""
    return {sentence.ids for sentence in extract.sentences()}


def test_the_extractor_finds_sentences_of_code_and_templates(used: set[object]) -> None:
    """A keyword or a path that no longer matches would make the other tests empty."""
    assert "Week {number}" in used
    assert ("{count} problem", "{count} problems") in used
    assert any("config.toml" in str(one) for one in used)


def test_no_sentence_is_hidden_from_the_extractor(used: set[object]) -> None:
    """Babel reads no call inside an f-string; Python's own parser finds every one."""
    hidden = []
    found = 0
    for path in sorted((extract.ROOT / "weeksync").rglob("*.py")):
        for forms in literal_sentences(path):
            found += 1
            if forms not in used:
                hidden.append((path.name, forms))
    assert hidden == []
    assert found > 500


def literal_sentences(path: Path) -> Iterator[str | tuple[str, str]]:
    """What stands literally in the calls of `message` and `counted` of a module."""
    wanted = {"message": 1, "counted": 2}
    for node in ast.walk(ast.parse(path.read_bytes())):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            texts = [
                one.value
                for one in node.args[: wanted.get(node.func.id, 0)]
                if isinstance(one, ast.Constant) and isinstance(one.value, str)
            ]
            if texts:
                yield texts[0] if len(texts) == 1 else (texts[0], texts[1])


def test_no_sentence_stands_outside_a_call(used: set[object]) -> None:
    """A text with a named place that is kept before it is a message would be in no catalogue."""
    known: set[str] = set()
    for forms in used:
        known.update(
            [forms] if isinstance(forms, str) else forms if isinstance(forms, tuple) else []
        )
    stray = [
        (path.name, text)
        for path in sorted((extract.ROOT / "weeksync").rglob("*.py"))
        for text in texts(path) - known
        if re.search(r"\{[a-z_]+\}", text) and re.search(r"[a-z]{2,},? [a-z]{2,}", text)
        if not text.startswith("<?xml")  # what is said to servers
    ]
    assert stray == []


def texts(path: Path) -> set[str]:
    """The strings of a module without its docstrings."""
    nodes = list(ast.walk(ast.parse(path.read_bytes())))
    docstrings = {node.value for node in nodes if isinstance(node, ast.Expr)}
    return {
        node.value
        for node in nodes
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
        if node not in docstrings
    }


def test_the_template_holds_every_sentence(used: set[object]) -> None:
    """`weeksync.pot` has exactly the sentences of the sources."""
    held = ids(extract.read(extract.CATALOGUES / "weeksync.pot"))
    assert held == used, f"{RUN}: {sorted(map(str, held ^ used))}"


@pytest.mark.parametrize("locale", catalogues.available())
def test_every_catalogue_is_complete(locale: str, used: set[object]) -> None:
    """Each `.po` has exactly the sentences of the sources, each translated and none in doubt."""
    catalogue = extract.read(extract.CATALOGUES / locale / "weeksync.po")
    assert ids(catalogue) == used, RUN
    assert [one.id for one in extract.untranslated(catalogue)] == [], RUN


def places(text: str) -> set[str]:
    """The names of the places in a sentence."""
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


@pytest.mark.parametrize("locale", catalogues.available())
def test_translations_keep_the_places(locale: str) -> None:
    """A translation has the places of its sentence, none more (KeyError) and none fewer."""
    for entry in extract.read(extract.CATALOGUES / locale / "weeksync.po"):
        forms = [entry.id] if isinstance(entry.id, str) else list(entry.id)
        strings = [entry.string] if isinstance(entry.string, str) else list(entry.string or ())
        wanted = set.union(*(places(one) for one in forms)) - {"count"}
        for one in strings:
            assert places(one) - {"count"} == wanted, entry.id


def test_german_and_arabic_say_who_has_read_them() -> None:
    """Both are there, and their heads say that no native speaker has read them yet."""
    assert catalogues.available() == ("ar", "de")
    for locale in catalogues.available():
        head = (extract.CATALOGUES / locale / "weeksync.po").read_text().partition("msgid")[0]
        assert "not yet read by a native speaker" in head


@pytest.mark.parametrize(("locale", "forms"), [("ar", 6), ("de", 2)])
def test_forms_of_counted_sentences_are_those_of_cldr(locale: str, forms: int) -> None:
    """The formula in the head picks the same form as CLDR's plural rules, up to 1,000.

    CLDR, plurals.xml: Arabic has zero, one, two, few, many and other, German one and other.
    """
    catalogue = extract.read(extract.CATALOGUES / locale / "weeksync.po")
    picked = c2py(catalogue.plural_expr)
    rule = Locale.parse(locale).plural_form
    order: list[str] = [tag for tag in CATEGORIES if tag in rule.tags]
    assert catalogue.num_plurals == forms
    assert [picked(count) for count in range(1001)] == [
        [*order, "other"].index(str(rule(count))) for count in range(1001)
    ]


def test_arabic_keeps_signs_from_left_to_right_apart() -> None:
    """Commands and keys stand in isolates that are closed again; Arabic has its own punctuation.

    Outside of isolates and places no Latin letter, and no comma, semicolon, question mark or
    quotation mark of English.
    """
    texts = [
        text
        for entry in extract.read(extract.CATALOGUES / "ar" / "weeksync.po")
        if entry.id
        for text in ([entry.string] if isinstance(entry.string, str) else entry.string or ())
    ]
    wrong = [text for text in texts if re.search('[A-Za-z,;?"“”]', outside(text))]
    assert wrong == []
    assert [text for text in texts if re.search("[\u2066-\u2069]", outside(text))] == []
    assert sum("\u2066" in text for text in texts) > 100


def outside(text: str) -> str:
    """An Arabic sentence without its isolates and its places."""
    return re.sub(r"\{\w+\}", "", re.sub("\u2066[^\u2066-\u2069]*\u2069", "", text))


def test_nearer_catalogues_are_asked_first() -> None:
    """`de_AT` asks its own catalogue, then German, then the source text."""
    assert catalogues.chain("de_AT") == ("de_AT", "de")
    assert catalogues.chain("zh_Hant_TW") == ("zh_Hant_TW", "zh_Hant", "zh")


def test_a_sentence_that_is_missing_is_noticed(tmp_path: Path) -> None:
    """A new sentence in code or template shows up as untranslated, and nothing is guessed."""
    (tmp_path / "weeksync").mkdir()
    (tmp_path / "site_templates").mkdir()
    (tmp_path / "weeksync" / "new.py").write_text('message("A new {thing}", thing=1)\n')
    (tmp_path / "site_templates" / "new.html").write_text("{{ _('Weak {number}', number=1) }}\n")
    current = extract.template(tmp_path)
    assert ids(current) == {"A new {thing}", "Weak {number}"}
    old = Catalog(locale="de")
    old.add("Week {number}", "Woche {number}")
    brought = extract.brought_up(old, current)
    assert {one.id for one in extract.untranslated(brought)} == ids(current)


def test_the_command_brings_catalogues_up(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One run writes all and lists what to translate; when that is done it finds nothing."""
    for name in ("weeksync", "site_templates", "catalogues/de"):
        (tmp_path / name).mkdir(parents=True)
    (tmp_path / "weeksync" / "new.py").write_text('counted("{count} leaf", "{count} leaves", 2)\n')
    po = tmp_path / "catalogues" / "de" / "weeksync.po"
    po.write_bytes(extract.as_bytes(Catalog(locale="de")))

    def run(*arguments: str) -> tuple[int, str]:
        status = extract.main(list(arguments), tmp_path, tmp_path / "catalogues")
        return status, capsys.readouterr().out

    status, told = run("--check")
    assert status == 1
    assert "weeksync.pot: not up to date" in told
    assert not (tmp_path / "catalogues" / "weeksync.pot").exists()
    status, told = run()
    assert status == 1
    assert "de: ('{count} leaf', '{count} leaves')" in told
    catalogue = extract.read(po)
    catalogue["{count} leaf"].string = ("{count} Blatt", "{count} Blätter")
    po.write_bytes(extract.as_bytes(catalogue))
    assert run() == (0, "")
    assert run("--check") == (0, "")
    compiled = catalogues.read(po)
    assert compiled.ngettext("{count} leaf", "{count} leaves", 3) == "{count} Blätter"


def test_a_catalogue_is_compiled_again_when_its_text_has_changed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """By its bytes, whatever its time says; a spoilt file is made anew."""
    monkeypatch.setattr("sys.dont_write_bytecode", False)
    monkeypatch.setattr("sys.pycache_prefix", None)
    compiled = []

    def compile_catalogue(content: bytes) -> bytes:
        compiled.append(content)
        return real(content)

    real = catalogues.compile_catalogue
    monkeypatch.setattr(catalogues, "compile_catalogue", compile_catalogue)
    po = tmp_path / "weeksync.po"
    for text in ("Blatt", "Blatt", "Seite", "Blatt"):
        po.write_text(f'msgid ""\nmsgstr ""\n\nmsgid "leaf"\nmsgstr "{text}"\n')
        assert catalogues.read(po).gettext("leaf") == text
    assert len(compiled) == 3
    (kept,) = tmp_path.rglob("*.pyc")
    kept.write_bytes(kept.read_bytes()[:-20])
    assert catalogues.read(po).gettext("leaf") == "Blatt"
    assert len(compiled) == 4
