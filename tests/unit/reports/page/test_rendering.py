"""Templates as the running page has them."""

import os
from pathlib import Path

import pytest

from reports.page import rendering


def test_a_template_that_was_loaded_stays_as_it_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rendering, "TEMPLATES", tmp_path)
    file = tmp_path / "view.html"
    file.write_text("{{ cups }} cups")
    made = rendering.environment.__wrapped__()
    assert made.get_template("view.html").render(cups=3) == "3 cups"
    file.write_text("{{ cups }} cups, {{ jars }} jars")  # what an update brings, with a place of its own
    os.utime(file, (2e9, 2e9))
    assert made.get_template("view.html").render(cups=3) == "3 cups"
