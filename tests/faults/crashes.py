"""`python -m tests.faults.crashes`: commands killed, and the disk full, at each of their steps.

    python -m tests.faults.crashes            the steps that the tests take
    python -m tests.faults.crashes --all      every step of every command; half an hour

After each: the household's files are the old or the new ones, the store opens and is whole, what
is shown is a whole generation, and doing it again gives what an undisturbed run gives.
"""

from __future__ import annotations

import os
import re
import sys
import tempfile
from argparse import ArgumentParser
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from signal import SIGKILL

from tests.faults.dying import Ended, How, Worker
from tests.faults.scenes import (
    LAST,
    LATER,
    NIGHT,
    SCENES,
    Scene,
    household,
    restore,
)
from weeksync.store import Store

Files = Mapping[str, bytes]
MEMORY = "/dev/shm" if os.access("/dev/shm", os.W_OK) else None  # noqa: S108 - a fresh folder
"""There is nothing to wait for in memory; that a sync is asked for counts, not how long it is."""
WORDS = {
    How.BEFORE: "killed before",
    How.WITHIN: "killed within",
    How.FULL: "disk full from",
}


@dataclass(frozen=True)
class Seen:
    """All there is of a household: its own files, and each tree that is shown."""

    own: Files
    trees: Mapping[str, Files]


@dataclass
class Desk:
    """A worker, a place for the household, and what undisturbed runs give there."""

    folder: Path
    worker: Worker
    _scenes: dict[str, Known] = field(default_factory=dict)

    @property
    def home(self) -> Path:
        """Where the household lies in every run: what it writes may name the place."""
        return self.folder / "home"

    def known(self, scene: Scene) -> Known:
        """The scene made ready and played once without a fault."""
        if scene.name not in self._scenes:
            self._scenes[scene.name] = self._undisturbed(scene)
        return self._scenes[scene.name]

    def _undisturbed(self, scene: Scene) -> Known:
        kept = self.folder / f"kept-{len(self._scenes)}"
        household(kept)
        restore(kept, self.home)
        if scene.night_before:
            self.good(self.command("nightly", NIGHT))
        scene.prepare(self.home)
        restore(self.home, kept)
        restore(kept, self.home)
        before = seen(self.home)
        ended = self.play(scene)
        assert ended.status == 0, ended
        assert ended.steps > 0
        after = seen(self.home)
        self.good(self.command("nightly", LAST))
        return Known(kept, before, after, seen(self.home), ended.steps)

    def command(self, *words: str) -> Ended:
        """A command with its instant last, unharmed."""
        return self.worker.run(self._words(words[:-1], words[-1]), self.home)

    def play(self, scene: Scene, how: How = How.COUNT, nth: int = 0) -> Ended:
        """The scene's command, harmed."""
        first = self._words(("nightly",), NIGHT) if scene.quiet else ()
        return self.worker.run(self._words(scene.words, LATER), self.home, how, nth, first=first)

    def _words(self, words: Sequence[str], now: str) -> list[str]:
        return [*words, "--household", str(self.home), "--now", now]

    def good(self, ended: Ended) -> None:
        """A night in which all is well."""
        assert (ended.status, ended.said) == (0, ""), ended


@dataclass(frozen=True)
class Known:
    """A scene before its command, right after it, and after the night that follows."""

    kept: Path
    before: Seen
    after: Seen
    last: Seen
    steps: int


def check(desk: Desk, scene: Scene, how: How, nth: int) -> str:
    """Play the scene with the fault at that step, look at all, do it again; what is special."""
    known = desk.known(scene)
    restore(known.kept, desk.home)
    ended = desk.play(scene, how, nth)
    if how is How.FULL:
        assert ended.status in {0, 1, 2, 3}, ended
        assert "Traceback" not in ended.said
        assert "stopped by" not in ended.said, ended.said
    else:
        assert ended.status == -SIGKILL, ended
    now = seen(desk.home)
    torn = _torn_mark(now, known)
    _is_old_or_new(now, known, by_page=scene.quiet)
    _store_is_whole(desk.home)
    for path in desk.home.rglob(".*.tmp"):
        os.utime(path, (0, 0))  # an hour later
    again = desk.play(scene)
    assert again.status in {0, 1 if torn else 0}, again
    last = desk.command("nightly", LAST)
    found = seen(desk.home)
    if torn:  # as a power cut leaves it: the line is kept and named, and what is marked is there
        assert f"{torn}:3" in last.said, last
        line = known.last.own[torn].splitlines(keepends=True)[-1]
        assert found.own[torn].endswith(line), "the mark is not there"
        return scene.but
    desk.good(last)
    _is_as(found.own, known.last.own)
    for name, files in known.last.trees.items():
        _is_as(found.trees[name], files)
    assert left_over(desk.home) == [], left_over(desk.home)
    return ""


