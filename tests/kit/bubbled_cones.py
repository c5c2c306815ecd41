"""Cones of the rehearsals' physics with a heater and air, filled by day, and what is believed of them."""

import random
from dataclasses import dataclass

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.estimates.vessel import VesselBelief
from daemon.play.world.air import saturated_pa, vapour_kg_per_m3
from daemon.play.world.cup import Cup, CupPhysics, CupSurroundings
from daemon.play.world.random_draws import RandomDraws
from tests.kit.station import tray

START = 1_799_625_600  # Monday 2027-01-11 00:00 UTC
HOUR, DAY, STEP_S = 3600, 86_400, 600
MARK_ML, SURFACE_CM2 = 1000.0, 95.0


@dataclass(frozen=True, slots=True)
class Asked:
    """The loss as believed and as it is, mL; after how many fillings."""

    fillings: int
    believed: Estimate
    truth_ml: float

    @property
    def held(self) -> bool:
        """Whether the range holds the truth."""
        return self.believed.p10 <= self.truth_ml <= self.believed.p90


def bubbled_week(
    seed: int, *, kind: str = "cone", given: bool = True, flow: float | None = None, fills: bool = True
) -> list[Asked]:
    """Five days, asked every six hours; filled to the mark each noon from the second on.

    Flows are 0.3 to 2 L/min, bubbles leave 70 to 100 % saturated; surface and room are drawn too.
    What is given of the flow is up to a quarter off.
    """
    rng = random.Random(f"cone {seed}")
    flow = rng.uniform(0.3, 2.0) if flow is None else flow
    physics = CupPhysics(
        evaporation_factor=rng.uniform(0.7, 1.5),
        sides_w_per_k=0.3,
        glass_j_per_k=250,
        heater_w=25,
        heater_c=rng.uniform(25.0, 28.0),
        air_l_per_min=flow,
        air_saturates=rng.uniform(0.7, 1.0),
    )
    room_c, room_rh = rng.uniform(17.0, 23.0), rng.uniform(0.3, 0.55)
    told = round(flow * rng.uniform(0.8, 1.25), 1) if given else None
    vessel = tray(
        count=1,
        kind=kind,
        mark_ml=MARK_ML,
        surface_cm2=SURFACE_CM2,
        low_ml=250.0,
        brim_ml=80.0,
        rim_above_water_cm=1.2,
        air_l_per_min=told,
    )
    belief = VesselBelief(vessel, STEP_S)
    cup = Cup(physics, SURFACE_CM2, MARK_ML + 80.0, MARK_ML, RandomDraws(seed, "cone"))
    cup.pour(MARK_ML + rng.gauss(0.0, 7.6), 25.0, 21.0)
    belief.feed_deed(Deed(START, "cup", "set", 1.0, {"salt_g_per_l": 25.0}))
    around = CupSurroundings(room_c, vapour_kg_per_m3(room_rh * saturated_pa(room_c), room_c), 0.04, 0.0, 0.0)
    found: list[Asked] = []
    fillings = 0
    for at in range(START, START + 5 * DAY, STEP_S):
        belief.feed_reading(at, "water_c", round(cup.water_c * 16.0) / 16.0)
        belief.feed_reading(at, "room_c", room_c)
        if at % (6 * HOUR) == 0 and at >= START + 12 * HOUR:
            found.append(Asked(fillings, belief.estimates(at)["loss_ml"], cup.loss_ml))
        if fills and at % DAY == 12 * HOUR and at > START + DAY:
            poured = cup.loss_ml + rng.gauss(0.0, 7.6)
            cup.pour(poured, 0.0, 21.0)
            belief.feed_deed(Deed(at, "cup", "top-up", round(poured), {"to": "mark"}))
            fillings += 1
        for _ in range(STEP_S // 60):
            cup.step(60, around)
    return found
