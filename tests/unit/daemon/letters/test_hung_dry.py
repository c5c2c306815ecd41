"""A probe in the air of an emptied vessel is no gap in what is known."""

from pathlib import Path

import pytest

from daemon.care.deed import Deed
from daemon.letters.hung_dry import HungDry, hung_dry
from daemon.station import ProbePlan
from daemon.store import readings
from daemon.store.file import WritingStore
from sensors.reading import Quality, Reading
from tests.kit.station import station

PROBE = station().probe("cup-water")
SET = Deed(0, "cup", "set", 0.05, {"salt_g_per_l": 25.0})


def of(folder: Path, qualities: dict[int, Quality], *deeds: Deed) -> HungDry:
    store = WritingStore(folder, durable=False)
    with store.transaction() as connection:
        readings.add(connection, [Reading(at, "cup-water", 20.0, found) for at, found in qualities.items()])
    assert isinstance(PROBE, ProbePlan)
    found = hung_dry(store.connection, PROBE, deeds, (0, 1000))
    store.close()
    return found


AIR, GOOD = Quality.IN_AIR, Quality.GOOD
ANEW = (Deed(50, "cup", "end"), Deed(250, "cup", "set"))


@pytest.mark.parametrize(
    ("qualities", "deeds", "found"),
    [
        ({100: GOOD, 200: AIR, 300: AIR}, (SET, Deed(150, "cup", "end")), HungDry(2, True)),
        ({100: AIR, 200: AIR, 300: GOOD}, (SET, Deed(50, "cup", "end")), HungDry(2, False)),
        ({200: AIR, 300: AIR}, (SET,), HungDry()),
        ({200: AIR, 300: AIR}, (), HungDry()),
        ({200: AIR, 300: AIR, 400: GOOD}, ANEW, HungDry(2, False)),
        ({200: AIR, 300: GOOD, 400: AIR}, ANEW, HungDry(1, False)),
        ({200: GOOD, 300: AIR}, ANEW, HungDry()),
    ],
)
def test_only_what_was_read_in_the_air_after_an_end_was_read_dry(
    tmp_path: Path, qualities: dict[int, Quality], deeds: tuple[Deed, ...], found: HungDry
) -> None:
    assert of(tmp_path, qualities, *deeds) == found


def test_a_vessel_without_a_probe_of_water_has_none_that_hangs_dry(tmp_path: Path) -> None:
    store = WritingStore(tmp_path, durable=False)
    assert hung_dry(store.connection, None, (SET,), (0, 1000)) == HungDry()
    store.close()
