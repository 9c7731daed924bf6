"""What pages lose on their way out, and what they say of the household to a browser."""

from __future__ import annotations

import os
import random
import re
from dataclasses import replace
from pathlib import Path

import pytest

from tests.support import sample_week
from weeksync.model.serve_settings import Serve
from weeksync.site.frame import connect, household_key
from weeksync.site.thin import thin, thin_html, thin_parts

CONFIG = sample_week.inputs().config


def test_indentation_and_blank_lines_go() -> None:
    """Between blocks nothing is left; within a line a break stays what it shows as, one space."""
    assert thin_html("<ul>\n\n  <li>one</li>\n  <li>two</li>\n</ul>\n") == (
        "<ul><li>one</li><li>two</li></ul>"
    )
    assert thin_html("<span>a</span>\n   <span>b</span>") == "<span>a</span>\n<span>b</span>"
    assert thin_html("<p>some\n   words</p>") == "<p>some\nwords</p>"


@pytest.mark.parametrize(
    "kept",
    [
        "<pre>\n  a\n\n  b\n</pre>",
        "<textarea>\n x\n\n y</textarea>",
        '<p class="plain"><bdi>first\n\n  second</bdi></p>',
    ],
)
def test_where_spaces_count_they_stay(kept: str) -> None:
    """As written in `pre`, in a field, and in the plain text of a journal."""
    assert thin_html(f"<div>\n  {kept}\n  <p>x</p>\n</div>") == f"<div>{kept}\n<p>x</p></div>"


_BLOCK = (
    "html|head|body|meta|link|title|script|main|header|footer|nav|aside|section|article|div|p|"
    "h[1-6]|ul|ol|li|dl|dt|dd|table|caption|colgroup|col|thead|tbody|tr|th|td|details|form|fieldset"
)
_PIECES = (
    *("<p>", "</p>", "<b>", "</b>", "<p class='x'>", "<P>", "<LI\nx>", "<li \nx>", "<td", "<", "/"),
    *("</fieldset>", "</fieldsets>", "<h1>", "<h7>", "<colgroup ", "p>", "<p>\n", "</span>\n"),
    *(" ", "\n", "  \n", "\t", "\r\n", "a", ">", "\u2028", "\n\n"),
)


def test_it_is_what_two_plain_rules_say() -> None:
    """As slow expressions say it: spaces around a break go, and a break beside a block's tag."""
    beside = re.compile(rf"(?<=>)\n(?=</?(?:{_BLOCK})[ >])|(</?(?:{_BLOCK})(?: [^<>]*)?>)\n", re.I)
    rng = random.Random(1)
    for _ in range(5_000):
        text = "".join(rng.choices(_PIECES, k=rng.randrange(1, 14)))
        lines = re.sub(r"[ \t]*[\r\n]\s*", "\n", text)
        assert thin_html(text) == beside.sub(lambda found: found[1] or "", lines), text


def test_a_template_can_be_thinned_before_its_values_are_known() -> None:
    """What its values and statements give stands between its texts; the page comes out the same,
    but for a space with which a value begins where a break has gone."""
    rng = random.Random(2)
    whole = [one for one in _PIECES if one.count("<") == one.count(">")]
    for _ in range(5_000):
        texts = ("".join(rng.choices(whole, k=rng.randrange(6))) for _ in range(4))
        parts = [text.lstrip(" \t\u2028") for text in texts]
        parts[1] += rng.choice(("", "<pre>\n ", "<textarea>"))
        parts[2] = {"<pre>\n ": "\n\n </pre>"}.get(parts[1][-7:], "") + parts[2]
        parts[2] = "</textarea>" * parts[1].endswith("<textarea>") + parts[2]
        values = [*rng.choices(("", "x", "\n", "\n <li>", "</b>", "</p>"), k=3), ""]
        before, after = (
            thin_html("".join(map("".join, zip(one, values, strict=True))))
            for one in (parts, thin_parts(parts))
        )
        assert before == after, (parts, values)


def test_scripts_and_styles_lose_their_comments() -> None:
    """The words of a string stay; what is neither HTML, CSS nor script is left alone."""
    assert thin("a.js", 'const a = "x  //  y"; // why\n') == 'const a="x  //  y"\n'
    assert thin("a.css", "/* why */ p { color : red }\n") == "p{color:red}\n"
    assert thin("icon.svg", "<svg>\n  <g/>\n</svg>") == "<svg>\n  <g/>\n</svg>"


def test_a_household_has_its_own_key() -> None:
    """Twelve hexadecimal digits; another name or zone is another household, an area is not."""
    home = CONFIG.household
    key = household_key(CONFIG)
    assert len(key) == 12
    assert int(key, 16) >= 0
    other = replace(CONFIG, household=replace(home, name="Others"))
    assert household_key(other) != key
    assert household_key(replace(CONFIG, areas=CONFIG.areas[:1])) == key
    assert replace(sample_week.inputs(), config=other).config is other


@pytest.mark.parametrize(
    ("address", "added"),
    [
        ("", ""),
        ("https://home.arpa:8427", " https://home.arpa:8427"),
        ("https://home.arpa/path?x=1", " https://home.arpa"),
        ("https://[fd00::1]:8427", " https://[fd00::1]:8427"),
        ("https://home.arpa; script-src *", ""),
        ("javascript:alert(1)", ""),
    ],
)
def test_scripts_may_send_home_and_nowhere_else(address: str, added: str) -> None:
    """The page's own origin, loopback, and the home address; nothing that would end the policy."""
    settings = Serve(port=9000, address=address)
    made = connect(replace(CONFIG, serve=settings))
    assert made == f"'self' http://127.0.0.1:9000 http://localhost:9000{added}"


def test_a_forked_process_does_not_wait_for_the_library(tmp_path: Path) -> None:
    """What was made before is delivered as made, the rest as written."""
    made = thin("a.js", "const  value  =  1;\n")
    child = os.fork()
    if child == 0:
        try:
            (tmp_path / "known").write_text(thin("a.js", "const  value  =  1;\n"))
            (tmp_path / "new").write_text(thin("b.js", "const  other  =  2;\n"))
        finally:
            os._exit(0)
    os.waitpid(child, 0)
    assert (tmp_path / "known").read_text() == made
    assert "const  other  =  2;" in (tmp_path / "new").read_text()
