"""A classroom and its cups whose physics are not the estimators', nor the rehearsals'. Test-only.

Nothing is imported from the daemon, and no model is shared with it:

- Evaporation: Rohwer's pan law with wind, part of it buoyant (by Δρ^¼), falling as the water sinks below
  the rim by h0/(h0 + depth). Estimators: Shah's pools or Rohwer's pans in still air, times k. Rehearsals:
  heat-mass analogy; judge by both, since one of the estimators' laws is near to this one.
- The room's vapour wanders over days and rises with people. Estimators: people by the clock, or a probe's.
- A fan, a cup moved: evaporation jumps once in 40 days, and once in 25 times that somebody pours [P].
- Warmth: one lump of room, T⁴ radiation, free convection, sun. Estimators: yesterday again. Weekends differ
  from each other, some are heated; heating fails once in 60 days, at any hour, for 8 to 60 hours [P].
- A cone: the same water with bubbles that leave nearly saturated, and, in six of ten, a heater that switches.
- Hatching: linear from a base, or a Q10, flat above an optimum; cysts spread by Weibull or log-logistic.
  Estimators: a curve to and fro, lognormal cysts.

Everything random is drawn from what the handbook names, with its medians: the factor at the mark has
median 0.65 and a spread between the three- and the sevenfold of published formulae; vapour 1050 ± 300 Pa;
the rim of a cup takes off 40–65 %; T50 at 25 °C 18.5 h ± 27 % and the published list of synchronies.
The estimators' medians come from the same handbook. So this tries the forms and the widths of what is
believed, not the handbook. Where the handbook is silent the figure is a judgement, marked [P].
"""

import math
import random
from dataclasses import dataclass

HOUR = 3600
DAY = 24 * HOUR
MONDAY = 1_799_625_600  # 2027-01-11 00:00 UTC
LATENT_J_PER_G = 2450.0  # at 20 °C, FAO-56 [M]
STEFAN_BOLTZMANN = 5.67e-8
GAS_VAPOUR, GAS_AIR = 461.5, 287.05  # J/(kg·K)
# Synchrony T90 − T10 in hours, published: see the handbook's table. One lot in ten had diapause.
SYNCHRONIES_H = (5.67, 5.7, 6.0, 8.8, 6.4, 6.5, 7.0, 7.4, 7.5, 23.5)


def saturated_pa(t_c: float) -> float:
    """Magnus with Sonntag's 1990 coefficients [M]."""
    return 611.2 * math.exp(17.62 * t_c / (243.12 + t_c))


def moist_kg_per_m3(t_c: float, vapour_pa: float) -> float:
    """Density of moist air at sea level."""
    kelvin = t_c + 273.15
    return (101_325.0 - vapour_pa) / (GAS_AIR * kelvin) + vapour_pa / (GAS_VAPOUR * kelvin)


JUMPS_PER_DAY, JUMPS_PER_HANDLING = 1.0 / 40.0, 1.0 / 25.0
JUMP_LN_MOST = math.log(2.2)  # either way, all alike likely
FAILS_PER_DAY, FAILS_H = 1.0 / 60.0, (8.0, 60.0)
NEVER = (0, 0)  # from when to when a heating is out that never fails

BUOYANT_REFERENCE = moist_kg_per_m3(21.0, 1119.0) - moist_kg_per_m3(25.0, 0.986 * saturated_pa(25.0))


def rohwer_mm_per_day(deficit_pa: float, wind_km_per_h: float) -> float:
    """Rohwer 1931 at sea level [R]: 0.771(1.465 − 0.000732 p)(0.44 + 0.0733 u)(es − ea), in mmHg."""
    return 0.771 * (1.465 - 0.000732 * 760.0) * (0.44 + 0.0733 * wind_km_per_h) * deficit_pa / 133.322


