"""Publishing: whole sites only, whenever the process dies and whatever the disk says."""

from __future__ import annotations

import errno
import os
import resource
import shutil
import signal
import stat
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from weeksync.errors import BuildError
from weeksync.site.generations import Linker, publish
from weeksync.site.tree_files import Trees

OLD: Trees = {
    "site": {
        "index.html": b"old start",
        "2027/w11.html": b"week 11",
        "2027/w12.html": b"old week 12",
        "gone/index.html": b"a page that goes",
        "style.css": b"same",
    },
    "own": {"index.html": b"old own", "ines.html": b"same own"},
}
NEW: Trees = {
    "site": {
        "index.html": b"new start",
        "2027/w11.html": b"week 11",
        "2027/w12.html": b"new week 12",
        "2027/w13.html": b"week 13",
        "gone": b"now a file",
        "style.css": b"same",
    },
    "own": {"index.html": b"new own", "ines.html": b"same own"},
}


def refuse(first: object, second: object) -> None:
    """What a file system without links answers (Linux, vfat: EPERM)."""
    raise OSError(errno.EPERM, os.strerror(errno.EPERM), str(second))


LINKS = Linker()
NO_HARD_LINKS = Linker(hard=refuse)
NO_LINKS = Linker(symbolic=refuse, hard=refuse)
ALL_WAYS = [
    pytest.param(LINKS, id="links"),
    pytest.param(NO_HARD_LINKS, id="no hard links"),
    pytest.param(NO_LINKS, id="no links"),
]


def seen(output: Path, name: str = "site") -> dict[str, bytes]:
    """The files of a tree as a reader finds them; empty where there is no such tree."""
    top = output / name
    return {
        path.relative_to(top).as_posix(): path.read_bytes()
        for path in top.rglob("*")
        if path.is_file()
    }


def all_seen(output: Path) -> dict[str, dict[str, bytes]]:
    """Every tree that can be read in the folder."""
    names = [entry.name for entry in output.iterdir() if not entry.name.startswith(".")]
    return {name: seen(output, name) for name in names}


def marks(output: Path) -> dict[str, tuple[int, int, int]]:
    """Inode and times of everything below the folder, itself included."""
    found = {}
    for path in (output, *output.rglob("*")):
        status = path.lstat()
        found[str(path)] = (status.st_ino, status.st_mtime_ns, status.st_ctime_ns)
    return found


@pytest.mark.parametrize("linker", ALL_WAYS)
def test_trees_are_published_and_replaced(tmp_path: Path, linker: Linker) -> None:
    """What is read is exactly what was handed over, the first time and the next."""
    output = tmp_path / "deep" / "output"
    assert publish(output, OLD, linker=linker).changed == 7
    assert all_seen(output) == OLD
    assert publish(output, NEW, linker=linker).changed == 6
    assert all_seen(output) == NEW


@pytest.mark.parametrize("linker", ALL_WAYS)
def test_nothing_changed_touches_nothing(tmp_path: Path, linker: Linker) -> None:
    """No new generation, and no file, folder or time differs."""
    publish(tmp_path, OLD, linker=linker)
    publish(tmp_path, NEW, linker=linker)
    before = marks(tmp_path)
    assert publish(tmp_path, NEW, linker=linker).changed == 0
    assert marks(tmp_path) == before


def test_unchanged_files_are_hard_links(tmp_path: Path) -> None:
    """Only what changed is written; two generations are kept and older ones removed."""
    for number in range(1, 5):
        trees = {"site": {"index.html": str(number).encode(), "a/style.css": b"same"}}
        assert publish(tmp_path, trees).generation == number
    kept = sorted(path.name for path in (tmp_path / ".generations").iterdir())
    assert kept == ["3", "4"]
    assert os.readlink(tmp_path / "site") == ".generations/4/site"
    one, other = (tmp_path / ".generations" / number / "site" for number in kept)
    assert (one / "a/style.css").samefile(other / "a/style.css")
    assert (one / "index.html").read_bytes() == b"3"


