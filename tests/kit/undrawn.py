"""Nights without charts: the child that draws is one that copies a grey point.

A chart costs as much time as a day of played time, and few tests look at one.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from unittest.mock import patch

from reports.chart.child_process import CHILD, draw_in_child
from reports.chart.drawing_child import DrawingChild
from reports.records import NightRecord
from tests.kit.checkout import DATA

_draw_many = DrawingChild.draw


def _one_by_one(_self: DrawingChild, record: NightRecord, out: Path) -> None:
    draw_in_child(record, out)


@contextmanager
def undrawn() -> Iterator[None]:
    """Until it ends, in this process."""
    with _child("cp", str(DATA / "point.png")), patch.object(DrawingChild, "draw", _one_by_one):
        yield


@contextmanager
def drawn() -> Iterator[None]:
    """Within `undrawn`, charts again."""
    with _child(*CHILD), patch.object(DrawingChild, "draw", _draw_many):
        yield


@contextmanager
def _child(*words: str) -> Iterator[None]:
    with patch.dict(draw_in_child.__kwdefaults__, child=words):
        yield
