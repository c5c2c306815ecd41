"""Cones in `other_physics`, some with a heater, and what is believed of their warmth by the hour."""

from dataclasses import dataclass

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.estimates.vessel import VesselBelief
from tests.kit.other_people import Probes
from tests.kit.other_physics import CONE, DAY, HOUR, MONDAY, NEVER, HeatedCup, Room
from tests.kit.station import tray
from tests.kit.weekends import Shelf

STEP_S = 600
SET_AT = MONDAY + DAY + 11 * HOUR
FAILS_AT = MONDAY + 4 * DAY + 17 * HOUR
ENDS = MONDAY + 7 * DAY + 12 * HOUR
AHEAD_S = 16 * HOUR


@dataclass(frozen=True, slots=True)
class Asked:
    """The coldest of the coming 16 h, as believed at a moment and as it came; and whether by a heater."""

    at: int
    believed: Estimate
    truth_c: float
    water_c: float
    held: bool


def week(
    seed: int,
    *,
    heated: bool = True,
    given: bool = False,
    fails_at: int | None = None,
    room_probe: bool = False,
    kind: str = "cone",
    every_s: int = 2 * HOUR,
) -> list[Asked]:
    """From Tuesday 11:00, when it is set with water from the tap, to the next Monday noon."""
    room, probes = Room(seed, fails=NEVER), Probes(seed)
    cup = HeatedCup(seed, CONE, room, heated=heated, fails_at=fails_at)
    shelf = Shelf(cup.lamp_h)
    vessel = tray(
        count=1,
        kind=kind,
        mark_ml=CONE.mark_ml,
        surface_cm2=CONE.surface_cm2,
        low_ml=150.0,
        lamp=shelf.told(),
        heater_c=round(cup.holds_c) if given else None,
    )
    belief = VesselBelief(vessel, STEP_S, calendar=shelf)
    water_c: list[float] = []
    asked: list[tuple[int, Estimate, bool]] = []
    for at in range(MONDAY + STEP_S, ENDS + 1, STEP_S):
        room.live(at, STEP_S)
        if at == SET_AT:
            cup.water_c = 20.0
            belief.feed_deed(Deed(at, "cup", "set", 1.0, {"salt_g_per_l": 25.0}))
        elif at < SET_AT:
            continue
        cup.live(at, STEP_S)
        if cup.loss_ml > 100.0:
            cup.loss_ml = 0.0
        water_c.append(cup.water_c)
        for what, value in probes.read(at, cup, room).items():
            if room_probe or what == "water_c":
                belief.feed_reading(at, what, value)
        if at % every_s == 0 and at >= SET_AT + 2 * HOUR:
            held = belief._ahead(at)[0]._warmth.heat.held_c is not None
            asked.append((at, belief.coldest_c(at, at + AHEAD_S, at), held))
    return [
        Asked(at, believed, min(water_c[n : n + AHEAD_S // STEP_S + 1]), water_c[n], held)
        for at, believed, held in asked
        if (n := (at - SET_AT) // STEP_S) + AHEAD_S // STEP_S < len(water_c)
    ]
