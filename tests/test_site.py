"""The site made of docs/: every link leads somewhere, every page stands in the contents."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.test_docs import DOCS, ROOT


def build(docs: Path, into: Path) -> subprocess.CompletedProcess[str]:
    """Build a folder's site into `into/html` as the gate does, in a process of its own."""
    line = [sys.executable, "-m", "sphinx", "-M", "html", str(docs), str(into)]
    line += ["--quiet", "--nitpicky", "--fail-on-warning", "--keep-going"]
    return subprocess.run(line, capture_output=True, text=True, check=False)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    into = tmp_path_factory.mktemp("site")
    ran = build(DOCS, into)
    assert ran.returncode == 0, ran.stderr
    return into / "html"


def contents(page: Path) -> list[str]:
    """What the contents beside a page lead to, without the start page, which they belong to."""
    return re.findall(r'<li class="toctree-l1[^"]*"><a class="[^"]*" href="([^"]*)"', page.read_text("utf-8"))


def test_every_page_stands_once_in_the_contents(site: Path) -> None:
    pages = {str(page.relative_to(DOCS).with_suffix(".html")) for page in DOCS.rglob("*.md")}
    assert sorted(contents(site / "index.html")) == sorted(pages - {"index.html"})


def test_the_gate_builds_the_site_as_these_tests_do() -> None:
    line = "sphinx-build -M html docs .ci/site --quiet --nitpicky --fail-on-warning --keep-going\n"
    assert line in (ROOT / ".ci" / "run").read_text("utf-8")


FAULTS = {
    "page": "[gone](gone.md)",
    "heading": "[gone](index.md#gone)",
    "picture": "![gone](gone.svg)",
    "file": "[gone](gone.toml)",
    "outside": "[outside](../outside.md)",
}


@pytest.fixture(scope="module")
def said_of_faults(tmp_path_factory: pytest.TempPathFactory) -> str:
    """What the build says of a folder with our settings, a page for each fault, and one in no contents."""
    docs = tmp_path_factory.mktemp("faults") / "docs"
    shutil.copytree(DOCS / "_static", docs / "_static")
    shutil.copy(DOCS / "conf.py", docs)
    (docs.parent / "outside.md").write_text("# Outside\n", "utf-8")
    (docs / "alone.md").write_text("# Alone\n", "utf-8")
    for fault, text in FAULTS.items():
        (docs / f"{fault}.md").write_text(f"# Fault\n\n{text}\n", "utf-8")
    listed = "\n".join(FAULTS)
    (docs / "index.md").write_text(f"# Start\n\n```{{toctree}}\n{listed}\n```\n", "utf-8")
    ran = build(docs, docs.parent / "built")
    assert ran.returncode == 1
    return ran.stderr


@pytest.mark.parametrize("fault", FAULTS)
def test_what_leads_nowhere_fails_the_build(said_of_faults: str, fault: str) -> None:
    assert re.search(rf"/{fault}\.md:3: WARNING: ", said_of_faults)


def test_a_page_in_no_contents_fails_the_build(said_of_faults: str) -> None:
    assert re.search(r"alone\.md: WARNING: document isn't included in any toctree", said_of_faults)
