"""What the tests of letters begin with."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.kit.desks import Desks, moment, tray_station


@pytest.fixture
def begin(tmp_path: Path) -> Callable[..., Desks]:
    """A station that begins on a January day, with a batch set."""

    def made(day: int, clock: str, **told: Any) -> Desks:
        desks = Desks(tray_station(**told), tmp_path, moment(day, clock))
        desks.tell("set", 0.05)
        return desks

    return made
