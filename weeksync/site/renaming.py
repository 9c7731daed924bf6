"""Publishing where the file system has no symbolic links: file by file, with a journal.

All new files are written aside first, in `output/.staged`. Then the journal
`output/.published.json` says what is to be done, and from there on it will be done: changed
files are renamed into place, each tree's start page after its other pages and `site` after the
other trees, and only then files that are gone are removed. So whichever start page is there,
its pages are there. A run that was cut short is completed by the next one, from the journal.

The journal also names the files weeksync made: anything else in these folders is left alone.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import field
from pathlib import Path, PurePosixPath

from weeksync.errors import BuildError
from weeksync.lazy import dataclass
from weeksync.message import message
from weeksync.site.tree_files import (
    Published,
    Step,
    Trees,
    check_trees,
    compare,
    in_order,
    in_the_way,
    sync_files,
    sync_folder,
    write_file,
)

JOURNAL = ".published.json"
STAGED = ".staged"
INDEX = "index.html"

Files = dict[str, list[str]]
"""Name of the tree → paths in it."""


@dataclass(frozen=True, slots=True)
class _Journal:
    """What weeksync made in the folder, and what is still to be done there."""

    made: Files = field(default_factory=dict)
    put: Files = field(default_factory=dict)
    drop: Files = field(default_factory=dict)

    @property
    def pending(self) -> bool:
        return bool(self.put or self.drop)

    def done(self) -> _Journal:
        """The journal when everything in it has been done; trees without files are forgotten."""
        left = {
            name: sorted({*paths, *self.put.get(name, ())} - set(self.drop.get(name, ())))
            for name, paths in self.made.items()
        }
        return _Journal({name: paths for name, paths in left.items() if paths})


def is_used(output: Path) -> bool:
    """Whether the trees in `output` were published this way before."""
    return (output / JOURNAL).exists()


def made(output: Path, step: Step) -> Files:
    """What is shown of ours; a run that was cut short is completed before."""
    return _settled(output, step).made


def publish(output: Path, trees: Trees, step: Step) -> Published:
    """As `weeksync.site.generations.publish`, in a folder without links."""
    journal = _settled(output, step)
    _clear_staged(output)
    for name in trees:
        if os.path.lexists(output / name) and name not in journal.made:
            raise in_the_way(output / name)
    put, drop = _differences(output, trees, journal.made)
    changed = sum(len(paths) for paths in (*put.values(), *drop.values()))
    if changed:
        _stage(output, trees, put, step)
        made = {name: journal.made.get(name, []) for name in {*trees, *journal.made}}
        journal = _Journal(made, put, drop)
        _write(output, journal)
        step("wrote the journal")
        _complete(output, journal, step)
    return Published(changed)


def _settled(output: Path, step: Step) -> _Journal:
    """The journal with nothing left to do."""
    journal = _read(output)
    return _complete(output, journal, step) if journal.pending else journal


def _differences(output: Path, trees: Trees, made: Mapping[str, list[str]]) -> tuple[Files, Files]:
    """(files to put, files of ours to drop) of each tree that has any."""
    put, drop = {}, {name: paths for name, paths in made.items() if name not in trees}
    for name, files in trees.items():
        folder = output / name
        put[name] = list(compare(folder if folder.is_dir() else None, files).different)
        drop[name] = sorted(set(made.get(name, ())) - files.keys())
    return _without_empty(put), _without_empty(drop)


def _without_empty(files: Files) -> Files:
    return {name: paths for name, paths in files.items() if paths}


def _stage(output: Path, trees: Trees, put: Files, step: Step) -> None:
    staged = output / STAGED
    try:
        for name, paths in put.items():
            for path in paths:
                write_file(staged / name / path, trees[name][path])
                step(f"wrote {name}/{path}")
        if put:
            sync_files(staged, [staged / name / path for name in put for path in put[name]])
    except OSError:
        shutil.rmtree(staged, ignore_errors=True)  # it may be what filled the disk
        raise


def _clear_staged(output: Path) -> None:
    if (output / STAGED).exists():
        shutil.rmtree(output / STAGED)


def _complete(output: Path, journal: _Journal, step: Step) -> _Journal:
    """Do what the journal says, as far as it is not done yet."""
    late = dict(journal.drop)
    for name in in_order(journal.put):
        early = _in_each_others_way(journal.put[name], journal.drop.get(name, ()))
        late[name] = [path for path in journal.drop.get(name, ()) if path not in early]
        _drop(output / name, early, step)
        for path in sorted(journal.put[name], key=_start_pages_last):
            staged = output / STAGED / name / path
            if staged.exists():  # else it was put by the run that was cut short
                target = output / name / path
                target.parent.mkdir(parents=True, exist_ok=True)
                staged.replace(target)
                step(f"put {name}/{path}")
        sync_files(output / name, ())
    for name, paths in late.items():
        _drop(output / name, paths, step)
        sync_files(output / name, ())
    sync_folder(output)
    done = journal.done()
    _write(output, done)
    step("cleared the journal")
    _clear_staged(output)
    return done


def _start_pages_last(path: str) -> tuple[bool, int, str]:
    """Order of putting: other files, start pages of inner folders, the tree's start page."""
    inside = PurePosixPath(path)
    return inside.name == INDEX, -len(inside.parts) if inside.name == INDEX else 0, path


def _in_each_others_way(put: Iterable[str], drop: Iterable[str]) -> set[str]:
    """The files to drop before: a folder is to be where they are, or they are where a file is."""
    files = set(put)
    folders = {folder for path in files for folder in _folders_of(path)}
    return {path for path in drop if path in folders or files & _folders_of(path)}


def _folders_of(path: str) -> set[str]:
    return {str(folder) for folder in PurePosixPath(path).parents}


def _drop(folder: Path, paths: Iterable[str], step: Step) -> None:
    """Remove files, and the folders they leave empty, `folder` itself included."""
    for path in paths:
        if (folder / path).is_file():  # else the run that was cut short has dropped it
            (folder / path).unlink()
            step(f"removed {folder.name}/{path}")
        for inner in (folder / path).parents:
            if not inner.is_relative_to(folder):
                break
            with suppress(OSError):  # not empty, or gone already
                inner.rmdir()


def _read(output: Path) -> _Journal:
    file = output / JOURNAL
    try:
        data = json.loads(file.read_bytes())
        journal = _Journal(data["made"], data["put"], data["drop"])
        for part in (journal.made, journal.put, journal.drop):
            check_trees({name: dict.fromkeys(paths, b"") for name, paths in part.items()})
    except FileNotFoundError:
        return _Journal()
    except (ValueError, TypeError, LookupError, AttributeError, BuildError) as error:
        raise BuildError(
            message(
                "{file} cannot be read; remove it and the folders of pages beside it, and build"
                " again",
                file=str(file),
            )
        ) from error
    return journal


def _write(output: Path, journal: _Journal) -> None:
    file = output / JOURNAL
    new = file.with_suffix(".new")
    new.unlink(missing_ok=True)
    parts = {"made": journal.made, "put": journal.put, "drop": journal.drop}
    write_file(new, json.dumps(parts, indent=1, sort_keys=True).encode())
    sync_files(output / STAGED, [new])
    new.replace(file)
    sync_folder(output)
