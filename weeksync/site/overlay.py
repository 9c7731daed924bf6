"""A few pages made anew and put in place at once, all others as they are.

For a mark made on a tablet: its page is to show it long before the whole site has been made
again. What is published is a whole site all the same, a generation of its own whose other files
are links to those of the one before, so a crash at any moment leaves a whole site here, too.
"""

from __future__ import annotations

from collections.abc import Collection
from pathlib import Path

from weeksync.errors import BuildError
from weeksync.message import message
from weeksync.site.generations import Linker, publish, shown
from weeksync.site.tree_files import Published, Step, Trees, check_trees, no_step


def overlay(
    output: Path,
    pages: Trees,
    *,
    private: Collection[str] = (),
    linker: Linker | None = None,
    step: Step = no_step,
) -> Published | None:
    """Put pages in the place of those of the same path, or beside them; every other file stays.

    None, and nothing is written, where a tree of `pages` is not shown yet: then the whole site
    is to be made. Otherwise as `publish`, with its errors and its crash safety.
    """
    check_trees(pages)
    try:
        whole = {
            name: {path: (folder / path).read_bytes() for path in paths}
            for name, (folder, paths) in shown(output, step).items()
        }
    except OSError as error:
        raise BuildError(
            message(
                "{place} cannot be read: {reason}; build again",
                place=str(error.filename or output),
                reason=error.strerror or str(error),
            )
        ) from error
    if not pages.keys() <= whole.keys():
        return None
    for name, files in pages.items():
        whole[name].update(files)
    return publish(output, whole, private=private, linker=linker, step=step)
