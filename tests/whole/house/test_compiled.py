"""Modules of tests compiled once in a run: one process at a module, and what it compiled is kept."""

import fcntl
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from tests.kit.command_line import surroundings
from tests.kit.compiled import kept_below, one_at_a_time

MODULE: Any = SimpleNamespace(nodeid="tests/unit/test_one.py")


def test_a_module_is_imported_by_one_process_at_a_time_and_others_meanwhile(tmp_path: Path) -> None:
    with one_at_a_time(MODULE, tmp_path):
        (lock,) = tmp_path.iterdir()
        with lock.open("w") as theirs, pytest.raises(BlockingIOError):
            fcntl.flock(theirs, fcntl.LOCK_EX | fcntl.LOCK_NB)
        with one_at_a_time(SimpleNamespace(nodeid="tests/unit/test_two.py"), tmp_path):  # type: ignore[arg-type]
            assert len([*tmp_path.iterdir()]) == 2
    with lock.open("w") as theirs:
        fcntl.flock(theirs, fcntl.LOCK_EX | fcntl.LOCK_NB)


def test_what_is_compiled_is_kept_where_a_machine_keeps_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    told = kept_below(tmp_path / "kept")
    assert told is not None
    environ = surroundings() | {"PYTHONDONTWRITEBYTECODE": "1"} | told
    subprocess.run([sys.executable, "-c", "import daemon.seconds"], env=environ, check=True)
    assert [path.name.partition(".")[0] for path in (tmp_path / "kept").rglob("seconds.*.pyc")] == ["seconds"]
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path))
    assert kept_below(tmp_path / "kept") is None
