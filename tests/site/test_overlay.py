"""A few pages put in place at once: the rest stays, and whenever the process dies, a whole site."""

from __future__ import annotations

import os
import shutil
import signal
import stat
from pathlib import Path

import pytest

from tests.site.test_generations import ALL_WAYS, LINKS, OLD, all_seen, refuse, seen, tidy
from weeksync.errors import BuildError
from weeksync.site.generations import Linker, publish
from weeksync.site.overlay import overlay
from weeksync.site.tree_files import Trees

PAGES: Trees = {"site": {"2027/w12.html": b"marked week 12", "enter.html": b"a page more"}}
"""One page anew, one that was not there."""
LAID: Trees = {"site": {**OLD["site"], **PAGES["site"]}, "own": OLD["own"]}


@pytest.mark.parametrize("linker", ALL_WAYS)
def test_pages_are_replaced_and_added_and_all_others_stay(tmp_path: Path, linker: Linker) -> None:
    """In the tree that is named and in those that are not."""
    publish(tmp_path, OLD, linker=linker)
    published = overlay(tmp_path, PAGES, linker=linker)
    assert published is not None
    assert published.changed == 2
    assert all_seen(tmp_path) == LAID


def test_what_stays_is_linked_and_not_written(tmp_path: Path) -> None:
    """The files of both trees are those of the generation before."""
    publish(tmp_path, OLD)
    before = {path: (tmp_path / path).stat().st_ino for path in ("site/style.css", "own/ines.html")}
    overlay(tmp_path, PAGES)
    assert {path: (tmp_path / path).stat().st_ino for path in before} == before
    assert os.readlink(tmp_path / "site") == ".generations/2/site"
    assert os.readlink(tmp_path / "own") == ".generations/2/own"


def test_a_private_tree_stays_private(tmp_path: Path) -> None:
    """The folder of pages of one's own is for its owner alone, in every generation."""
    publish(tmp_path, OLD, private=["own"])
    overlay(tmp_path, PAGES, private=["own"])
    assert stat.S_IMODE((tmp_path / "own").stat().st_mode) == 0o700


@pytest.mark.parametrize("linker", ALL_WAYS)
def test_pages_that_say_the_same_write_nothing(tmp_path: Path, linker: Linker) -> None:
    """A mark sent twice makes no generation."""
    publish(tmp_path, OLD, linker=linker)
    published = overlay(tmp_path, {"site": {"style.css": b"same"}}, linker=linker)
    assert published is not None
    assert published.changed == 0


@pytest.mark.parametrize("linker", ALL_WAYS)
def test_over_nothing_nothing_is_laid(tmp_path: Path, linker: Linker) -> None:
    """A few pages are no site: the caller is told to make the whole."""
    assert overlay(tmp_path / "not there", PAGES, linker=linker) is None
    publish(tmp_path, {"own": OLD["own"]}, linker=linker)
    assert overlay(tmp_path, PAGES, linker=linker) is None
    assert all_seen(tmp_path) == {"own": OLD["own"]}


@pytest.mark.parametrize("path", ["../out.html", "a/../../b", "/etc/passwd"])
def test_a_page_outside_of_its_tree_is_refused(tmp_path: Path, path: str) -> None:
    """By the rules of a publication."""
    publish(tmp_path, OLD)
    with pytest.raises(BuildError):
        overlay(tmp_path, {"site": {path: b"x"}})
    assert all_seen(tmp_path) == OLD


def test_a_page_taken_away_by_hand_is_told_where_there_are_no_links(tmp_path: Path) -> None:
    """The journal names it and it is not there: the whole is to be built."""
    linker = Linker(symbolic=refuse, hard=refuse)
    publish(tmp_path, OLD, linker=linker)
    (tmp_path / "site/style.css").unlink()
    with pytest.raises(BuildError, match=r"style\.css cannot be read: No such file"):
        overlay(tmp_path, PAGES, linker=linker)


def died(output: Path, linker: Linker, number: int) -> bool:
    """Whether laying pages in a child died at its step `number`; false: it has fewer steps."""
    child = os.fork()
    if child == 0:
        left = iter(range(number, -1, -1))

        def step(word: str) -> None:
            if next(left) == 0:
                os.kill(os.getpid(), signal.SIGKILL)

        try:
            overlay(output, PAGES, linker=linker, step=step)
        finally:
            os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == -signal.SIGKILL


@pytest.mark.parametrize("linker", ALL_WAYS)
def test_killed_at_any_step_each_page_is_whole(tmp_path: Path, linker: Linker) -> None:
    """Old or new, none missing; the next overlay completes it and leaves nothing behind."""
    number, news = 0, set()
    while True:
        output = tmp_path / str(number)
        publish(output, OLD, linker=linker)
        if not died(output, linker, number):
            break
        site = seen(output)
        assert site.keys() >= OLD["site"].keys()
        for path, content in site.items():
            assert content in (OLD["site"].get(path), LAID["site"][path])
        if linker is LINKS:
            assert site in (OLD["site"], LAID["site"])
        assert seen(output, "own") == OLD["own"]
        news.add(site == LAID["site"])
        overlay(output, PAGES, linker=linker)
        assert all_seen(output) == LAID
        assert tidy(output) <= {".generations", ".published.json", "own", "site"}
        shutil.rmtree(output)
        number += 1
    assert number >= 6
    assert news == {False, True}