def test_without_hard_links_unchanged_files_keep_their_time(tmp_path: Path) -> None:
    """Files are copied, links are still flipped, and a browser's cache stays good."""
    publish(tmp_path, OLD, linker=NO_HARD_LINKS)
    style = tmp_path / "site" / "style.css"
    os.utime(style, ns=(10**18, 10**18))
    publish(tmp_path, NEW, linker=NO_HARD_LINKS)
    assert (tmp_path / "site").is_symlink()
    assert style.stat().st_nlink == 1
    assert style.stat().st_mtime_ns == 10**18


@pytest.mark.parametrize("linker", ALL_WAYS)
def test_a_tree_no_longer_wanted_is_removed(tmp_path: Path, linker: Linker) -> None:
    """Pages of one's own are not left readable when they are switched off."""
    publish(tmp_path, OLD, linker=linker)
    assert publish(tmp_path, {"site": OLD["site"]}, linker=linker).changed
    assert all_seen(tmp_path) == {"site": OLD["site"]}
    assert not os.path.lexists(tmp_path / "own")


@pytest.mark.parametrize("linker", ALL_WAYS)
@pytest.mark.parametrize(
    ("umask", "file", "folder"), [(0o022, 0o644, 0o755), (0o077, 0o600, 0o700)]
)
def test_the_umask_decides_who_may_read(
    tmp_path: Path, linker: Linker, umask: int, file: int, folder: int
) -> None:
    """Open to a web server by default, for nobody else under umask 077."""
    output, before = tmp_path / "output", os.umask(umask)
    try:
        publish(output, OLD, linker=linker)
    finally:
        os.umask(before)
    for path in (output, *output.rglob("*")):
        expected = folder if path.is_dir() else file
        assert stat.S_IMODE(path.stat().st_mode) == expected, path


def _folder(place: Path) -> None:
    place.mkdir()
    (place / "index.html").write_text("mine")


def _file(place: Path) -> None:
    place.write_text("mine")


def _own_link(place: Path) -> None:
    place.symlink_to("/srv/www")


def _look_alike(place: Path) -> None:
    place.symlink_to(".generations/1/other")


@pytest.mark.parametrize("linker", [LINKS, NO_LINKS], ids=["links", "no links"])
@pytest.mark.parametrize("make", [_folder, _file, _own_link, _look_alike])
def test_what_weeksync_did_not_make_is_left(
    tmp_path: Path, make: Callable[[Path], None], linker: Linker
) -> None:
    """The place and the remedy are said; not a byte is touched."""
    make(tmp_path / "site")
    before = marks(tmp_path)
    with pytest.raises(BuildError, match=r"/site is there and weeksync did not make it; move it"):
        publish(tmp_path, OLD, linker=linker)
    after = marks(tmp_path)
    if linker is NO_LINKS:
        assert after == before
    assert {key: value for key, value in after.items() if key != str(tmp_path)} == {
        key: value for key, value in before.items() if key != str(tmp_path)
    }


@pytest.mark.parametrize("linker", ALL_WAYS)
def test_other_things_in_the_folder_are_left(tmp_path: Path, linker: Linker) -> None:
    """Files beside the trees stay, as does a link of the user's to a tree."""
    (tmp_path / ".gitignore").write_text("*")
    (tmp_path / "notes").mkdir()
    publish(tmp_path, OLD, linker=linker)
    (tmp_path / "kitchen").symlink_to(tmp_path / "site")
    publish(tmp_path, {"site": NEW["site"]}, linker=linker)
    assert (tmp_path / ".gitignore").read_text() == "*"
    assert (tmp_path / "notes").is_dir()
    assert seen(tmp_path, "kitchen") == NEW["site"]