def _torn_mark(now: Seen, known: Known) -> str:
    """The file of marks whose last line was cut in the middle of its writing, "" for none."""
    for name, content in now.own.items():
        old, new = known.before.own.get(name, b""), known.after.own.get(name, b"")
        if name.startswith("marks/") and new.startswith(content) and old < content < new:
            return name
    return ""


def _is_old_or_new(now: Seen, known: Known, *, by_page: bool) -> None:
    """Each file of the household, and each tree; `by_page`: each page of a tree."""
    torn = _torn_mark(now, known)
    for name, content in now.own.items():
        whole = {files.own.get(name) for files in (known.before, known.after)}
        assert content in whole or name == torn, f"{name} is neither the old nor the new one"
    gone = set(known.before.own) & set(known.after.own) - set(now.own)
    assert not gone, f"gone: {gone}"
    for name, files in now.trees.items():
        sides = [one.trees.get(name) for one in (known.before, known.after)]
        if by_page:
            for page, content in files.items():
                assert content in {one.get(page) for one in sides if one}, page
        else:
            assert files in sides, f"{name} is neither the old nor the new one"
    assert set(known.before.trees) <= set(now.trees), "pages have gone"


def _store_is_whole(home: Path) -> None:
    if (home / "state" / "store.sqlite3").exists():
        with Store.open(home / "state", write=False) as store:
            said = store.connection.execute("PRAGMA integrity_check").fetchall()
            assert said == [("ok",)], said
            for source in store.states():
                assert all(one.content for one in store.objects(source))


def seen(home: Path) -> Seen:
    """What is there now. A link that leads nowhere is a fault."""
    own = {
        path.relative_to(home).as_posix(): path.read_bytes()
        for path in sorted(home.rglob("*"))
        if path.is_file() and not set(path.relative_to(home).parts) & {"state", "output"}
        if not _is_left_over(path)
    }
    trees: dict[str, Files] = {}
    for link in sorted((home / "output").glob("*")) if (home / "output").is_dir() else []:
        if link.is_symlink() and not link.name.startswith("."):
            assert link.is_dir(), f"{link.name} leads nowhere"
            tree = link.resolve()
            trees[link.name] = {
                path.relative_to(tree).as_posix(): path.read_bytes()
                for path in sorted(tree.rglob("*"))
                if path.is_file() and not _is_left_over(path)
            }
    return Seen(own, trees)


def _is_left_over(path: Path) -> bool:
    return re.fullmatch(r"\..*\.tmp", path.name) is not None


def _is_as(one: Files, other: Files) -> None:
    differing = sorted(name for name in {*one, *other} if one.get(name) != other.get(name))
    assert not differing, f"not as after an undisturbed run: {differing}"


def left_over(home: Path) -> list[str]:
    """Temporary files, new links and generations beyond two that nobody will clear away."""
    hidden = [path for path in home.rglob(".*") if path.name.endswith((".tmp", ".new"))]
    generations = sorted(path.name for path in (home / "output" / ".generations").iterdir())
    found = [str(path) for path in hidden if ".generations" not in path.parts]
    return found + (generations if len(generations) > 2 else [])


def spread(steps: int, most: int) -> list[int]:
    """Up to `most` steps from the first to the last, as far from each other as can be."""
    if steps <= most:
        return list(range(1, steps + 1))
    if most == 1:
        return [(steps + 1) // 2]
    return sorted({1 + round(number * (steps - 1) / (most - 1)) for number in range(most)})


def steps_of(desk: Desk, scene: Scene, *, all_of_them: bool = False) -> list[int]:
    """The steps at which a scene is harmed: those that the tests take, or all."""
    steps = desk.known(scene).steps
    return spread(steps, steps if all_of_them else scene.points)


def main(arguments: Sequence[str] | None = None) -> int:
    """Play them and print what fails; 1 where something does."""
    parser = ArgumentParser("python -m tests.faults.crashes", description=__doc__)
    parser.add_argument("--all", action="store_true", help="every step of every command")
    parser.add_argument("--scene", default="", help="only scenes whose name has this")
    asked = parser.parse_args(arguments)
    failed = played = 0
    with tempfile.TemporaryDirectory(prefix="crashes-", dir=MEMORY) as place:
        folder = Path(place)
        with Worker(folder) as worker:
            desk = Desk(folder, worker)
            for scene in (one for one in SCENES if asked.scene in one.name):
                sys.stdout.write(f"{scene.name}: {desk.known(scene).steps} steps\n")
                for how in WORDS:
                    for nth in steps_of(desk, scene, all_of_them=asked.all):
                        played += 1
                        try:
                            check(desk, scene, how, nth)
                        except AssertionError as error:
                            failed += 1
                            sys.stdout.write(f"  {WORDS[how]} step {nth}: {error!r:.600}\n")
                        sys.stdout.flush()
    sys.stdout.write(f"{played} faults, {failed} of them not survived as they should be.\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
