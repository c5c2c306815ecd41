"""Importing less: what stands in for a module does so no longer than it is meant to."""

import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

from daemon.bare_import import instead, put_off, without_its_package


@pytest.fixture
def package(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A package that says so when it runs, with a module that does not."""
    folder = tmp_path / "loud_package"
    folder.mkdir()
    (folder / "__init__.py").write_text("raise RuntimeError('it ran')\n")
    (folder / "quiet.py").write_text("WORD = 'heard'\n")
    monkeypatch.syspath_prepend(str(tmp_path))
    for name in ("loud_package", "loud_package.quiet"):
        monkeypatch.delitem(sys.modules, name, raising=False)
    return "loud_package"


def test_a_module_that_cannot_be_imported_for_a_while_is_back_afterwards() -> None:
    import colorsys

    with instead({"colorsys": None}), pytest.raises(ImportError):
        __import__("colorsys")
    assert sys.modules["colorsys"] is colorsys


def test_a_stand_in_leaves_nothing_behind() -> None:
    stand_in = ModuleType("no_module_of_that_name")
    with instead({"no_module_of_that_name": stand_in}):
        assert __import__("no_module_of_that_name") is stand_in
    assert "no_module_of_that_name" not in sys.modules


def test_a_package_that_is_not_run_gives_its_modules(package: str) -> None:
    without_its_package(package)
    from loud_package.quiet import WORD  # type: ignore[import-not-found]  # made by this test

    assert WORD == "heard"
    sys.modules.pop("loud_package.quiet")
    sys.modules.pop(package)


def test_a_package_that_is_not_there_is_none() -> None:
    assert without_its_package("no_package_of_that_name") is None


def test_a_module_that_is_put_off_is_read_when_something_of_it_is_asked_for() -> None:
    code = (
        "import sys\n"
        "from daemon.bare_import import instead, put_off\n"
        "with instead({'colorsys': put_off('colorsys')}):\n"
        "    import colorsys\n"
        "    import colorsys\n"  # a second import reads nothing either
        "print('colorsys' in sys.modules, colorsys.rgb_to_hsv(0, 0, 1), 'colorsys' in sys.modules)\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.split("\n")[0] == f"False {(2 / 3, 1.0, 1)} True"


def test_a_module_of_a_package_that_is_put_off_is_found_in_it() -> None:
    code = (
        "import importlib, sys\n"
        "from daemon.bare_import import instead, put_off\n"
        "with instead({'importlib.metadata': put_off('importlib.metadata')}):\n"
        "    import importlib.metadata\n"
        "print('importlib.metadata' in sys.modules, bool(importlib.metadata.version('flask')))\n"
    )
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said.strip() == "False True"


def test_what_is_put_off_has_no_name_that_the_real_one_lacks() -> None:
    with pytest.raises(AttributeError):
        put_off("colorsys").no_such_name  # noqa: B018 - asked for what it raises