def test_without_links_files_of_others_in_a_tree_are_left(tmp_path: Path) -> None:
    """In a real folder the user may have put something; only our files are removed."""
    publish(tmp_path, OLD, linker=NO_LINKS)
    (tmp_path / "own" / "letter.txt").write_text("mine")
    publish(tmp_path, {"site": NEW["site"]}, linker=NO_LINKS)
    assert seen(tmp_path, "own") == {"letter.txt": b"mine"}


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("site", "/etc/passwd"),
        ("site", "../index.html"),
        ("site", "a/../../b"),
        ("site", "a//b"),
        ("site", "./a"),
        ("site", ""),
        ("site", "a/"),
        ("site", "a\\b"),
        ("site", "a\0b"),
        ("site", "index.html/page.html"),
        ("..", "index.html"),
        (".generations", "index.html"),
        ("a/b", "index.html"),
        ("", "index.html"),
    ],
)
def test_paths_that_lead_out_of_a_tree_are_refused(tmp_path: Path, name: str, path: str) -> None:
    """Nothing is written for a bad path, not even the good ones beside it."""
    output = tmp_path / "output"
    with pytest.raises(BuildError, match="cannot be the name of a page"):
        publish(output, {"site": {"index.html": b""}, name: {"index.html": b"", path: b""}})
    assert not output.exists()


# Sudden death


def killed_at(output: Path, trees: Trees, linker: Linker, number: int) -> bool:
    """Publish in a process that is killed (SIGKILL) at that step; whether it came to it."""
    child = os.fork()
    if child == 0:
        steps = iter(range(number, -1, -1))

        def step(word: str) -> None:
            if next(steps) == 0:
                os.kill(os.getpid(), signal.SIGKILL)

        try:
            publish(output, trees, linker=linker, step=step)
        finally:
            os._exit(0)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    assert status in {0, -signal.SIGKILL}
    return status != 0


def deaths(tmp_path: Path, linker: Linker, before: Trees | None) -> list[Path]:
    """Copies of a published folder, in each of which publishing NEW died one step later."""
    found: list[Path] = []
    while True:
        output = tmp_path / str(len(found))
        output.mkdir()
        if before is not None:
            publish(output, before, linker=linker)
        if not killed_at(output, NEW, linker, len(found)):
            shutil.rmtree(output)
            return found
        found.append(output)


def tidy(output: Path) -> set[str]:
    """The names in the output folder, and how many generations there are."""
    generations = output / ".generations"
    count = len(list(generations.iterdir())) if generations.exists() else 0
    assert count <= 2
    return {entry.name for entry in output.iterdir()}


@pytest.mark.parametrize("linker", [LINKS, NO_HARD_LINKS], ids=["links", "no hard links"])
def test_killed_at_any_step_the_site_is_whole(tmp_path: Path, linker: Linker) -> None:
    """Through its link each tree is entirely old or new, and `site` is new after `own` is."""
    places = deaths(tmp_path, linker, OLD)
    assert len(places) >= 13
    states = []
    for output in places:
        site, own = seen(output), seen(output, "own")
        assert site in (OLD["site"], NEW["site"])
        assert own in (OLD["own"], NEW["own"])
        states.append((own == NEW["own"], site == NEW["site"]))
    assert states == sorted(states), "own first, site last, and never back"
    assert set(states) == {(False, False), (True, False), (True, True)}
    for output in places:
        publish(output, NEW, linker=linker)
        assert all_seen(output) == NEW
        assert tidy(output) == {".generations", "own", "site"}


def test_killed_in_the_first_publication(tmp_path: Path) -> None:
    """There is no site yet, or a whole one; the next run makes it."""
    places = deaths(tmp_path, LINKS, None)
    assert {len(seen(output)) for output in places} == {0, len(NEW["site"])}
    for output in places:
        publish(output, NEW)
        assert all_seen(output) == NEW
        assert tidy(output) == {".generations", "own", "site"}


