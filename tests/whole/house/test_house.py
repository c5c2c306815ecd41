"""The house keeps its directions: who may import whom (design: sensors and reports are leaves)."""

import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import daemon
import reports
import sensors
from tests.kit.checkout import ROOT


def test_imports_run_in_one_direction() -> None:
    done = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_packages_imported_are_ours_and_no_others_of_those_names() -> None:
    for package in (daemon, sensors, reports):
        assert Path(package.__file__ or "").parent.parent == ROOT


def test_no_test_imports_another_and_no_folder_of_tests_shadows_a_package() -> None:
    tests = ROOT / "tests"
    for path in tests.rglob("*.py"):
        assert not re.search(r"^\s*(from|import) tests\.(unit|whole)\b", path.read_text("utf-8"), re.M), path
    assert [*tests.rglob("__init__.py")] == []
    assert {path.name for path in tests.iterdir()} & {"daemon", "sensors", "reports"} == set()


def test_the_daemon_loads_neither_numpy_nor_matplotlib() -> None:
    code = (
        "import sqlite3, sys; from daemon import playing, cli; from daemon.running import run;"
        "from daemon.store import schema;"
        "[cli.naupliad.get_command(None, name) for name in cli.naupliad.list_commands(None)];"
        "schema.migrate(sqlite3.connect(':memory:', isolation_level=None));"
        "print(sorted({'numpy', 'scipy', 'pandas', 'matplotlib', 'PIL'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_seconds_of_an_hour_and_of_a_day_stand_once() -> None:
    again = re.compile(r"^_?(MINUTE|HOUR|DAY|WEEK)_S(: \w+)? = |^\w+ = .*\b(3_?600|86_?400)$", re.MULTILINE)
    apart = (ROOT / "daemon" / "seconds.py", ROOT / "daemon" / "science")  # science imports nothing of ours
    ours = [path for path in (ROOT / "daemon").rglob("*.py") if not any(map(path.is_relative_to, apart))]
    assert [str(path) for path in ours if again.search(path.read_text())] == []


def test_no_two_classes_bear_one_name() -> None:
    rooms = [path for room in ("daemon", "sensors", "reports") for path in (ROOT / room).rglob("*.py")]
    names = [
        name for path in rooms for name in re.findall(r"^class (\w+)", path.read_text("utf-8"), re.MULTILINE)
    ]
    assert sorted(name for name, count in Counter(names).items() if count > 1) == []
