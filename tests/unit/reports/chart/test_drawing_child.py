"""One child for many charts: what it draws, and that a chart it fails at costs no other chart."""

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from reports.chart.child_process import DrawingError
from reports.chart.drawing_child import DrawingChild
from reports.chart.night_chart import draw_night
from tests.kit.report_samples import night, vessel

# Answers each chart with its own process id where the picture would be.
SIGNS = (
    "import json, os, sys\n"
    "while line := sys.stdin.readline():\n"
    "    sys.stdin.readline()\n"
    "    open(json.loads(line), 'a').write(f'{os.getpid()}\\n')\n"
    "    print(json.dumps(''), flush=True)\n"
)
# It waits for something that never comes; nobody sleeps.
HANGS = "import os; end, _ = os.pipe(); os.read(end, 1)"


@contextmanager
def drawing(program: str | None = None, charts: int = 20) -> Iterator[DrawingChild]:
    child = (
        DrawingChild(charts=charts)
        if program is None
        else DrawingChild(child=(sys.executable, "-c", program), charts=charts)
    )
    try:
        yield child
    finally:
        child.close()


def test_one_child_draws_chart_after_chart_as_one_alone_would(tmp_path: Path) -> None:
    nights = [night(), night(vessel("other"))]
    with drawing() as child:
        for n, record in enumerate(nights):
            child.draw(record, tmp_path / f"{n}.png")
    assert [(tmp_path / f"{n}.png").read_bytes() for n in (0, 1)] == [draw_night(one) for one in nights]


def test_a_chart_that_is_not_written_is_said_and_the_next_is_drawn(tmp_path: Path) -> None:
    with drawing() as child:
        with pytest.raises(DrawingError, match="not written"):
            child.draw(night(), tmp_path / "gone" / "night.png")
        child.draw(night(), tmp_path / "night.png")
    assert [path.name for path in tmp_path.iterdir()] == ["night.png"]


def signed(path: Path, count: int, charts: int) -> list[int]:
    with drawing(SIGNS, charts) as child:
        for _ in range(count):
            child.draw(night(), path)
    return [int(line) for line in path.read_text().split()]


def test_a_child_has_a_successor_after_so_many_charts(tmp_path: Path) -> None:
    first, second, third = signed(tmp_path / "signs", 3, charts=2)
    assert first == second != third


def test_no_child_is_left_when_the_play_is_over(tmp_path: Path) -> None:
    (child,) = signed(tmp_path / "signs", 1, charts=20)
    with pytest.raises(ProcessLookupError):
        os.kill(child, 0)


@pytest.mark.parametrize(
    ("program", "said"),
    [
        ("import sys; sys.exit('no ink left')", "the child ended with 1: no ink left"),
        ("import os, signal; os.kill(os.getpid(), signal.SIGXCPU)", "the child was ended by SIGXCPU"),
    ],
)
def test_a_child_that_ends_gives_its_reason(tmp_path: Path, program: str, said: str) -> None:
    with drawing(program) as child, pytest.raises(DrawingError) as caught:
        child.draw(night(), tmp_path / "night.png")
    assert caught.value.reason == said


def test_a_child_that_hangs_is_ended(tmp_path: Path) -> None:
    with drawing(HANGS) as child, pytest.raises(DrawingError, match=r"took longer than 0\.2 s and was ended"):
        child.draw(night(), tmp_path / "night.png", timeout_s=0.2)


def test_a_child_that_cannot_start_gives_its_reason(tmp_path: Path) -> None:
    child = DrawingChild(child=(str(tmp_path / "nothing here"),))
    with pytest.raises(DrawingError, match="did not start"):
        child.draw(night(), tmp_path / "night.png")


def test_a_child_that_was_killed_between_two_charts_costs_one(tmp_path: Path) -> None:
    signs = tmp_path / "signs"
    with drawing(SIGNS) as child:
        child.draw(night(), signs)
        os.kill(int(signs.read_text()), signal.SIGKILL)
        with pytest.raises(DrawingError, match="SIGKILL"):
            child.draw(night(), signs)
        child.draw(night(), signs)
    assert len(signs.read_text().split()) == 2
