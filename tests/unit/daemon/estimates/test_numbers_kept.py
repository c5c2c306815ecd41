"""What is believed of a vessel holds its thousands of numbers packed: a Pi that watches many has room."""

import gc
import math
from types import FunctionType, MethodType, ModuleType

from daemon.care.deed import Deed
from daemon.estimates.vessel import VesselBelief
from tests.kit.station import tray

BEGAN, HOUR = 1_800_316_800, 3600  # 2027-01-19 00:00 UTC, a Tuesday
MOST = 6000  # measured 3300; while rows were lists, 16 600


def numbers_of_their_own(thing: object) -> int:
    """How many floats can be reached that are objects of their own, 24 bytes each and 8 to point at it."""
    met, todo, count = {id(thing)}, [thing], 0
    while todo:
        one = todo.pop()
        count += type(one) is float
        for other in gc.get_referents(one):
            if id(other) not in met and not isinstance(other, type | ModuleType | FunctionType | MethodType):
                met.add(id(other))
                todo.append(other)
    return count


def test_a_vessel_that_was_asked_keeps_few_numbers_that_are_objects() -> None:
    belief = VesselBelief(tray(), 300)
    for at in range(BEGAN, BEGAN + 9 * 24 * HOUR, 300):
        wave = math.sin(2 * math.pi * at / (24 * HOUR))
        belief.feed_reading(at, "water_c", 24.5 + wave)
        belief.feed_reading(at, "room_c", 21.0 + 1.5 * wave)
        if at == BEGAN + 8 * 24 * HOUR:
            belief.feed_deed(Deed(at, "tray", "set", 0.5, {"lot": "spring", "salt_g_per_l": 25.0}))
            belief.feed_deed(Deed(at, "tray", "top-up", 20.0, {"to": "mark"}))
        if at == BEGAN + 8 * 24 * HOUR + 20 * HOUR:
            belief.feed_deed(Deed(at, "tray", "first-swimmer"))
    belief.estimates(at)
    assert numbers_of_their_own(belief) < MOST
