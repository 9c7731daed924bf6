"""The lines of keys and values, for every way TOML can be written."""

from __future__ import annotations

import tomllib

import pytest
import tomlkit
from hypothesis import assume, given, settings

from tests.support.toml_texts import is_valid, leaves, sign_of, toml_texts
from weeksync.read.positions import Path, Positions, Walk

SITUATIONS: dict[str, tuple[str, Path, int]] = {
    "a value at the top": ("format = 1\n\nname = 2\n", ("name",), 3),
    "the header of an entry": ("[[a]]\n\n[[a]]\nx = 1\n", ("a", 1), 3),
    "a value in the second entry": ("[[a]]\nx = 1\n[[a]]\n# c\nx = 2\n", ("a", 1, "x"), 5),
    "interleaved arrays": ("[[a]]\nx=1\n[b]\ny=1\n[[a]]\nx=2\n", ("a", 1, "x"), 6),
    "a table of an entry": ("[[a]]\n[[a]]\n[a.b]\nx = 1\n", ("a", 1, "b", "x"), 4),
    "an array below an entry": (
        "[[a]]\n[[a.b]]\n[[a]]\n[[a.b]]\n[[a.b]]\nx=1\n",
        ("a", 1, "b", 1, "x"),
        6,
    ),
    "tables out of order": ("[a.b]\nx=1\n[c]\ny=1\n[a.d]\nz=1\n", ("a", "d", "z"), 6),
    "a dotted key": ('x = 1\na . b."c d" = 2\n', ("a", "b", "c d"), 2),
    "an inline table": ("a = { x = 1, y.z = 2 }\n", ("a", "y", "z"), 1),
    "an array over lines": ("a = [\n  1,\n  # no\n  [2,\n 3],\n]\n", ("a", 1, 1), 5),
    "tables in an array": ("a = [\n {x = 1},\n {x = 2} ]\n", ("a", 1, "x"), 3),
    "after a string over lines": ('a = """\n[[b]]\nx = 1\n"""\nb = 2\n', ("b",), 5),
    "quotes at the end of a string": ('a = """x"""""\nb = """\n"""\nc = 1\n', ("c",), 4),
    "carriage returns": ("a = 1\r\n[b]\r\nc = '''\r\n'''\r\nd = 2\r\n", ("b", "d"), 5),
    "a date as key": ("[days]\n2027-03-22 = 'x'\n2027-03-23 = 'y'\n", ("days", "2027-03-23"), 3),
    "a date with a space": ("a = 2027-03-22 10:00:00 # c\nb = 1\n", ("b",), 2),
    "an escaped key": ('"a\\u0062" = 1\n"c\\"d" = 2\n', ('c"d',), 2),
    "a missing key stands for its table": ("[[a]]\nx=1\n[[a]]\ny=1\n", ("a", 1, "x"), 3),
    "a missing table stands for the file": ("x=1\n", ("a", "b"), 1),
    "no newline at the end": ("a = 1\n[b]", ("b",), 2),
}


@pytest.mark.parametrize(("text", "path", "line"), SITUATIONS.values(), ids=SITUATIONS.keys())
def test_the_line_of_a_value(text: str, path: Path, line: int) -> None:
    """Each way of writing has its line."""
    tomllib.loads(text)
    assert Positions(text).line(path) == line


def test_the_line_of_a_key_whose_value_begins_below() -> None:
    """In an array the value's own line counts, for an unknown key that of the key."""
    positions = Positions("a = [\n  1,\n  2,\n]\n")
    assert (positions.key_line(("a",)), positions.line(("a", 1))) == (1, 3)


def test_lines_are_counted_from_the_first_line_given() -> None:
    """The head of a check-in begins on line 2 of its file."""
    assert Positions("format = 1\nenergy = 9\n", 2).line(("energy",)) == 3


@settings(max_examples=200, deadline=None)
@given(toml_texts())
def test_every_reported_line_holds_the_value(text: str) -> None:
    """Whatever a text looks like: the line told for a value is the one it begins on.

    The paths come from the standard parser, so both must agree on what is where.
    """
    assume(is_valid(text))
    positions, lines = Positions(text), text.split("\n")
    for path, leaf in leaves(tomllib.loads(text)):
        assert path in positions.spots
        assert sign_of(leaf) in lines[positions.line(path) - 1], path


@settings(max_examples=50, deadline=None)
@given(toml_texts())
def test_the_texts_are_what_another_parser_takes_too(text: str) -> None:
    """tomlkit (another reading of TOML 1.0) finds the same leaves, so the texts are fair."""
    assume(is_valid(text))
    ours = {path for path, _ in leaves(tomllib.loads(text))}
    assert {path for path, _ in leaves(tomlkit.parse(text).unwrap())} == ours


def test_tomlkit_puts_interleaved_arrays_in_another_order() -> None:
    """Why there is a walk of our own; if this fails one day, tomlkit's round trip may do."""
    text = "[[a]]\nx=1\n[b]\ny=1\n[[a]]\nx=2\n"
    assert tomlkit.dumps(tomlkit.parse(text)) != text


def test_deep_nesting_ends_the_walk_and_nothing_else() -> None:
    """A hundred thousand brackets are no valid file, and no crash."""
    assert Positions("a = " + "[" * 100_000).line(("b",)) == 1


@settings(max_examples=100, deadline=None)
@given(toml_texts())
def test_every_value_ends_where_it_says(text: str) -> None:
    """What stands between begin and end, read alone by the standard parser, is the value."""
    assume(is_valid(text))
    walk = Walk(text)
    assert walk.run()
    for path, leaf in leaves(tomllib.loads(text)):
        written = text[walk.spots[path].value : walk.ends[path]]
        assert tomllib.loads(f"x = {written}") == {"x": leaf}
    for start, end in walk.comments:
        assert text[start] == "#"
        assert "\n" not in text[start:end]
