"""What the bench lays into its emulated machine, looked at without one."""

import subprocess
import sys
from pathlib import Path

import pytest

from daemon.config import parse_station
from tests.kit.checkout import ROOT

INSIDE = ROOT / "tests" / "bench" / "booted" / "inside"


def with_first_line(words: str) -> list[Path]:
    return [path for path in sorted(INSIDE.iterdir()) if path.read_text().startswith(words)]


def test_its_station_is_one_and_its_probes_are_on_the_simulated_bus() -> None:
    station = parse_station((INSIDE / "station.toml").read_text(), "station.toml")
    source = (INSIDE.parent / "trial_w1.c").read_text()
    assert "{ 0x28, 0x10 + probe, 0x5f, 0x79, 0xa2, 0x16, 0x03, 0 }" in source
    addresses = [plan.keys["address"] for plan in station.probes]
    # The kernel writes a ROM's serial number with its last byte first (drivers/w1/w1.c).
    assert addresses == ["28-0316a2795f10", "28-0316a2795f11"]


@pytest.mark.parametrize("script", [*with_first_line("#!/bin/sh"), INSIDE / "furnish"], ids=lambda p: p.name)
def test_its_shell_scripts_can_be_read_by_a_shell(script: Path) -> None:
    assert subprocess.run(["sh", "-n", script], check=False).returncode == 0


@pytest.mark.parametrize("script", with_first_line("#!/usr/bin/python3"), ids=lambda p: p.name)
def test_its_python_scripts_can_be_read_by_python(script: Path) -> None:
    compile(script.read_text(), script.name, "exec")


def test_it_says_in_its_help_what_it_needs() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.booted", "--help"], cwd=ROOT, capture_output=True, check=False
    )
    assert done.returncode == 0
