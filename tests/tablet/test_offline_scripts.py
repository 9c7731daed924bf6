"""The service worker and its data: types checked, names escaped, the same bytes each time."""

from __future__ import annotations

import json
import re
import subprocess
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tests.support import sample_week
from weeksync.site import SiteInput
from weeksync.site.pages import pages
from weeksync.site.render import own_templates

NODE_MODULES = Path(__file__).resolve().parents[1] / "node_modules"
HOSTILE = "</script><script>alert(1)</script> `${alert(2)}` \"'\\ \u2028"


def named(name: str) -> SiteInput:
    """The sample household under another name."""
    inputs = sample_week.inputs()
    household = replace(inputs.config.household, name=name)
    return replace(inputs, config=replace(inputs.config, household=household))


def data_of(worker: bytes) -> dict[str, object]:
    """What the build wrote on top of the worker."""
    found = re.match(r'"use strict";\nconst site = (\{.*\});\n', worker.decode())
    assert found is not None
    data: dict[str, object] = json.loads(found[1])
    return data


def test_the_types_of_the_service_worker_hold(tmp_path: Path) -> None:
    """TypeScript's checker at its strictest, with the library of workers."""
    checker = NODE_MODULES / "typescript" / "bin" / "tsc"
    if not checker.exists():
        pytest.fail(f"{checker} is missing; run: npm ci --prefix tests")
    (tmp_path / "globals.d.ts").write_text("declare const site: Site;\n")
    source = (own_templates() / "service-worker.js").read_text()
    (tmp_path / "service-worker.js").write_text(source)
    run = ["node", str(checker), "--allowJs", "--checkJs", "--strict", "--noEmit", "--target",
           "es2022", "--lib", "es2022,webworker", "globals.d.ts",
           "service-worker.js"]  # fmt: skip
    done = subprocess.run(run, cwd=tmp_path, check=False, capture_output=True, text=True)
    assert done.stdout == ""
    assert done.returncode == 0


def test_the_worker_knows_what_the_site_consists_of() -> None:
    """Every page, the weeks by their first days, and each file that is no page and no worker."""
    made = pages(sample_week.inputs())
    site = data_of(made["service-worker.js"])
    assert site["weeks"] == [
        ["2027-W11", "2027-03-15"],
        ["2027-W12", "2027-03-22"],
        ["2027-W13", "2027-03-29"],
    ]
    assert site["pages"] == sorted(name for name in made if name.endswith(".html"))
    files = {name for name in made if not name.endswith(".html")} - {"service-worker.js"}
    assert site["always"] == sorted(files | {"index.html"})


def test_the_worker_is_the_same_until_the_site_consists_of_something_else() -> None:
    """A worker that differs is installed anew by every tablet: not after each build."""
    inputs = replace(sample_week.inputs(), now=datetime(2027, 3, 24, 5, tzinfo=UTC))
    later = replace(inputs, now=datetime(2027, 3, 25, 5, tzinfo=UTC))
    first, second = pages(inputs), pages(later)
    assert {name for name in first if first[name] != second[name]} == {"status.js"}


def test_status_says_when_the_pages_were_made() -> None:
    """In UTC, and nothing where that is not known."""
    at = datetime.fromisoformat("2027-03-24T05:00:00+02:00")
    made = pages(replace(sample_week.inputs(), now=at))["status.js"].decode()
    assert made.endswith('const built = "2027-03-24T03:00:00+00:00";\n')
    assert "built" not in pages(replace(sample_week.inputs(), now=None))["status.js"].decode()


def test_a_hostile_name_stays_a_name() -> None:
    """In the manifest it is a JSON string; the worker's words are escaped for HTML."""
    made = pages(named(HOSTILE))
    manifest = json.loads(made["manifest.webmanifest"])
    assert manifest["name"] == manifest["short_name"] == HOSTILE
    assert "alert" not in made["service-worker.js"].decode()


def test_the_manifest_speaks_the_household_language() -> None:
    """Language and direction as the pages have them; it begins at the week of today."""
    manifest = json.loads(pages(sample_week.inputs())["manifest.webmanifest"])
    assert (manifest["lang"], manifest["dir"]) == ("en-GB", "ltr")
    assert manifest["start_url"] == "./index.html?current"
    assert manifest["scope"] == manifest["id"] == "./"


def test_the_last_script_of_a_page_is_small() -> None:
    """At most 900 bytes as delivered; all that is larger is in the worker."""
    made = pages(sample_week.inputs())
    assert len(made["offline.js"]) <= 900
