"""The guard over what is poured reads what letters ask for: in the deed itself, or in a row of a table."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from reports.letters.salinity import salinity_letter
from reports.letters.water import water_letter
from reports.records import BrineDue, LetterText, Range
from tests.kit import news_samples as news
from tests.kit.invariants.letter import Letter
from tests.kit.invariants.pours import pours
from tests.kit.report_samples import away, here, water
from tests.kit.station import probe, station
from tests.kit.station import vessel as vessel_table

NAMES = ("tray-a", "jar", "b", "cup-1", "cup-2", "cup-3")
STATION = station(probe("water"), *(vessel_table(name, "water", count=1) for name in NAMES))
JAR = {"vessel": "jar", "count": 1}
LOW = {"fill_ml": 52.0, "loss_ml": Range(47.0, 52.0, 58.0)}


def read(letter: LetterText, about: Sequence[str]) -> dict[str, tuple[float, bool]]:
    """What the guard reads: mL of plain water by vessel, and whether it is to stop at the mark."""
    named = [one for one in STATION.vessels if one.id in about]
    record: Any = SimpleNamespace(
        station=STATION, vessels_about=lambda _: named, vessel=lambda _: None, belief=lambda *_: None
    )
    sent = Letter(1, letter.kind, letter.subject, 0, 0, tuple(about), letter.text)
    return {pour.vessel.id: (pour.ml, pour.to_mark) for pour in pours(record, sent)}


@pytest.mark.parametrize("setting", [here(), away()], ids=["here", "away"])
@pytest.mark.parametrize(
    ("write", "found"),
    [
        (lambda s: water_letter(s, [water()]), {"tray-a": (34.0, True)}),
        (
            lambda s: water_letter(s, [water(vessel=f"cup-{n}", count=1) for n in (1, 2, 3)]),
            {"cup-1": (34.0, True), "cup-2": (34.0, True), "cup-3": (34.0, True)},
        ),
        (
            lambda s: water_letter(s, [water(), water(**JAR, fill_ml=325.0)]),
            {"tray-a": (34.0, True), "jar": (325.0, True)},
        ),
        (
            lambda s: water_letter(s, [water(), water(vessel="b", fill_ml=0.0, brine=BrineDue(12.0, 28.0))]),
            {"tray-a": (34.0, True)},
        ),
        (lambda s: water_letter(s, [water(fill_ml=0.0)]), {}),
        (lambda s: salinity_letter(s, [news.salty(**LOW)]), {"tray-a": (52.0, True)}),
        (
            lambda s: salinity_letter(s, [news.salty(**LOW), news.salty(**JAR, **{**LOW, "fill_ml": 60.0})]),
            {"tray-a": (52.0, True), "jar": (60.0, True)},
        ),
        (lambda s: salinity_letter(s, [news.salty()]), {}),  # some is taken out first
        (lambda s: salinity_letter(s, [news.salty(), news.salty(**JAR, mark_ml=900.0)]), {}),
        (lambda s: salinity_letter(s, [replace(news.fresh(), vessel="b")]), {}),  # brine
    ],
)
def test_what_a_letter_asks_to_pour_is_read(
    write: Callable[[Any], LetterText], found: dict[str, tuple[float, bool]], setting: Any
) -> None:
    assert read(write(setting), list(found) or NAMES) == found
