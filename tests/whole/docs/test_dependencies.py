"""What comes along with an installation: named on its page, under a licence that asks nothing of a school."""

import json
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.kit.checkout import REFERENCE, ROOT
from tests.kit.pages import rows, words

AUDIT = ROOT / ".ci" / "audit.py"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
# The extras people install; the others are for those who change the program.
EXTRAS = ("pi", "mqtt", "gather")
# SPDX's names, and what stands in a package's metadata for each: packages state their licence in four ways.
STATED = {
    "MIT": ("MIT",),
    "BSD-3-Clause": ("BSD",),
    "Apache-2.0": ("Apache",),
    "PSF-2.0": ("Python Software Foundation", "PSF"),
    "EPL-2.0": ("EPL-2.0", "Eclipse"),
    "LGPL-3.0-only": ("LGPL-3.0-only",),
    "ZPL-2.1": ("ZPL 2.1",),
    "Public Domain": ("Public Domain", "Unlicense"),
    "Unlicense": ("Unlicense", "unlicense"),
}


def listed() -> dict[str, str]:
    return {words(row[0])[0]: row[2] for row in rows((REFERENCE / "dependencies.md").read_text("utf-8"))}


def direct() -> list[Requirement]:
    extras = [line for extra in EXTRAS for line in PROJECT["optional-dependencies"][extra]]
    return [Requirement(line) for line in [*PROJECT["dependencies"], *extras]]


def brought(requirement: Requirement, seen: set[str]) -> Iterator[Distribution]:
    """Everything that comes with a requirement here, itself first; what is not installed brings nothing."""
    name = canonicalize_name(requirement.name)
    if name in seen:
        return
    seen.add(name)
    try:
        found = distribution(name)
    except PackageNotFoundError:
        return
    yield found
    for line in found.requires or []:
        further = Requirement(line)
        extras = ("", *requirement.extras)
        if further.marker is None or any(further.marker.evaluate({"extra": extra}) for extra in extras):
            yield from brought(further, seen)


def installed() -> list[Distribution]:
    seen: set[str] = set()
    return [found for requirement in direct() for found in brought(requirement, seen)]


def stated(found: Distribution) -> str:
    metadata = found.metadata
    classifiers = [line for line in metadata.get_all("Classifier") or [] if line.startswith("License")]
    return " ".join([metadata["License-Expression"] or "", metadata["License"] or "", *classifiers])


def name_of(found: Distribution) -> str:
    return canonicalize_name(found.metadata["Name"])


@pytest.mark.parametrize("found", installed(), ids=name_of)
def test_every_package_that_comes_along_is_listed_with_the_licence_it_states(found: Distribution) -> None:
    licence = listed().get(name_of(found))
    assert licence, f"{name_of(found)} comes along and does not stand in docs/reference/dependencies.md"
    assert any(sign in stated(found) for sign in STATED[licence]), f"{licence} is not what it states"


def test_everything_we_ask_for_ourselves_is_listed() -> None:
    assert {canonicalize_name(requirement.name) for requirement in direct()} <= set(listed())
    assert len(installed()) > len(PROJECT["dependencies"])  # the walk went beyond our own list


def audited(report: object) -> subprocess.CompletedProcess[str]:
    told = json.dumps(report)
    return subprocess.run([sys.executable, AUDIT], input=told, capture_output=True, text=True, check=False)


# The form of pip-audit's JSON: https://github.com/pypa/pip-audit (README, "JSON").
CLEAN = {"name": "click", "version": "8.1.0", "vulns": []}
FAULTY = {
    "name": "pillow",
    "version": "9.0.0",
    "vulns": [{"id": "PYSEC-0000-1", "fix_versions": ["9.0.1"], "aliases": [], "description": ""}],
}
UNKNOWN = {"name": "numpy", "skip_reason": "Dependency not found on PyPI and could not be audited"}


def test_a_known_fault_fails_the_audit_and_names_the_release_that_mends_it() -> None:
    ran = audited({"dependencies": [CLEAN, FAULTY, UNKNOWN], "fixes": []})
    assert ran.returncode == 1
    assert "pillow 9.0.0: PYSEC-0000-1, mended in 9.0.1" in ran.stdout
    assert "of 3 packages 2 looked at, 1 not; 1 with a known fault" in ran.stdout


def test_no_known_fault_passes() -> None:
    ran = audited({"dependencies": [CLEAN], "fixes": []})
    assert (ran.returncode, "NOTHING" in ran.stdout) == (0, False)


def test_an_audit_that_could_learn_nothing_says_so() -> None:
    ran = audited({"dependencies": [UNKNOWN], "fixes": []})
    assert (ran.returncode, "NOTHING was checked" in ran.stdout) == (0, True)
    said_nothing = subprocess.run(
        [sys.executable, AUDIT], input="", capture_output=True, text=True, check=False
    )
    assert (said_nothing.returncode, "NOTHING was checked" in said_nothing.stdout) == (0, True)


def test_the_audit_is_part_of_what_a_change_has_to_pass() -> None:
    script = Path(ROOT / ".ci" / "run").read_text("utf-8")
    assert "pip-audit --path" in script
    assert ".ci/audit.py" in script
