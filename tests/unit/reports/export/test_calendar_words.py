"""What an entry of a calendar says, by itself."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from reports.export.calendar_words import LowMark, filling_due, half_hatched, letter_due
from reports.records import BrineDue, Setting, TimeRange, VesselNight
from tests.kit.vessel_at_stage import Shelf


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shelf]:
    made = Shelf(tmp_path_factory.mktemp("shelf"))
    yield made
    made.desks.store.close()


def seen(shelf: Shelf, name: str) -> tuple[Setting, VesselNight, LowMark]:
    setting, record = shelf.record(name)
    vessel = record.vessels[0]
    assert vessel.low_mark_at is not None
    return setting, vessel, LowMark(vessel, vessel.low_mark_at)


def test_where_the_clock_may_be_wrong_an_entry_says_so(shelf: Shelf) -> None:
    setting, _, low = seen(shelf, "tray-growing")
    doubt = "The station's clock may be wrong"
    assert doubt not in filling_due(setting, [low]).text
    assert doubt in filling_due(replace(setting, clock_sure=False), [low]).text


def test_of_several_each_has_its_line_also_where_nothing_is_due_yet(shelf: Shelf) -> None:
    setting, vessel, low = seen(shelf, "tray-growing")
    full = replace(vessel, vessel="other", fill_ml=0.0)
    text = filling_due(setting, [low, LowMark(full, low.at)]).text
    assert "\ntray-growing (24 cups): 28 mL a cup\n" in text
    assert "\nother (24 cups): nothing\n" in text


def test_brine_comes_with_how_it_is_mixed(shelf: Shelf) -> None:
    setting, vessel, low = seen(shelf, "tray-growing")
    brine = replace(vessel, fill_ml=0.0, brine=BrineDue(28.0, 28.0))
    entry = filling_due(setting, [replace(low, vessel=brine)])
    assert entry.title == "Pour brine into tray-growing (24 cups)"
    assert "pour brine, not plain water" in entry.text.lower()
    assert "g of your salt stirred into" in entry.text


def test_what_is_not_known_yet_is_not_given_a_moment(shelf: Shelf) -> None:
    setting, vessel, _ = seen(shelf, "tray-hatching")
    half = vessel.hatch_t50
    assert half is not None
    text = half_hatched(setting, [vessel], TimeRange(half.p10, half.p50, None)).text
    assert "how late it may be is not known yet" in text
    assert "between" not in text


def test_a_letter_that_comes_only_if_a_batch_runs_says_so(shelf: Shelf) -> None:
    setting, _, _ = seen(shelf, "tray-hatching")
    assert letter_due(replace(setting, next_letter_if_batch=True), "leave").text == (
        "It comes if a batch runs then."
    )
    assert letter_due(setting, "nightly").text == "If none comes, the station or its post is off."
