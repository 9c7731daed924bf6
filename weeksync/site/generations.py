"""Putting finished pages where they are read, so that a crash at any moment leaves a whole site.

Pages come as *trees*: name → {relative POSIX path → content}. A tree is read at `output/<name>`,
which is a link into a *generation*:

    output/.generations/41/site/…      the one before
    output/.generations/42/site/…      unchanged files are hard links to those of 41
    output/site -> .generations/42/site

The generation is written whole and brought to the disk before any link is flipped; a flip is
one rename. The tree `site` is flipped last: what its pages lead to is there by then. Two
generations are kept, older ones are removed after the flip. Where the file system has no
symbolic links (a FAT stick, some network shares) `weeksync.site.renaming` does it file by file.

Files are made with mode 0666 and folders with 0777, less the umask: a household that wants its
pages for nobody else runs weeksync under umask 077, and a web server can read them under the
usual 022. An unchanged file keeps the mode it was made with.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
from collections.abc import Callable, Collection, Iterator, Mapping
from pathlib import Path

from weeksync.errors import BuildError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.site import renaming
from weeksync.site.tree_files import (
    Changes,
    Published,
    Step,
    Trees,
    check_trees,
    compare,
    files_below,
    folders_of,
    in_order,
    in_the_way,
    no_step,
    sync_files,
    sync_folder,
    write_file,
)

GENERATIONS = ".generations"
_TARGET = re.compile(rf"{re.escape(GENERATIONS)}/(\d+)/([^/]+)", re.ASCII)
_NO_LINKS = {errno.EPERM, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK, errno.EXDEV}
"""What file systems answer that have no (more) links; anything else is a fault to be told."""


@dataclass(frozen=True, slots=True)
class Linker:
    """How links are made; a test can take them away as a file system would."""

    symbolic: Callable[[str, Path], None] = os.symlink
    """(target, place)"""
    hard: Callable[[str, str], None] = os.link
    """(present file, place)"""


@dataclass(frozen=True, slots=True)
class _Link:
    """A link of ours: where a tree is read, the generation it points to, the folder it shows."""

    place: Path
    number: int
    shown: Path | None
    """None where the link leads nowhere."""


def publish(
    output: Path,
    trees: Trees,
    *,
    private: Collection[str] = (),
    linker: Linker | None = None,
    step: Step = no_step,
) -> Published:
    """Make `output/<name>` show the files of each tree, and remove trees that are not named.

    Where nothing differs from what is there, nothing is written. `step` is called with a word
    between any two changes to the disk. Only one run at a time may publish into a folder. Trees
    named in `private` are for their owner alone (0700), where the file system has such rights.

    BuildError where a path leads out of its tree, where something that weeksync did not make
    is in the way (nothing of it is touched), or where the disk refuses: then the site is as it
    was before. A run that was cut short is completed, or cleared away, by the next one.
    """
    check_trees(trees)
    linker = linker or Linker()
    try:
        output.mkdir(parents=True, exist_ok=True)
        if renaming.is_used(output) or not _has_links(output, linker):
            return renaming.publish(output, trees, step)
        return _Generations(output, linker, step, private).publish(trees)
    except OSError as error:
        raise BuildError(
            message(
                "{place} cannot be written: {reason}; the pages of before are still there; see to"
                " room and permissions, and build again",
                place=str(error.filename or output),
                reason=error.strerror or str(error),
            )
        ) from error


def shown(output: Path, step: Step = no_step) -> dict[str, tuple[Path, list[str]]]:
    """The trees that are shown: name → (folder, paths of the files in it that weeksync made).

    A tree whose link leads nowhere is none. Without links, a run that was cut short is completed.
    """
    if not output.is_dir():
        return {}
    if renaming.is_used(output):
        made = renaming.made(output, step)
        return {name: (output / name, paths) for name, paths in made.items()}
    return {
        one.place.name: (one.shown, sorted(files_below(one.shown)))
        for one in _links(output)
        if one.shown is not None
    }


class _Generations:
    """One publication into a folder with links."""

    def __init__(
        self, output: Path, linker: Linker, step: Step, private: Collection[str] = ()
    ) -> None:
        self._private = private
        self._output = output
        self._folder = output / GENERATIONS
        self._linker = linker
        self._step = step

    def publish(self, trees: Trees) -> Published:
        for name in trees:
            if os.path.lexists(self._output / name) and _link(self._output / name) is None:
                raise in_the_way(self._output / name)
        links = {one.place.name: one for one in _links(self._output)}
        self._clear_leftovers(links)
        unwanted = [one for name, one in links.items() if name not in trees]
        shown = {name: one.shown for name, one in links.items()}
        changes = {name: compare(shown.get(name), files) for name, files in trees.items()}
        in_use = {one.number for one in links.values()}
        changed = sum(one.count for one in changes.values()) + len(unwanted)
        if not changed and all(shown.get(name) for name in trees):
            self._prune(in_use | {max((n for n in self._numbers() if n not in in_use), default=0)})
            return Published(0, max(in_use, default=None))
        number = max(in_use | set(self._numbers()), default=0) + 1
        self._write(number, trees, changes, shown)
        for name in in_order(trees):
            self._flip(name, number)
        for one in unwanted:
            one.place.unlink()
            self._step(f"removed {one.place.name}")
        sync_folder(self._output)
        self._prune({number, *(links[name].number for name in in_order(links)[-1:])})
        return Published(changed, number)

    def _write(
        self,
        number: int,
        trees: Trees,
        changes: Mapping[str, Changes],
        shown: Mapping[str, Path | None],
    ) -> None:
        """The whole generation, on the disk; nothing of it is left where that fails."""
        generation, written = self._folder / str(number), []
        try:
            for name, files in trees.items():
                mode = 0o700 if name in self._private else 0o777
                top, before = generation / name, shown.get(name)
                top.mkdir(mode, parents=True)
                for folder in sorted(folders_of(files)):
                    (top / folder).mkdir(parents=True, exist_ok=True)
                for path, content in files.items():
                    old = f"{before}/{path}" if path in changes[name].same else None
                    if old is None or not self._linked(f"{top}/{path}", old):
                        written.append(top / path)
                        self._write_file(written[-1], content, old)
                    self._step(f"wrote {name}/{path}")
            sync_files(generation, written)
            sync_folder(self._folder)
            self._step("wrote all")
        except OSError:
            shutil.rmtree(generation, ignore_errors=True)  # it may be what filled the disk
            raise

    def _linked(self, place: str, old: str) -> bool:
        """Make `place` a hard link to the unchanged file `old`; whether that was possible."""
        try:
            self._linker.hard(old, place)
        except OSError as error:
            if error.errno not in _NO_LINKS:
                raise
            return False
        return True

    def _write_file(self, place: Path, content: bytes, old: str | None) -> None:
        write_file(place, content)
        if old is not None:  # a copy of what has not changed is as old as that, for caches
            times = os.stat(old)
            os.utime(place, ns=(times.st_atime_ns, times.st_mtime_ns))

    def _flip(self, name: str, number: int) -> None:
        new = self._output / f".{name}.new"
        self._linker.symbolic(f"{GENERATIONS}/{number}/{name}", new)
        self._step(f"made the link of {name}")
        new.replace(self._output / name)
        sync_folder(self._output)
        self._step(f"flipped {name}")

    def _clear_leftovers(self, links: Mapping[str, _Link]) -> None:
        """Remove what a run left that was cut short: its new links and its generation.

        Numbers grow, so a generation later than all that are shown was never finished.
        """
        for entry in self._output.glob(".*.new"):
            if _link(entry) is not None:
                entry.unlink()
        latest = max((one.number for one in links.values()), default=0)
        self._prune({number for number in self._numbers() if number <= latest})

    def _prune(self, keep: Collection[int]) -> None:
        for number in sorted(set(self._numbers()) - set(keep)):
            shutil.rmtree(self._folder / str(number))
            self._step(f"removed generation {number}")

    def _numbers(self) -> list[int]:
        if not self._folder.is_dir():
            return []
        return [int(entry.name) for entry in self._folder.iterdir() if entry.name.isdecimal()]


def _has_links(output: Path, linker: Linker) -> bool:
    if any(_links(output)):
        return True  # and no probe, which would leave its mark on the folder
    probe = output / ".probe.new"
    try:
        linker.symbolic(f"{GENERATIONS}/0/probe", probe)
    except OSError as error:
        if error.errno in _NO_LINKS:
            return False
        if error.errno != errno.EEXIST:  # a probe cut short shows that there are links
            raise
    probe.unlink()
    return True


def _links(output: Path) -> Iterator[_Link]:
    for entry in sorted(output.iterdir()):
        found = _link(entry)
        if found is not None and not entry.name.startswith("."):
            yield found


def _link(place: Path) -> _Link | None:
    """The link at `place`, None where it is none of ours."""
    if not place.is_symlink():
        return None
    target = os.readlink(place)
    found = _TARGET.fullmatch(target)
    if found is None or place.name not in {found[2], f".{found[2]}.new"}:
        return None
    return _Link(place, int(found[1]), place.parent / target if place.is_dir() else None)
