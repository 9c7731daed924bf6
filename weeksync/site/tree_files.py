"""Trees of finished pages as files: checked, compared with what is there, written to the disk."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from weeksync.errors import BuildError
from weeksync.lazy import dataclass
from weeksync.message import message

Trees = Mapping[str, Mapping[str, bytes]]
"""Name of the tree → {relative POSIX path → content}."""


class Kept(bytes):
    """A page as it is shown already, at the same place: it was read there, and stays."""


Step = Callable[[str], None]
"""Called with a word between two changes to the disk."""

_FEW = 16
"""Files and folders for which no threads are begun."""

LAST = "site"
"""The tree that is shown last: what its pages lead to is there by then."""


@dataclass(frozen=True, slots=True)
class Published:
    """What a publication did: how many files are new, different or gone, and where they are.

    `changed` counts a tree that was removed as one more. `generation` is the number of the
    generation that is shown, None where the file system has no links.
    """

    changed: int
    generation: int | None = None


@dataclass(frozen=True, slots=True)
class Changes:
    """How the wanted files differ from those of a folder."""

    same: frozenset[str]
    different: tuple[str, ...]
    gone: tuple[str, ...]

    @property
    def count(self) -> int:
        """How many files are new, different or gone."""
        return len(self.different) + len(self.gone)


def no_step(word: str) -> None:
    """The step of everyday use: nothing."""


def in_order(names: Iterable[str]) -> list[str]:
    """The names of trees, `site` last."""
    return sorted(names, key=lambda name: (name == LAST, name))


def check_trees(trees: Trees) -> None:
    """Raise BuildError where a name or path leads out of its tree or is file and folder at once."""
    for name, files in trees.items():
        if not _is_inside(name) or "/" in name or name.startswith("."):
            raise _bad_path(name)
        folders = folders_of(files)
        for path in files:
            if not _is_inside(path) or path in folders:
                raise _bad_path(f"{name}/{path}")


def folders_of(paths: Iterable[str]) -> set[str]:
    """The folders in which files of a tree lie, as relative POSIX paths."""
    found: set[str] = set()
    for path in paths:
        while (path := path.rpartition("/")[0]) and path not in found:
            found.add(path)
    return found


def compare(folder: Path | None, files: Mapping[str, bytes]) -> Changes:
    """How `files` differ from the files below `folder`, byte for byte; None: nothing is there."""
    present = set() if folder is None else set(files_below(folder))
    same = frozenset(
        path
        for path, content in files.items()
        if folder is not None
        and path in present
        and (isinstance(content, Kept) or _holds(folder / path, content))
    )
    return Changes(
        same,
        tuple(path for path in files if path not in same),
        tuple(sorted(present - files.keys())),
    )


def in_the_way(place: Path) -> BuildError:
    """The error for something that weeksync did not make, where a tree is to be shown."""
    return BuildError(
        message(
            "{place} is there and weeksync did not make it; move it away, or set another output"
            " folder, and build again",
            place=str(place),
        )
    )


def write_file(path: Path, content: bytes) -> None:
    """A new file, not yet brought to the disk; OSError where there is one already."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("xb") as handle:
        handle.write(content)


def sync_files(top: Path, paths: Iterable[Path]) -> None:
    """Bring these files, and the names in every folder from `top` down, to the disk.

    Where they are many, several at a time: a disk takes the waiting of eight together, a third of
    the time for a few hundred pages.
    """
    paths, folders = list(paths), [Path(folder) for folder, _, _ in os.walk(top)]
    if len(paths) + len(folders) <= _FEW:
        for path in paths:
            _sync(path)
        for folder in folders:
            sync_folder(folder)
        return
    from concurrent.futures import ThreadPoolExecutor

    with ThreadPoolExecutor(8) as pool:
        list(pool.map(_sync, paths))
        list(pool.map(sync_folder, folders))


def sync_folder(folder: Path) -> None:
    """Bring the names in a folder to the disk, where the file system can do that for folders."""
    with suppress(OSError):  # some answer EINVAL: their folders need no such care
        _sync(folder)


def _sync(path: Path) -> None:
    descriptor = os.open(path, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def files_below(folder: Path) -> Iterator[str]:
    """The relative POSIX paths of all files in a folder."""
    top = os.path.join(folder, "")
    for place, _, names in os.walk(top):
        inside = place[len(top) :].replace(os.sep, "/")
        for name in names:
            yield f"{inside}/{name}" if inside else name


def _holds(path: Path, content: bytes) -> bool:
    try:
        return (
            not path.is_symlink()
            and path.stat().st_size == len(content)
            and path.read_bytes() == content
        )
    except OSError:
        return False  # what cannot be read is written anew


def _is_inside(path: str) -> bool:
    parts = path.split("/")  # not PurePosixPath: it tidies away what must be refused
    return "\0" not in path and "\\" not in path and not {"", ".", ".."} & set(parts)


def _bad_path(path: str) -> BuildError:
    return BuildError(
        message(
            "{path} cannot be the name of a page; see to the template or the file that names it",
            path=path,
        )
    )