@pytest.mark.parametrize("back", [False, True], ids=["completed", "another build follows"])
def test_killed_without_links_no_page_is_half(tmp_path: Path, back: bool) -> None:
    """Each page is whole, a start page never leads to a missing one, the next run completes."""
    places = deaths(tmp_path, NO_LINKS, OLD)
    assert len(places) >= 13
    for output in places:
        for name in ("site", "own"):
            files = seen(output, name)
            for path, content in files.items():
                assert content in (OLD[name].get(path), NEW[name].get(path))
            start = files["index.html"]
            if start == NEW[name]["index.html"]:
                assert files.keys() >= NEW[name].keys()
            elif "gone" not in files:  # a folder that turns into a file cannot be both
                assert files.keys() >= OLD[name].keys() - {"gone/index.html"}
        if seen(output)["index.html"] == b"new start":
            assert seen(output, "own") == NEW["own"]
    for output in places:
        trees = OLD if back else NEW
        publish(output, trees, linker=NO_LINKS)
        assert all_seen(output) == trees
        assert tidy(output) == {".published.json", "own", "site"}


def test_a_run_without_links_is_completed_before_another_is_begun(tmp_path: Path) -> None:
    """Once the journal is written the change is made, even when the next build differs."""
    journal_written = next(
        output
        for output in deaths(tmp_path, NO_LINKS, OLD)
        if b"w13" in (output / ".published.json").read_bytes()
    )
    assert all_seen(journal_written) == OLD
    words: list[str] = []
    publish(journal_written, OLD, linker=NO_LINKS, step=words.append)
    assert words.index("put site/index.html") < words.index("wrote site/index.html")
    assert all_seen(journal_written) == OLD


def test_a_reader_beside_a_publication_sees_whole_sites(tmp_path: Path) -> None:
    """Looked at between any two steps, the site is the old or the new one."""
    publish(tmp_path, OLD)
    views: list[dict[str, bytes]] = []
    publish(tmp_path, NEW, step=lambda _: views.append(seen(tmp_path)))
    assert views[0] == OLD["site"]
    assert views[-1] == NEW["site"]
    assert all(view in (OLD["site"], NEW["site"]) for view in views)


# A disk that refuses


@pytest.mark.parametrize("linker", ALL_WAYS)
def test_a_full_disk_leaves_the_old_site(tmp_path: Path, linker: Linker) -> None:
    """At whichever page the room ends: the old site, nothing half-written, a way out."""
    publish(tmp_path, OLD, linker=linker)
    names = {entry.name for entry in tmp_path.iterdir()}
    words: list[str] = []
    publish(tmp_path / "trial", OLD, linker=linker)
    publish(tmp_path / "trial", NEW, linker=linker, step=words.append)
    shutil.rmtree(tmp_path / "trial")
    writes = [word for word in words if word.startswith("wrote ") and "/" in word]
    assert len(writes) >= 5
    for full_at in writes:

        def step(word: str, full_at: str = full_at) -> None:
            if word == full_at:
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), word)

        with pytest.raises(BuildError, match=r"No space left.*still there; see to room"):
            publish(tmp_path, NEW, linker=linker, step=step)
        assert all_seen(tmp_path) == OLD
        assert {entry.name for entry in tmp_path.iterdir()} == names
    publish(tmp_path, NEW, linker=linker)
    assert all_seen(tmp_path) == NEW


@pytest.mark.parametrize("linker", [LINKS, NO_LINKS], ids=["links", "no links"])
def test_a_file_the_system_will_not_take(tmp_path: Path, linker: Linker) -> None:
    """Under a real limit on file size writing fails in the middle of a file."""
    publish(tmp_path, OLD, linker=linker)
    large = {"site": {**NEW["site"], "2027/w13.html": b"x" * 50_000}, "own": NEW["own"]}
    child = os.fork()
    if child == 0:
        status = 1
        try:
            signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
            resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
            publish(tmp_path, large, linker=linker)
        except BuildError:
            status = 0
        finally:
            os._exit(status)
    assert os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0
    assert all_seen(tmp_path) == OLD
    assert not (tmp_path / ".staged").exists()
    assert len(list(tmp_path.glob(".generations/*"))) in {0, 1}


