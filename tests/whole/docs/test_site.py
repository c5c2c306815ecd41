"""The site made of docs/: every link leads somewhere, the bytes are the same, nothing comes from outside."""

import os
import re
import shutil
import subprocess
import sys
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.kit.checkout import DOCS, ROOT

# A name space is written as an address and is only a name (https://www.w3.org/TR/xml-names/, section 3).
OUTSIDE = re.compile(r"(?:https?:)?//(?!www\.w3\.org/\d{4}/)[\w.-]+\.\w+")
IN_QUOTES = re.compile(rf"[\"'`(]\s*({OUTSIDE.pattern})")


def build(docs: Path, into: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Build a folder's site into `into/html` as the gate does, in a process of its own."""
    line = [sys.executable, "-m", "sphinx", "-M", "html", str(docs), str(into)]
    line += ["--quiet", "--nitpicky", "--fail-on-warning", "--keep-going"]
    return subprocess.run(line, capture_output=True, text=True, check=False, env=os.environ | environment)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    into = tmp_path_factory.mktemp("site")
    ran = build(DOCS, into, SOURCE_DATE_EPOCH="1800000000")
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


# Reproducible -------------------------------------------------------------------------------------------


def files(folder: Path) -> dict[str, bytes]:
    return {str(f.relative_to(folder)): f.read_bytes() for f in folder.rglob("*") if f.is_file()}


@pytest.mark.long
def test_the_site_is_the_same_bytes_wherever_and_whenever_it_is_built(site: Path, tmp_path: Path) -> None:
    """Sphinx takes its dates from SOURCE_DATE_EPOCH (https://reproducible-builds.org/specs/source-date-epoch/)."""
    docs = tmp_path / "elsewhere" / "pages"
    shutil.copytree(DOCS, docs)
    assert build(docs, tmp_path, SOURCE_DATE_EPOCH="1000000000", PYTHONHASHSEED="7").returncode == 0
    first, again = files(site), files(tmp_path / "html")
    assert first.keys() == again.keys()
    assert [name for name in first if first[name] != again[name]] == []


# Nothing from outside -----------------------------------------------------------------------------------


class Fetched(HTMLParser):
    """The outside addresses that a browser fetches for a page by itself: all but links that people follow."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.addresses: list[str] = []
        self._inside = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._inside = tag
        if tag != "a":
            self.addresses += [found for _, value in attrs for found in OUTSIDE.findall(value or "")]

    def handle_data(self, data: str) -> None:
        if self._inside in ("script", "style"):
            self.addresses += IN_QUOTES.findall(data)

    def handle_endtag(self, tag: str) -> None:
        self._inside = ""


def fetched(name: str, text: str) -> list[str]:
    return Fetched(text).addresses if name.endswith(".html") else IN_QUOTES.findall(text)


def test_no_page_style_or_script_loads_from_outside(site: Path) -> None:
    looked_at = [file for file in site.rglob("*") if file.suffix in (".html", ".css", ".js")]
    assert {".html", ".css", ".js"} == {file.suffix for file in looked_at}
    found = {str(file.relative_to(site)): fetched(file.name, file.read_text("utf-8")) for file in looked_at}
    assert {name: addresses for name, addresses in found.items() if addresses} == {}


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.html", '<script src="https://cdn.example/a.js"></script>'),
        ("a.html", '<link rel="stylesheet" href="//fonts.example/css">'),
        ("a.html", '<img alt="" srcset="a.png 1x, http://pictures.example/b.png 2x">'),
        ("a.html", '<p style="background: url(https://pictures.example/b.png)">'),
        ("a.html", "<style>@import 'https://fonts.example/css';</style>"),
        ("a.html", "<script>fetch('https://counts.example/')</script>"),
        ("a.css", "@font-face { src: url( https://fonts.example/a.woff2 ) }"),
        ("a.css", '@import "//fonts.example/css";'),
        ("a.js", "import(`https://cdn.example/a.mjs`)"),
    ],
)
def test_what_loads_from_outside_would_be_noticed(name: str, text: str) -> None:
    assert len(fetched(name, text)) == 1


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("a.html", '<a href="https://www.example.org/">read more</a>'),
        ("a.html", '<p>see "https://www.example.org/"</p>'),
        ("a.html", '<svg xmlns="http://www.w3.org/2000/svg"></svg>'),
        ("a.html", '<script src="_static/a.js?v=1"></script>'),
        ("a.css", "a { background: url(\"data:image/svg+xml,<svg xmlns='http://www.w3.org/2000/svg'>\") }"),
        ("a.js", "// see https://www.example.org/"),
    ],
)
def test_a_link_or_a_name_loads_nothing(name: str, text: str) -> None:
    assert fetched(name, text) == []
