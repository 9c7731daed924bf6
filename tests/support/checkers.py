"""Checkers from npm that are held against every page: axe-core and html-validate.

Nothing in here skips: where they are not installed, the test fails with the line that does it.
"""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page

PACKAGES = Path(__file__).resolve().parents[1] / "node_modules"
AXE = PACKAGES / "axe-core" / "axe.min.js"
HTML_VALIDATE = PACKAGES / "html-validate" / "bin" / "html-validate.mjs"
TAGS = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")
"""What axe-core checks: WCAG 2.2 up to AA, and its own good practice."""

RULES = {
    "extends": ["html-validate:recommended", "html-validate:document"],
    "rules": {
        # The form of the source, which a reader never sees: templates leave blanks, and short
        # forms of void elements and of the doctype are as good.
        "no-trailing-whitespace": "off",
        "void-style": "off",
        "doctype-style": "off",
        "long-title": "off",
        # The pages are made for a home, and search engines are told to stay away.
        "require-sri": "off",
        # Boxes of one question share a name: each that is ticked is sent (HTML, section 4.10.22.4).
        "form-dup-name": [
            "error",
            {"shared": ["radio", "button", "reset", "submit", "checkbox"]},
        ],
        # Words in the catalogue's own quotes and dashes; and a <bdi> is phrasing like any other.
        "no-raw-characters": "error",
        "prefer-native-element": "error",
        "attribute-boolean-style": "error",
    },
}


def require(path: Path) -> Path:
    """The file; the test fails where it is not installed."""
    if not path.exists():
        pytest.fail(f"{path.name} is missing; run: npm ci --prefix tests")
    return path


@cache
def _axe() -> str:
    return require(AXE).read_text("utf-8")


def axe(page: Page, *, touched: bool = True) -> list[str]:
    """What axe-core finds on the page as it stands: one line for each element.

    On paper nothing is `touched`: sizes of targets are not looked at there.
    """
    page.evaluate(_axe())  # evaluated by the driver: the page's own policy lets no script in
    found = page.evaluate(
        "([tags, touched]) => axe.run(document, {runOnly: {type: 'tag', values: tags}, "
        "rules: {'target-size': {enabled: touched}}, "
        "resultTypes: ['violations'], preload: false})",
        [list(TAGS), touched],
    )
    return [
        f"{rule['id']}: {node['html'][:160]} {node.get('failureSummary', '')[:300]}"
        for rule in found["violations"]
        for node in rule["nodes"]
    ]


def html_mistakes(paths: Iterable[Path], folder: Path) -> list[str]:
    """What html-validate finds in the files; `folder` is for its settings."""
    settings = folder / "html-validate.json"
    settings.write_text(json.dumps({"root": True, **RULES}), "utf-8")
    said = folder / "html-validate.said.json"  # over a pipe node ends before all of it is out
    ran = subprocess.run(
        [
            "node",
            require(HTML_VALIDATE),
            "--config",
            settings,
            "--formatter",
            f"json={said}",
            *paths,
        ],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert said.exists(), ran.stderr
    results: list[dict[str, Any]] = json.loads(said.read_text("utf-8"))
    return [
        f"{Path(one['filePath']).name}:{fault['line']}:{fault['column']} {fault['ruleId']}: "
        f"{fault['message']}"
        for one in results
        for fault in one["messages"]
    ]
