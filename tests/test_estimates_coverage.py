"""Do the ranges hold the truth? Played school weeks whose physics is not the estimators'.

Evaporation here is Rohwer's linear law for pans (coefficients in millimetres of mercury, as in the
handbook) with a factor a cup, not Shah's method; hatching is a linear degree-hour law with a Weibull
spread over cysts, not a curved law with a lognormal; the cup is one lump between lamp and room.

What is drawn, and from where: the cup's factor around 0.65 of Rohwer with the three- to sevenfold spread
of the published formulae (sd of ln 0.45); the room's vapour pressure 1050 ± 250 Pa, wandering by the day;
T50 at 25 °C around 18.5 h with the 40 to 50 % by which lots differ as nine tenths (sd of ln 0.27);
synchrony from the handbook's published list. The medians are near the estimators' own, because both are
taken from the handbook: this checks the form and the width of the ranges, not the handbook.

The margin asserted (0.65 to 0.95 for a claimed 0.80) is what forty to a hundred dependent draws allow.
"""

import math
import random
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache

import pytest

from daemon.care.deed import Deed
from daemon.estimates.quantile import Estimate
from daemon.estimates.vessel import VesselBelief
from daemon.station import Vessel

HOUR = 3600
DAY = 24 * HOUR
MONDAY = 1_800_230_400  # 2027-01-18 00:00 UTC
STEP = 600
STEP_H = STEP / HOUR
WEEKS = 48
SYNCHRONIES_H = (5.67, 5.7, 6.0, 8.8, 6.4, 6.5, 7.0, 7.4, 7.5, 23.5)
CUP = Vessel("cup", 24, "cup", 250.0, 38.5, 40.0, 30.0, (), 20.0, 30.0, (), 200.0, 0.5, 1.0)


def rohwer_ml_per_h(water_c: float, vapour_pa: float) -> float:
    """Rohwer 1931, still air at sea level, mm a day on 38.5 cm², as mL an hour."""
    mmhg = (0.985 * 611.2 * math.exp(17.62 * water_c / (243.12 + water_c)) - vapour_pa) / 133.322
    return max(0.0, 0.771 * (1.465 - 0.000732 * 760.0) * 0.44 * mmhg * 38.5 / 10.0 / 24.0)


