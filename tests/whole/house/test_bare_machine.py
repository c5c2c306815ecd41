"""Tests see nothing of the machine they run on: no daemon at work there, no station file, no probe."""

from pathlib import Path

import pytest

from tests.kit.command_line import begin, ended, naupliad


def test_a_command_that_is_not_told_where_to_look_finds_nothing_of_this_machine(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    for said in (naupliad("now"), ended(begin("now", folder=tmp_path))):
        assert said.code == 2
        assert str(tmp_path_factory.getbasetemp()) in said.err
    said = naupliad("probes")
    assert "There is no station file" in said.out
    assert "no probe is attached that the kernel shows" in said.err
