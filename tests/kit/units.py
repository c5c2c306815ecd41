"""systemd's unit files as tests read them, and its tools where they are installed."""

import re
import shutil

import pytest

from tests.kit.checkout import ROOT

FOLDER = ROOT / "systemd"
UNIT = (FOLDER / "naupliad.service").read_text()
EXPOSURE = 20  # tenths: systemd calls up to 2.0 well kept in


def tool(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        pytest.skip(f"no {name} here")
    return found


def settings(key: str) -> list[str]:
    return re.findall(rf"^{key}=(.*)$", UNIT, re.MULTILINE)