class Cup:
    """The truth of one cup on one shelf."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.factor = math.exp(rng.gauss(math.log(0.65), 0.45))
        self.vapour_pa = rng.gauss(1050.0, 250.0)
        self.lamp_k = rng.uniform(3.0, 7.0)
        self.lamp_hours = rng.choice(((0, 24), (18, 31), (7, 18)))
        self.night_c, self.day_c = rng.uniform(14.0, 18.5), rng.uniform(20.0, 22.0)
        self.weather_k = 0.0  # sun, frost, open windows: a day is not quite like the last
        self.room_c, self.water_c = self.night_c + 2.0, self.night_c + 1.0
        self.base_c = rng.uniform(11.5, 12.3)
        self.t50_h = math.exp(rng.gauss(math.log(18.5), 0.27))
        self.shape = weibull_shape(rng.choice(SYNCHRONIES_H) / self.t50_h)
        self.dose_h = 0.0
        self.pour_to(0.0)

    def pour_to(self, loss_ml: float) -> None:
        """Filled to a line by eye: 0.08 cm off (one sd)."""
        self.loss_ml = loss_ml + self.rng.gauss(0.0, 0.08 * CUP.surface_cm2)

    def set(self) -> None:
        self.pour_to(0.0)
        # 25 g in a litre of water; the scale and the spoon are 2 % off. Density 1.0146 at 24.5 g/kg.
        salinity = 1000.0 * 25.0 / 1022.0 * self.rng.gauss(1.0, 0.02)
        self.salt_g = (CUP.mark_ml - self.loss_ml) * 1.0146 * salinity / 1000.0

    def live(self, at: int, heated: bool) -> None:
        """Ten minutes: room, water, evaporation, development."""
        hour = at % DAY / HOUR
        wanted, inertia_h = (self.day_c, 2.0) if heated else (self.night_c, 9.0)
        self.room_c += (wanted + self.weather_k - self.room_c) * STEP_H / inertia_h
        begins, ends = self.lamp_hours
        lit = begins <= hour < ends or begins <= hour + 24.0 < ends
        settles_c = self.room_c - 1.0 + (self.lamp_k if lit else 0.0)
        self.water_c += (settles_c - self.water_c) * STEP_H / 1.3
        if hour == 0.0:
            self.vapour_pa += self.rng.gauss(0.0, 80.0)
            self.weather_k = 0.6 * self.weather_k + self.rng.gauss(0.0, 0.8)
        self.vapour_pa = min(1900.0, max(350.0, self.vapour_pa))
        self.loss_ml += self.factor * rohwer_ml_per_h(self.water_c, self.vapour_pa) * STEP_H
        self.dose_h += max(0.0, min(self.water_c, 28.0) - self.base_c) / (25.0 - self.base_c) * STEP_H

    def share(self) -> float:
        return 1.0 - 0.5 ** ((self.dose_h / self.t50_h) ** self.shape)

    def salinity_g_per_kg(self) -> float:
        grams = (CUP.mark_ml - self.loss_ml) * (1.0146 + 0.0007 * (self.loss_ml / 10.0))
        return 1000.0 * self.salt_g / grams


def weibull_shape(synchrony: float) -> float:
    """The shape at which (T90 − T10)/T50 is `synchrony`."""
    low, high = 0.3, 60.0
    for _ in range(60):
        shape = 0.5 * (low + high)
        t10, t90 = (math.log2(1.0 / (1.0 - s)) ** (1.0 / shape) for s in (0.1, 0.9))
        low, high = (shape, high) if t90 - t10 > synchrony else (low, shape)
    return 0.5 * (low + high)


@dataclass
class Week:
    """One cup over a school week and its weekend, and how often the ranges held the truth."""

    seed: int
    asked: list[tuple[int, str, Estimate]] = field(default_factory=list)
    truth: dict[tuple[int, str], float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.rng = random.Random(self.seed)
        self.cup = Cup(self.rng)
        self.belief = VesselBelief(CUP, STEP)
        self.probe_off_c = self.rng.gauss(0.0, 0.2)
        self.room_seen = self.seed % 3 == 0
        self.looked = self.seed % 4 < 2
        self.set_at = MONDAY + (0 if self.seed % 2 == 0 else 4) * DAY + 14 * HOUR
        self.water_c: list[tuple[int, float]] = []
        self.half_hatched_at = 0

    def play(self) -> "Week":
        for at in range(MONDAY - 6 * HOUR, MONDAY + 7 * DAY + 8 * HOUR + STEP, STEP):
            day, hour = (at - MONDAY) // DAY, at % DAY / HOUR
            self.live(at)
            self.water_c.append((at, self.cup.water_c))
            self.read(at)
            self.act(at, day, hour)
            if at > self.set_at and (at - self.set_at) % (6 * HOUR) == 0:
                self.ask(at, day)
        while not self.half_hatched_at:  # nobody asks any more, but the hatch goes on
            at += STEP
            self.live(at)
        return self

    def live(self, at: int) -> None:
        day, hour = (at - MONDAY) // DAY, at % DAY / HOUR
        self.cup.live(at, heated=day % 7 < 5 and day >= 0 and 6.0 <= hour < 17.0)
        if at > self.set_at and not self.half_hatched_at and self.cup.dose_h >= self.cup.t50_h:
            self.half_hatched_at = at

    def read(self, at: int) -> None:
        noise = self.probe_off_c + self.rng.gauss(0.0, 0.03)
        self.belief.feed_reading(at, "water_c", round((self.cup.water_c + noise) * 16) / 16)
        if self.room_seen:
            saturated = 611.2 * math.exp(17.62 * self.cup.room_c / (243.12 + self.cup.room_c))
            self.belief.feed_reading(at, "room_c", self.cup.room_c + 0.2)
            self.belief.feed_reading(at, "room_rh_pct", min(100.0, 100.0 * self.cup.vapour_pa / saturated))

    def act(self, at: int, day: int, hour: float) -> None:
        cup, after = self.cup, at - self.set_at
        if after == 0:
            cup.set()
            cup.dose_h = 0.0
            self.belief.feed_deed(Deed(at, "cup", "set", 0.5, {"salt_g_per_l": 25.0, "volume_ml": 250.0}))
        elif after > 0 and day < 5 and hour == 15.0:
            self.top_up(at)
        elif self.looked and after in (18 * HOUR, 23 * HOUR):
            seen = min(1.0, max(0.0, round(cup.share() + self.rng.gauss(0.0, 0.1), 1)))
            self.belief.feed_deed(Deed(at, "cup", "hatched", seen))

    def top_up(self, at: int) -> None:
        before = self.cup.loss_ml
        self.cup.pour_to(0.0)
        poured = before - self.cup.loss_ml
        if poured < 1.0:
            self.cup.loss_ml = before
            return
        told = max(1.0, round(poured * self.rng.gauss(1.0, 0.02)))
        self.belief.feed_deed(Deed(at, "cup", "top-up", told, {"to": "mark"}))

    def ask(self, at: int, day: int) -> None:
        after = at - self.set_at
        wanted = [("water_c_min_next_16h", math.nan)] if at + 16 * HOUR <= MONDAY + 7 * DAY + 8 * HOUR else []
        if after <= 36 * HOUR:
            wanted.append(("hatch_t50", math.nan))
        if day >= 5:
            wanted += [("loss_ml", self.cup.loss_ml), ("salinity_g_per_kg", self.cup.salinity_g_per_kg())]
        found = self.belief.estimates(at)
        for name, truth in wanted:
            self.asked.append((at, name, found[name]))
            self.truth[at, name] = truth

    def held(self, name: str) -> list[bool]:
        """For every time it was asked: whether the range held the truth."""
        return [e.p10 <= self.came(at, n) <= e.p90 for at, n, e in self.asked if n == name]

    def came(self, at: int, name: str) -> float:
        if name == "hatch_t50":
            return self.half_hatched_at
        if name == "water_c_min_next_16h":
            return min(c for t, c in self.water_c if at <= t <= at + 16 * HOUR)
        return self.truth[at, name]


@cache
def weeks() -> tuple[Week, ...]:
    return tuple(Week(seed).play() for seed in range(WEEKS))


def coverage(name: str, chosen: Callable[[Week], bool]) -> tuple[float, int]:
    held = [h for week in weeks() if chosen(week) for h in week.held(name)]
    return sum(held) / len(held), len(held)


KINDS: dict[str, Callable[[Week], bool]] = {
    "all": lambda _: True,
    "set on Monday": lambda w: w.seed % 2 == 0,
    "set on Friday": lambda w: w.seed % 2 == 1,
    "room measured": lambda w: w.room_seen,
    "looked": lambda w: w.looked,
    "not looked": lambda w: not w.looked,
}


@pytest.mark.parametrize("name", ["loss_ml", "salinity_g_per_kg", "hatch_t50", "water_c_min_next_16h"])
def test_ranges_hold_the_truth_about_four_times_in_five(name: str) -> None:
    found = {kind: coverage(name, chosen) for kind, chosen in KINDS.items()}
    lines = "".join(f"{name:22} {kind:14} {share:.2f} of {n}\n" for kind, (share, n) in found.items())
    sys.stdout.write(lines)  # shown by pytest -s, and where it fails
    assert 0.65 <= found["all"][0] <= 0.95


def test_a_cup_with_top_ups_learned_is_known_better_than_one_without() -> None:
    def width(chosen: Callable[[Week], bool]) -> float:
        widths = [e.p90 - e.p10 for w in weeks() if chosen(w) for _, n, e in w.asked if n == "loss_ml"]
        return sum(widths) / len(widths)

    # Both carry the last filling's error: 8 mL of either width is that (0.08 cm, four times in five).
    assert width(KINDS["set on Monday"]) < 0.9 * width(KINDS["set on Friday"])
