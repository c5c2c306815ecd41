"""A cup of the rehearsals, whose evaporation is not the estimator's, with somebody who fills it clumsily.

Heat and mass go by the boundary-layer analogy of `daemon.play`, with a rim law of its own; fillings by eye
are 0.08 cm off (handbook) and amounts 2 %, as `daemon.play.world.person` has them.
"""

import random
from dataclasses import replace

from daemon.care.deed import Deed
from daemon.estimates.vessel import VesselBelief
from daemon.play.world.air import saturated_pa, vapour_kg_per_m3
from daemon.play.world.cup import Cup, CupPhysics, CupSurroundings
from daemon.play.world.random_draws import RandomDraws
from tests.kit.station import tray

START = 1_799_625_600  # Monday 2027-01-11 00:00 UTC
HOUR, DAY, STEP = 3600, 86_400, 600
CUP = tray(count=1, rim_above_water_cm=1.2)


class ForeignCup:
    """A cup in a room of 21 °C and 45 %, lit from 18:00 to 07:00, and the belief that follows it."""

    def __init__(
        self, seed: int, *, factor: float = 1.0, room_seen: bool = True, float_ml: float | None = None
    ) -> None:
        self._hand = random.Random(seed)
        self.vessel = replace(CUP, float_ml=float_ml)
        physics = CupPhysics(evaporation_factor=factor)
        self.cup = Cup(
            physics, CUP.surface_cm2, CUP.mark_ml + CUP.brim_ml, CUP.mark_ml, RandomDraws(seed, "cup")
        )
        self.belief, self.at, self.draught_m_s = VesselBelief(self.vessel, STEP), START, 0.04
        self._room_seen = room_seen
        self.cup.pour(CUP.mark_ml + self._eye_ml(), 6.2, 21.0)
        self.tell("set", 0.05, salt_g_per_l=25.0, volume_ml=250.0)

    def _eye_ml(self) -> float:
        return self._hand.gauss(0.0, 0.08 * CUP.surface_cm2)

    def times_faster(self, factor: float) -> None:
        """A fan, a lamp moved, another shelf."""
        now = self.cup.physics
        self.cup.physics = replace(now, evaporation_factor=now.evaporation_factor * factor)

    def tell(self, deed: str, amount: float | None = None, **detail: float | str) -> None:
        """Write into the care log."""
        self.belief.feed_deed(Deed(self.at, "cup", deed, amount, detail))

    def wait(self, hours: float) -> None:
        """Let time pass; every ten minutes a reading."""
        vapour = vapour_kg_per_m3(0.45 * saturated_pa(21.0), 21.0)
        for _ in range(round(hours * HOUR / STEP)):
            for _ in range(STEP // 60):
                self.at += 60
                clock = self.at % DAY / HOUR
                lamp = 1.0 if clock >= 18.0 or clock < 7.0 else 0.0
                self.cup.step(60, CupSurroundings(21.0, vapour, self.draught_m_s, lamp, 0.0))
            self._read()

    def _read(self) -> None:
        self.belief.feed_reading(self.at, "water_c", round(self.cup.water_c * 16) / 16)
        if self._room_seen:
            self.belief.feed_reading(self.at, "room_c", 21.0)
            self.belief.feed_reading(self.at, "room_rh_pct", 45.0)
        if self.vessel.float_ml is not None:
            self.belief.feed_reading(self.at, "float_low", float(self.cup.loss_ml > self.vessel.float_ml))

    def fill(self, *, told: float | None = 1.0) -> None:
        """Fill to the mark; tell it, times `told`, or not at all."""
        poured_ml = max(0.0, self.cup.loss_ml + self._eye_ml())
        self.cup.pour(poured_ml, 0.0, 21.0)
        if told is not None:
            self.tell("top-up", float(round(poured_ml * told * self._hand.gauss(1.0, 0.02))), to="mark")

    def true_pace(self) -> float:
        """What a day would take with the water at the mark, mL: played on a twin that nobody reads."""
        vapour = vapour_kg_per_m3(0.45 * saturated_pa(21.0), 21.0)
        twin = Cup(self.cup.physics, CUP.surface_cm2, 300.0, CUP.mark_ml, RandomDraws(0, "twin"))
        twin.pour(CUP.mark_ml, 6.2, self.cup.water_c)
        for at in range(self.at, self.at + DAY, 60):
            clock = at % DAY / HOUR
            lamp = 1.0 if clock >= 18.0 or clock < 7.0 else 0.0
            twin.step(60, CupSurroundings(21.0, vapour, self.draught_m_s, lamp, 0.0))
        return twin.loss_ml