def test_a_fault_that_is_no_missing_link_is_told(tmp_path: Path) -> None:
    """A disk error while trying for links must not be read as a file system without them."""

    def broken(target: str, place: Path) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO), str(place))

    with pytest.raises(BuildError, match="Input/output error"):
        publish(tmp_path, OLD, linker=Linker(symbolic=broken))
    assert all_seen(tmp_path) == {}


@pytest.mark.parametrize("content", [b"", b"{}", b"[]", b'{"made": {"site": ["../x"]}}', b"\xff"])
def test_a_journal_that_cannot_be_read_is_named(tmp_path: Path, content: bytes) -> None:
    """Nothing is guessed from it; the remedy is said."""
    publish(tmp_path, OLD, linker=NO_LINKS)
    (tmp_path / ".published.json").write_bytes(content)
    with pytest.raises(BuildError, match=r"published\.json cannot be read; remove it and"):
        publish(tmp_path, NEW, linker=NO_LINKS)
    assert all_seen(tmp_path) == OLD


def test_pages_edited_by_hand_are_made_again(tmp_path: Path) -> None:
    """The files are compared, not trusted: edited, removed and foreign ones are put right."""
    publish(tmp_path, OLD)
    site = tmp_path / "site"
    (site / "style.css").write_bytes(b"mine")
    (site / "index.html").unlink()
    (site / "extra.html").write_bytes(b"mine")
    assert publish(tmp_path, OLD).changed == 3
    assert all_seen(tmp_path) == OLD


@pytest.mark.parametrize("linker", [LINKS, NO_LINKS], ids=["links", "no links"])
def test_a_link_among_the_pages_is_made_a_page(tmp_path: Path, linker: Linker) -> None:
    """A symbolic link where a page should be is replaced, and what it points to is untouched."""
    letter = tmp_path / "letter.txt"
    letter.write_bytes(b"same")
    output = tmp_path / "output"
    publish(output, OLD, linker=linker)
    (output / "site" / "style.css").unlink()
    (output / "site" / "style.css").symlink_to(letter)
    assert publish(output, OLD, linker=linker).changed == 1
    assert not (output / "site" / "style.css").is_symlink()
    publish(output, NEW, linker=linker)
    assert all_seen(output) == NEW
    assert letter.read_bytes() == b"same"


def test_a_link_that_leads_nowhere_is_made_good(tmp_path: Path) -> None:
    """Where somebody removed the generations, everything is written again."""
    publish(tmp_path, OLD)
    shutil.rmtree(tmp_path / ".generations")
    assert publish(tmp_path, OLD).generation == 2
    assert all_seen(tmp_path) == OLD


paths = st.lists(st.sampled_from(["a", "b", "index.html"]), min_size=1, max_size=3).map("/".join)


@st.composite
def some_trees(draw: st.DrawFn) -> Trees:
    """Small trees in which no path is file and folder at once."""
    trees: dict[str, dict[str, bytes]] = {}
    for name in draw(st.sets(st.sampled_from(["site", "own"]), min_size=1)):
        files = draw(st.dictionaries(paths, st.sampled_from([b"1", b"2"]), min_size=1, max_size=5))
        trees[name] = {
            path: content
            for path, content in files.items()
            if not any(other.startswith(f"{path}/") for other in files)
        }
    return trees


@pytest.mark.parametrize("linker", ALL_WAYS)
@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(series=st.lists(some_trees(), min_size=2, max_size=4))
def test_any_series_of_publications_ends_with_the_last(
    tmp_path_factory: pytest.TempPathFactory, linker: Linker, series: list[Trees]
) -> None:
    """Whatever comes and goes, files turning into folders included, what is read is the last."""
    output = tmp_path_factory.mktemp("output")
    for trees in series:
        publish(output, trees, linker=linker)
        assert all_seen(output) == trees
        assert publish(output, trees, linker=linker).changed == 0
    tidy(output)