class Room:
    """One lump of air and walls between the weather, the heating, the people and the sun."""

    def __init__(self, seed: int, fails: tuple[int, int] | None = None) -> None:
        """`fails` is from when to when (Unix s) a heating is out; without it that is left to chance."""
        rng = self._rng = random.Random(f"room {seed}")
        kind = rng.choices(("nights", "weekends", "always heated", "not heated"), (50, 20, 15, 15))[0]
        self.heated = kind != "not heated"
        self._set_back, self._warm_nights = kind in ("nights", "weekends"), kind == "weekends"
        self._fails, self._chance = fails, random.Random(f"failures {seed}") if fails is None else None
        self._weekends = random.Random(f"weekends {seed}")
        self._weekend_k, self._weekend_heated = 0.0, False
        # The heating is off in the warm half of the year only.
        self._outside_mean_c = rng.uniform(14.0, 19.0) if not self.heated else rng.uniform(-3.0, 14.0)
        self._swing_k = rng.uniform(2.0, 6.0)  # a day's, to either side
        self._day_c, self._night_c = rng.uniform(19.5, 22.0), rng.uniform(14.0, 18.5)
        # Loses 2 to 5 °C in a winter's night of 12 h (handbook's rooms): 25 to 80 h.
        self._inertia_h = rng.uniform(25.0, 80.0)
        self._power_k_per_h = rng.uniform(0.8, 2.0)
        self._people_k_per_h = rng.uniform(0.02, 0.12)
        self.sunny = rng.random() < 0.25
        # 1050 ± 300 Pa: most of it from room to room, the rest wandering over days; levels include people.
        self._people_pa = rng.uniform(50.0, 350.0)
        self._own_pa = 1050.0 + rng.gauss(0.0, 240.0) - 0.3 * self._people_pa
        # Still indoor air moves at 0.05 to 0.2 m/s where people are, less where none are [P].
        self._draught_km_per_h = 3.6 * rng.uniform(0.05, 0.25), 3.6 * rng.uniform(0.01, 0.08)
        self._weather_k, self._weather_pa, self._breath = rng.gauss(0.0, 3.0), rng.gauss(0.0, 180.0), 0.0
        self._clear = rng.random()
        self.air_c = self._day_c if self.heated else self._outside_mean_c + 2.0
        self.vapour_pa, self.draught_km_per_h, self.sun = 1000.0, 0.0, 0.0

    def live(self, at: int, step_s: int) -> None:
        """The time up to `at`. Random numbers are drawn on the hour, so any step sees the same weather."""
        hours, clock_h = step_s / HOUR, at % DAY / HOUR
        day = (at - MONDAY) // DAY % 7
        school = day < 5 and 8.0 <= clock_h < 15.5
        if at % HOUR == 0:
            self._weather(at)
            self._mishaps(at)
        outside_c = self._outside_mean_c + self._weather_k
        outside_c += self._swing_k * math.sin(2.0 * math.pi * (clock_h - 9.0) / 24.0)
        shining = max(0.0, math.sin(math.pi * (clock_h - 9.0) / 7.0)) if 9.0 <= clock_h <= 16.0 else 0.0
        self.sun = shining * self._clear
        slope = (outside_c - self.air_c) / self._inertia_h + self.sun * (0.25 if self.sunny else 0.08)
        slope += self._people_k_per_h if school else 0.0
        wanted = -50.0 if self.failed(at) else self._wanted_c(day, clock_h)
        slope += self._power_k_per_h * min(1.0, max(0.0, (wanted + 0.4 - self.air_c) / 0.8))
        self.air_c += slope * hours
        self._breath += ((1.0 if school else 0.0) - self._breath) * hours / 1.5
        level = self._own_pa + self._weather_pa + self._people_pa * self._breath
        self.vapour_pa = min(max(level, 300.0), 1950.0, 0.9 * saturated_pa(self.air_c))
        self.draught_km_per_h = self._draught_km_per_h[0 if school else 1]

    def _weather(self, at: int) -> None:
        """Ornstein-Uhlenbeck by the hour: temperature 3 °C over 2.5 days, vapour 180 Pa over 3 days."""
        keep_k, keep_pa = math.exp(-1.0 / 60.0), math.exp(-1.0 / 72.0)
        self._weather_k = keep_k * self._weather_k + self._rng.gauss(0.0, 3.0 * math.sqrt(1.0 - keep_k**2))
        fresh_pa = self._rng.gauss(0.0, 180.0 * math.sqrt(1.0 - keep_pa**2))
        self._weather_pa = keep_pa * self._weather_pa + fresh_pa
        if at % DAY == 0:
            self._clear = self._rng.random()

    def failed(self, at: int) -> bool:
        """Whether the heating is out."""
        return self._fails is not None and self._fails[0] <= at < self._fails[1]

    def _mishaps(self, at: int) -> None:
        """By the hour: whether the heating fails; by the weekend: how deep it is set back, if at all."""
        if self._chance is not None:
            lasts_h, struck = self._chance.uniform(*FAILS_H), self._chance.random() < FAILS_PER_DAY / 24.0
            if struck and not self.failed(at):
                self._fails = (at, at + int(lasts_h * HOUR))
        if at % DAY == 0 and (at - MONDAY) // DAY % 7 == 5:
            self._weekend_k, self._weekend_heated = (
                self._weekends.gauss(0.0, 0.8),
                self._weekends.random() < 0.1,
            )

    def _wanted_c(self, day: int, clock_h: float) -> float:
        if not self.heated:
            return -50.0
        used = day < 5 and (self._warm_nights or 5.5 <= clock_h < 16.0) and (day < 4 or clock_h < 16.0)
        if used or not self._set_back:
            return self._day_c
        if day < 5:
            return self._night_c
        return (
            self._day_c if self._weekend_heated and 5.5 <= clock_h < 16.0 else self._night_c + self._weekend_k
        )


