"""Nights without charts: the child that draws is one that copies a grey point.

A chart costs as much time as a day of played time, and few tests look at one.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from unittest.mock import patch

from reports.chart.child_process import CHILD, draw_in_child
from tests.kit.checkout import DATA


@contextmanager
def undrawn() -> Iterator[None]:
    """Until it ends, in this process."""
    with _child("cp", str(DATA / "point.png")):
        yield


@contextmanager
def drawn() -> Iterator[None]:
    """Within `undrawn`, charts again."""
    with _child(*CHILD):
        yield


@contextmanager
def _child(*words: str) -> Iterator[None]:
    with patch.dict(draw_in_child.__kwdefaults__, child=words):
        yield
