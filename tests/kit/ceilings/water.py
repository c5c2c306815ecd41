"""What could be known of the water at best: a particle filter with the simulated world's own laws. Test-only.

It is given what no program can have: every law and distribution of `other_physics` and `other_people`, the
water's true temperature, past and to come, the room's true air and, with a room probe, its true vapour. It
knows when somebody poured, noted or not. It does not know the cup, the draughts, the jug, the salt, nor how
the evaporation wandered and jumped: those are its particles, weighed by what people told they poured.
"""

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from daemon.estimates.quantile import Estimate
from tests.kit.ceilings.lived import Lived, Numbers
from tests.kit.other_people import FILL_SD_CM
from tests.kit.other_physics import (
    BUOYANT_REFERENCE,
    CONE,
    DAY,
    GAS_AIR,
    GAS_VAPOUR,
    HOUR,
    JUMP_LN_MOST,
    JUMPS_PER_DAY,
    JUMPS_PER_HANDLING,
    MONDAY,
    Cone,
    Size,
    saturated_pa,
)
from tests.kit.weekends import ASKED, HORIZON_S, LEAVES, RETURNS, SIZE

PARTICLES = 1000
STEP_S = 1800
LATER_S = 2 * HOUR  # once nobody asks any more
SUBSTEPS = STEP_S // 600


@dataclass
class Rates:
    """What makes a particle's evaporation, beside its level and salt."""

    ln_factor: Numbers
    buoyant: Numbers
    rim_cm: Numbers
    still_cm: Numbers
    draught_by_day: Numbers
    draught_else: Numbers
    air_l_per_min: Numbers
    saturates: Numbers
    own_pa: Numbers
    people_pa: Numbers
    weather_pa: Numbers

    def ml_per_h(
        self, size: Size, water_c: float, air_c: float, vapour_pa: Numbers, school: bool, loss_ml: Numbers,
        salt_g: Numbers,
    ) -> Numbers:  # fmt: skip
        """As `Cup.evaporation_ml_per_h` and `Cone.evaporation_ml_per_h` have it."""
        molal = 17.11 * salt_g / np.maximum(10.0, size.mark_ml - loss_ml)
        surface_pa = saturated_pa(water_c) * (1.0 - 0.033 * molal)
        lift = _moist(air_c, vapour_pa) - _moist(water_c, surface_pa)
        rising = (np.maximum(0.0, lift) / BUOYANT_REFERENCE) ** 0.25
        depth_cm = np.maximum(0.0, self.rim_cm + loss_ml / size.surface_cm2)
        through = (self.still_cm + self.rim_cm) / (self.still_cm + depth_cm)
        wind = self.draught_by_day if school else self.draught_else
        mm = 0.771 * (1.465 - 0.000732 * 760.0) * (0.44 + 0.0733 * wind)
        mm = mm * (surface_pa - vapour_pa) / 133.322
        mixed = 1.0 - self.buoyant + self.buoyant * rising
        surface = np.exp(self.ln_factor) * mixed * through * mm * size.surface_cm2 / 240.0
        leaving = self.saturates * 0.986 * saturated_pa(water_c) / (water_c + 273.15)
        carried = 1000.0 * np.maximum(0.0, leaving - vapour_pa / (air_c + 273.15)) / GAS_VAPOUR
        return np.asarray(np.maximum(0.0, surface) + 0.06 * self.air_l_per_min * carried)

    def pick(self, places: np.ndarray) -> None:
        """Go on with those particles."""
        for name in vars(self):
            setattr(self, name, getattr(self, name)[places])


def _moist(t_c: float, vapour_pa: Numbers) -> Numbers:
    kelvin = t_c + 273.15
    return (101_325.0 - vapour_pa) / (GAS_AIR * kelvin) + vapour_pa / (GAS_VAPOUR * kelvin)