class Lot:
    """Cysts of one purchase: their pace by temperature and how evenly they come."""

    def __init__(self, seed: int) -> None:
        rng = random.Random(f"lot {seed}")
        self.t50_h = math.exp(rng.gauss(math.log(18.5), 0.27))  # 40–50 % apart as nine tenths
        synchrony = rng.choice(SYNCHRONIES_H) / 18.5
        self._weibull = rng.random() < 0.5
        self._shape = _shape(synchrony, self._weibull)
        # Linear with base 9.07 to 12.3 °C, or the Q10 that the 20 and 24 °C rows give.
        self._base_c = rng.uniform(9.0, 12.3)
        self._q10 = rng.uniform(2.6, 2.9) if rng.random() < 0.3 else None
        self._best_c = rng.uniform(26.5, 29.0)
        self._delay_per_g_per_kg = rng.uniform(0.010, 0.017)  # 0.18–0.25 h per g/kg in 15 h

    def pace(self, water_c: float, salinity_g_per_kg: float) -> float:
        """Hours as if at 25 °C and 25 g/kg, per hour."""
        delay = max(0.5, 1.0 + self._delay_per_g_per_kg * (salinity_g_per_kg - 25.0))
        if water_c <= self._base_c or water_c > 33.0:
            return 0.0
        warm_c = min(water_c, self._best_c)
        if self._q10 is not None:
            return math.exp(math.log(self._q10) * (warm_c - 25.0) / 10.0) / delay
        return (warm_c - self._base_c) / (25.0 - self._base_c) / delay

    def share(self, doses_of_t50: float) -> float:
        """The share hatched after so many times the dose that half of them need."""
        if doses_of_t50 <= 0.0:
            return 0.0
        grown: float = doses_of_t50**self._shape
        return 1.0 - 0.5**grown if self._weibull else grown / (1.0 + grown)


def _shape(synchrony: float, weibull: bool) -> float:
    """The shape at which (T90 − T10)/T50 is `synchrony`."""
    low, high = 0.3, 60.0
    for _ in range(50):
        shape = 0.5 * (low + high)
        late, early = (math.log2(10.0), math.log2(10.0 / 9.0)) if weibull else (9.0, 1.0 / 9.0)
        wide = late ** (1.0 / shape) - early ** (1.0 / shape) > synchrony
        low, high = (shape, high) if wide else (low, shape)
    return 0.5 * (low + high)


@dataclass(frozen=True, slots=True)
class Size:
    """A straight-walled cup: what the mark holds (mL) and its water surface (cm²)."""

    mark_ml: float = 250.0
    surface_cm2: float = 38.5


class Cup:
    """Water and salt in one cup on one shelf; `lot` hatches in it once it is set."""

    def __init__(self, seed: int, size: Size, room: Room) -> None:
        rng = self._rng = random.Random(f"cup {seed}")
        self._size, self._room = size, room
        # At the mark: 0.65 of the open pan's; three- to sevenfold spread is ln-sd 0.33 to 0.59.
        self._ln_factor = rng.gauss(math.log(0.65), 0.45)
        self._buoyant = rng.uniform(0.2, 0.8)  # share of the transfer that goes by Δρ^¼ [P]
        # The rim takes off 40–65 %: with the mark 0.8–2 cm below it, in series with the air above.
        self._rim_cm = rng.uniform(0.8, 2.0)
        taken = rng.uniform(0.40, 0.65)
        self._still_cm = self._rim_cm * (1.0 - taken) / taken
        self._area_m2 = rng.uniform(160e-4, 220e-4)  # of all its sides
        lamps = ((0.0, 24.0), (18.0, 31.0), (7.0, 18.0), (0.0, 0.0))
        self.lamp_h = rng.choices(lamps, (30, 30, 20, 20))[0]
        self._lamp_w = rng.uniform(0.55, 1.25)  # 3 to 7 K at 0.18 W/K
        self._sun_w = rng.uniform(0.4, 1.6) if room.sunny else 0.0
        self.water_c = room.air_c - 1.0
        self._jumps = random.Random(f"jumps {seed}")
        self.loss_ml, self.evaporated_ml, self.salt_g = 0.0, 0.0, 0.0252 * size.mark_ml
        self.lot: Lot | None = None
        self.t50_h, self.dose_h = 1.0, 0.0

    @property
    def salinity_g_per_kg(self) -> float:
        """Salt as mass fraction; apparent volume of salt in thin brine 0.3 mL/g [M]."""
        water_g = 0.9975 * (self._size.mark_ml - self.loss_ml - 0.3 * self.salt_g)
        return 1000.0 * self.salt_g / (water_g + self.salt_g) if water_g > 1.0 else 1000.0

    @property
    def share(self) -> float:
        """The share of the hatchable cysts that has hatched."""
        return self.lot.share(self.dose_h / self.t50_h) if self.lot else 0.0

    def live(self, at: int, step_s: int) -> None:
        """The time up to `at`, the room as it is then. Stable for steps of up to 600 s."""
        if at % HOUR == 0:  # draughts and seasons: 0.04 per √day
            self._ln_factor += self._rng.gauss(0.0, 0.04 / math.sqrt(24.0))
            self._jump(JUMPS_PER_DAY / 24.0)
        ml_per_h = self.evaporation_ml_per_h()
        self.water_c += self._net_w(at, ml_per_h) * step_s / self._joule_per_k()
        gone = min(ml_per_h * step_s / HOUR, max(0.0, self._size.mark_ml - self.loss_ml - 4.0))
        self.loss_ml += gone
        self.evaporated_ml += gone
        if self.lot:
            self.dose_h += self.lot.pace(self.water_c, self.salinity_g_per_kg) * step_s / HOUR

    def handled(self) -> None:
        """Somebody had it in hand: now and then it is put back elsewhere."""
        self._jump(JUMPS_PER_HANDLING)

    def _jump(self, chance: float) -> None:
        far = self._jumps.uniform(-JUMP_LN_MOST, JUMP_LN_MOST)
        if self._jumps.random() < chance:
            self._ln_factor += far

    def evaporation_ml_per_h(self) -> float:
        """Pan law × own factor × (draught and buoyancy) × diffusion through the air above the water."""
        room, size = self._room, self._size
        molal = 17.11 * self.salt_g / max(10.0, size.mark_ml - self.loss_ml)  # mol of NaCl per kg
        surface_pa = saturated_pa(self.water_c) * (1.0 - 0.033 * molal)  # osmotic coefficient 0.92 [M]
        lift = moist_kg_per_m3(room.air_c, room.vapour_pa) - moist_kg_per_m3(self.water_c, surface_pa)
        rising = (max(0.0, lift) / BUOYANT_REFERENCE) ** 0.25
        depth_cm = max(0.0, self._rim_cm + self.loss_ml / size.surface_cm2)
        through = (self._still_cm + self._rim_cm) / (self._still_cm + depth_cm)
        mm = rohwer_mm_per_day(surface_pa - room.vapour_pa, room.draught_km_per_h)
        mixed: float = 1.0 - self._buoyant + self._buoyant * rising
        return max(0.0, math.exp(self._ln_factor) * mixed * through * mm * size.surface_cm2 / 240.0)

    def _joule_per_k(self) -> float:
        return 60.0 + 4.1 * max(20.0, self._size.mark_ml - self.loss_ml)

    def _net_w(self, at: int, ml_per_h: float) -> float:
        begins, ends = self.lamp_h
        clock_h = at % DAY / HOUR
        lit = begins <= clock_h < ends or begins <= clock_h + 24.0 < ends
        above_k = self.water_c - self._room.air_c
        radiated = 0.95 * STEFAN_BOLTZMANN
        radiated *= (self.water_c + 273.15) ** 4 - (self._room.air_c + 273.15) ** 4
        convected: float = (
            2.76 * abs(above_k) ** 0.25 * above_k
        )  # 1.42(ΔT/L)^¼, 7 cm: common engineering practice
        gains = (self._lamp_w if lit else 0.0) + self._sun_w * self._room.sun
        return gains - self._area_m2 * (radiated + convected) - ml_per_h * LATENT_J_PER_G / HOUR