class WaterFilter:
    """One weekend's particles; `best` says what they believe at every asked moment."""

    def __init__(self, lived: Lived, *, knows_vapour: bool) -> None:
        self._lived, self._knows_vapour = lived, knows_vapour
        self._rng = rng = np.random.default_rng(7)
        n = PARTICLES
        week, cup = lived.week, lived.week.cup
        self._size = CONE if isinstance(cup, Cone) else SIZE
        rim, taken = rng.uniform(0.8, 2.0, n), rng.uniform(0.40, 0.65, n)
        people_pa = rng.uniform(50.0, 350.0, n)
        air, saturates, chance = _air(rng, cup, week.vessel.air_l_per_min)
        self._rates = Rates(
            ln_factor=rng.normal(np.log(0.65), 0.45, n),
            buoyant=rng.uniform(0.2, 0.8, n),
            rim_cm=rim,
            still_cm=rim * (1.0 - taken) / taken,
            draught_by_day=3.6 * rng.uniform(0.05, 0.25, n),
            draught_else=3.6 * rng.uniform(0.01, 0.08, n),
            air_l_per_min=air,
            saturates=saturates,
            own_pa=1050.0 + rng.normal(0.0, 240.0, n) - 0.3 * people_pa,
            people_pa=people_pa,
            weather_pa=rng.normal(0.0, 180.0, n),
        )
        self._jug_sd = rng.uniform(0.02, 0.05, n)
        self._jug_off = rng.normal(0.0, 0.7 * self._jug_sd)
        self._loss, self._salt_g, self._gone = np.zeros(n), np.full(n, 6.3), np.zeros(n)
        self._breath = 0.0
        self._rounds_ml = week._people._told_to_ml  # what is told shows it
        if chance is not None:
            self._resample(chance)

    def best(self) -> dict[int, dict[str, Estimate]]:
        """What is believed of the water, by the moment asked and the quantity."""
        lived, week = self._lived, self._lived.week
        sets = [act.at for act in lived.acts if act.what == "set"]
        acts = dict.fromkeys(sets, "set") | dict.fromkeys(lived.poured_at, "top-up")
        since_day = {max(at - DAY, sets[-1]) for at in ASKED}
        gone_then: dict[int, Numbers] = {}
        found: dict[int, dict[str, Estimate]] = {}
        step, last, low_at = 0, max(acts), np.full(PARTICLES, np.inf)
        while step + SUBSTEPS <= len(lived.times):
            substeps = SUBSTEPS if lived.times[step] < RETURNS else LATER_S // 600
            part = slice(step, step + substeps)
            step += substeps
            at = int(lived.times[min(step, len(lived.times)) - 1])
            before = self._loss
            self._evaporate(part, at, substeps)
            if at in acts:
                self._act(acts[at], at)
            elif at > last:
                crossed = (self._loss >= week.low_ml) & np.isinf(low_at)
                share = (week.low_ml - before) / np.maximum(1e-9, self._loss - before)
                low_at = np.where(crossed, at - (1.0 - share) * substeps * 600, low_at)
            if at in since_day:
                gone_then[at] = self._gone.copy()
            if at in ASKED:
                days = (at - max(at - DAY, sets[-1])) / DAY
                lost = (self._gone - gone_then[max(at - DAY, sets[-1])]) / days
                found[at] = {
                    "loss_ml": quantiles(self._loss),
                    "salinity_g_per_kg": quantiles(self._salinity()),
                    "loss_ml_per_day": quantiles(lost),
                }
            if at > RETURNS and np.mean(np.isinf(low_at)) < 0.05:
                break
        for asked, told in found.items():
            told["low_mark_at"] = quantiles(np.minimum(low_at, asked + HORIZON_S))
        found[LEAVES]["weekend_loss_ml"] = found[RETURNS]["loss_ml"]
        return found

    def _salinity(self) -> Numbers:
        water_g = 0.9975 * (self._size.mark_ml - self._loss - 0.3 * self._salt_g)
        return 1000.0 * self._salt_g / (water_g + self._salt_g)

    def _evaporate(self, part: slice, at: int, substeps: int) -> None:
        lived, rng, hours = self._lived, self._rng, substeps / 6.0
        water_c, air_c = float(lived.water_c[part].mean()), float(lived.air_c[part].mean())
        clock_h = at % DAY / HOUR
        school = (at - MONDAY) // DAY % 7 < 5 and 8.0 < clock_h <= 15.5
        self._rates.ln_factor = self._rates.ln_factor + rng.normal(0.0, 0.04 * np.sqrt(hours / 24), PARTICLES)
        self._jump(JUMPS_PER_DAY * hours / 24.0)
        if self._knows_vapour:
            vapour = np.full(PARTICLES, float(lived.vapour_pa[part].mean()))
        else:
            keep = np.exp(-hours / 72.0)
            fresh = rng.normal(0.0, 180.0 * np.sqrt(1.0 - keep * keep), PARTICLES)
            self._rates.weather_pa = keep * self._rates.weather_pa + fresh
            self._breath += ((1.0 if school else 0.0) - self._breath) * (1.0 - np.exp(-hours / 1.5))
            level = self._rates.own_pa + self._rates.weather_pa + self._rates.people_pa * self._breath
            vapour = np.clip(level, 300.0, min(1950.0, 0.9 * saturated_pa(air_c)))
        per_h = self._rates.ml_per_h(self._size, water_c, air_c, vapour, school, self._loss, self._salt_g)
        gone = np.minimum(per_h * hours, np.maximum(0.0, self._size.mark_ml - self._loss - 4.0))
        self._loss, self._gone = self._loss + gone, self._gone + gone

    def _jump(self, chance: float) -> None:
        jumps = self._rng.random(PARTICLES) < chance
        far = self._rng.uniform(-JUMP_LN_MOST, JUMP_LN_MOST, PARTICLES)
        self._rates.ln_factor = self._rates.ln_factor + np.where(jumps, far, 0.0)

    def _act(self, what: str, at: int) -> None:
        fill_ml = FILL_SD_CM * self._size.surface_cm2
        level = self._rng.normal(0.0, fill_ml, PARTICLES)
        told = self._lived.told("top-up", at) if what == "top-up" else None
        if told is not None and told.amount:
            level = self._poured(told.amount, fill_ml)
        self._loss = level
        if what == "set":
            salinity = 24.46 * self._rng.normal(1.0, 0.03, PARTICLES)
            self._salt_g = (self._size.mark_ml - level) * 1.0152 * salinity / 1000.0
        self._jump(JUMPS_PER_HANDLING)

    def _poured(self, told_ml: float, fill_ml: float) -> Numbers:
        """Weigh by what was told; the level after it, as told and eye have it together."""
        after = self._loss - told_ml / (1.0 + self._jug_off)
        jug = (0.7 * self._jug_sd * told_ml) ** 2 + self._rounds_ml**2 / 12.0
        whole = jug + fill_ml**2
        places = self._resample(np.exp(-0.5 * after * after / whole) / np.sqrt(whole))
        after, jug, whole = after[places], jug[places], whole[places]
        mean, sd = after * fill_ml**2 / whole, np.sqrt(jug * fill_ml**2 / whole)
        return np.asarray(mean + sd * self._rng.normal(size=PARTICLES))

    def _resample(self, weight: Numbers) -> np.ndarray:
        total = np.cumsum(weight + 1e-300)
        points = (np.arange(PARTICLES) + self._rng.random()) / PARTICLES * total[-1]
        places = np.minimum(PARTICLES - 1, np.searchsorted(total, points))
        self._rates.pick(places)
        for name in ("_jug_sd", "_jug_off", "_loss", "_salt_g", "_gone"):
            setattr(self, name, getattr(self, name)[places])
        return places


def _air(
    rng: Generator, cup: object, told_l_per_min: float | None
) -> tuple[Numbers, Numbers, Numbers | None]:
    """Air, how saturated it leaves, and how likely each is by what the station file tells."""
    n = PARTICLES
    if not isinstance(cup, Cone):
        return np.zeros(n), np.zeros(n), None
    air = rng.uniform(0.4, 2.0, n)
    if told_l_per_min is not None:  # a factor of 0.8 to 1.25 off, and rounded
        air = rng.uniform(told_l_per_min / 1.25 - 0.05, told_l_per_min / 0.8 + 0.05, n)
    fits = np.where((air >= 0.4) & (air <= 2.0), 1.0 / np.maximum(0.1, air), 0.0)
    return air, rng.uniform(0.75, 1.0, n), None if told_l_per_min is None else fits


def quantiles(values: Numbers) -> Estimate:
    """Their 10, 50 and 90 %."""
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9))
    return Estimate(float(low), float(middle), float(high))