class HeatedCup(Cup):
    """A vessel of any size whose heater is switched by a thermostat, in steps of a minute."""

    def __init__(
        self, seed: int, size: Size, room: Room, *, heated: bool = True, fails_at: int | None = None
    ) -> None:
        super().__init__(seed, size, room)
        rng = random.Random(f"heater {seed}")
        size_up = (size.mark_ml / 250.0) ** (2.0 / 3.0)
        self._area_m2 *= size_up
        self._lamp_w *= size_up
        self.holds_c, self._band_k = rng.uniform(25.0, 28.5), rng.uniform(0.2, 1.0)
        self._power_w = rng.uniform(25.0, 100.0) if heated else 0.0
        self._fails_at = fails_at
        self._on = False

    def live(self, at: int, step_s: int) -> None:
        """The time up to `at`."""
        for minute in range(at - step_s + 60, at + 1, 60):
            if self.water_c <= self.holds_c - 0.5 * self._band_k:
                self._on = True
            elif self.water_c >= self.holds_c + 0.5 * self._band_k:
                self._on = False
            super().live(minute, 60)

    def _net_w(self, at: int, ml_per_h: float) -> float:
        heats = self._on and (self._fails_at is None or at < self._fails_at)
        return super()._net_w(at, ml_per_h) + (self._power_w if heats else 0.0)


CONE = Size(1000.0, 95.0)


class Cone(HeatedCup):
    """A litre with air that bubbles through it, six of ten with a heater.

    Bubbles leave 75 to 100 % saturated at the water's warmth and carry that off, less what the room's air
    brought: ρ_v = e/(R_v·T) [M]. Pumps give 0.4 to 2 L/min [P].
    """

    def __init__(self, seed: int, room: Room) -> None:
        rng = random.Random(f"cone {seed}")
        self.heated = rng.random() < 0.6
        super().__init__(seed, CONE, room, heated=self.heated)
        self.air_l_per_min, self._saturates = rng.uniform(0.4, 2.0), rng.uniform(0.75, 1.0)

    def evaporation_ml_per_h(self) -> float:
        """The surface's, and what the bubbles carry off; a g is a mL."""
        leaving = self._saturates * 0.986 * saturated_pa(self.water_c) / (self.water_c + 273.15)
        coming = self._room.vapour_pa / (self._room.air_c + 273.15)
        carried_g_per_m3 = 1000.0 * max(0.0, leaving - coming) / GAS_VAPOUR
        return super().evaporation_ml_per_h() + 0.06 * self.air_l_per_min * carried_g_per_m3
