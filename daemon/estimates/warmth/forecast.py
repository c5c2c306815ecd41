"""The water of the coming hours and days: 47 paths of what will surround the cup, followed by the cup.

The paths are spread out by fixed sets of standard normal paths (`normal_paths`): no chance in it.
"""

from array import array
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, hypot, pi, sqrt

from daemon.estimates.local_hour import Calendar
from daemon.estimates.quantile import Z90, Estimate, normal_cdf, of_points
from daemon.estimates.warmth.cup_heat import CupHeat
from daemon.estimates.warmth.first_weekend import set_back
from daemon.estimates.warmth.heater import Held
from daemon.estimates.warmth.held_paths import HeldPaths
from daemon.estimates.warmth.normal_paths import HOURS_MOST, PATHS, by_hour, order
from daemon.estimates.warmth.room_pattern import RoomPattern
from daemon.estimates.warmth.room_state import slot, sunny
from daemon.estimates.warmth.sunny_days import SunnyDays, as_seen, drawn
from daemon.seconds import HOUR_S

PROBE_SD_C = 0.2  # a DS18B20 is right to 0.5 °C by its data sheet
TREND_H = 3.0  # how long a deviation goes on growing
# A room that is losing its heat (the heating, a window) lies up to 10 K below its pattern, all alike likely.
# That weighs as if it were so in three forecasts of ten, far oftener than it is: it is dear to miss.
# What a room is losing is on its way: a trend counts for six hours [P].
# What is less likely than one in twelve is left out, lest every cool evening look a little like it.
FAILS, FALLS_K, FAILING_MOST, FAILING_LEAST = 0.3, 10.0, 0.9, 0.08
LEAD_H, LEAD_MOST_K_PER_H = 6.0, 0.5
MENDED_K_PER_H = 0.3  # no sun and no people warm a room so fast that it also comes nearer to its pattern
# Newton's cooling towards what is unknown outdoors (1R1C; Bacher & Madsen 2011, Energy
# and Buildings 43 [M]). A winter's night of 12 h takes 2 to 5 K (common practice, no source): in a room 15 K
# warmer than outdoors that is 30 to 80 h [C]; less at first, while the air cools ahead of its walls.
OUTDOORS_C, OUTDOORS_SD_C, OUTDOORS_BELOW_K = 5.0, 5.0, 2.0
ROOM_H, ROOM_LOG_SD = 40.0, 0.35
# Sun is what makes the surroundings rise at these local hours by so many K/h, some hours on, then stays.
SUN_SEEN, SUN_RISES, SUN_RISES_H, SUN_STAYS_H = (11, 17), 0.6, 2.0, 5
CLOUDS, CLOUDS_H = 0.5, 4.0  # by how much of itself an afternoon's sun differs from day to day
DARK_SHARE = 0.75  # a lamp that stayed dark stays dark till people come, so often
MENDED_FROM_H, MENDED_TO_H = 8, 16
# Paths by their first order, the share that is their own, and the hours in which the rest fades. How deep a
# room's nights and weekends are is of all their hours alike: were it drawn by the hour, each path would find
# an hour below its own weekend, and the coldest would lean cold. What is to come is half of days (40 h).
NOT_KNOWN, TO_COME = (0, 0.95, 8.0), (1000, 0.5, 6.0)
RISE_ORDER, NOW_ORDER, FALL_ORDER, SUN_ORDER = 401, 409, 419, 3000
# What the probe errs by has nothing to do with the path: with one order alone it would by chance.
PROBE_ORDERS = (421, 440, 447, 508, 536)
OUTDOORS_ORDER = 437


@dataclass(frozen=True, slots=True)
class Now:
    """Where a forecast begins: water and its margin (°C), what surrounds the cup and how that is changing.

    `trend_k_per_h` is of its deviation from the pattern, `slope_k_per_h` its own; `lit` and `dark` say
    whether the lamp burns, and whether it stayed dark when it was due.
    """

    at: int
    water_c: float
    margin_c: float
    around_c: float | None
    trend_k_per_h: float
    slope_k_per_h: float
    lit: float
    dark: bool


class WarmthForecast:
    """The water from now to `ended`, at most eight days."""

    def __init__(
        self,
        now: Now,
        room: RoomPattern,
        heat: CupHeat,
        calendar: Calendar,
        ended: int,
        held: Held | None = None,
        sun: SunnyDays | None = None,
    ) -> None:
        self._suns = [] if sun is None else sun.shares(room.usual_sun_k())
        self._sunny_at: dict[int, list[float]] = {}
        self._now, self._room, self._heat, self._calendar = now, room, heat, calendar
        self._heater = HeldPaths(held) if held else None
        self._dark = now.dark
        self._lit: dict[tuple[float, bool], list[float]] = {}
        self._moments = [now.at]
        self._water = [array("d", (now.water_c + now.margin_c / Z90 * z for z in order(NOW_ORDER)))]
        self._hour = calendar.local(now.at).hour
        self._failing = self._share_failing()
        self._set_back_k = room.set_back_k(slot(calendar, now.at // HOUR_S * HOUR_S))
        self._last = now.at + (HOURS_MOST - 2) * HOUR_S
        while self._moments[-1] < min(ended, self._last):
            self._step()

    def reaches(self, ended: int) -> bool:
        """Whether it goes as far as a moment, or as far as it can."""
        return self._moments[-1] >= min(ended, self._last)

    def coldest(self, began: int, ended: int) -> Estimate:
        """The coldest water between two moments, °C."""
        return self._quantiles([min(path) for path in zip(*self._rows(began, ended), strict=True)])

    def hottest(self, began: int, ended: int) -> Estimate:
        """The hottest water between two moments, °C."""
        return self._quantiles([max(path) for path in zip(*self._rows(began, ended), strict=True)])

    def water_c_at(self, at: int) -> Estimate:
        """The water at a moment, °C."""
        return self._quantiles(self._row(at))

    def median_and_sd_c(self, at: int) -> tuple[float, float]:
        """The water's median at a moment and its standard deviation, °C, the probe's error aside."""
        paths = sorted(self._row(at))
        tenth = PATHS // 10
        return paths[PATHS // 2], 0.5 * (paths[-1 - tenth] - paths[tenth]) / Z90

    @staticmethod
    def _quantiles(values: Sequence[float]) -> Estimate:
        orders = map(order, PROBE_ORDERS)
        return of_points(
            (value + PROBE_SD_C * z, 1.0) for probe in orders for value, z in zip(values, probe, strict=True)
        )

    def _rows(self, began: int, ended: int) -> list[Sequence[float]]:
        within = [row for at, row in zip(self._moments, self._water, strict=True) if began < at < ended]
        return [self._row(began), *within, self._row(max(began, ended))]

    def _row(self, at: int) -> Sequence[float]:
        place = bisect_right(self._moments, at)
        if place == 0:
            return self._water[0]
        if place == len(self._moments):
            return self._water[-1]
        before, after = self._moments[place - 1], self._moments[place]
        share = (at - before) / (after - before)
        pairs = zip(self._water[place - 1], self._water[place], strict=True)
        return [a + share * (b - a) for a, b in pairs]

    def _step(self) -> None:
        began = self._moments[-1]
        first = began // HOUR_S
        ended = (first + 1) * HOUR_S
        ahead_h = first - self._now.at // HOUR_S
        around = self._around(began, ahead_h)
        lamp = self._lamp(began, ended)
        keep = exp(-(ended - began) / HOUR_S / self._heat.tau_h)
        self._moments.append(ended)
        passive = [
            keep * water + (1.0 - keep) * (out + warm)
            for water, out, warm in zip(self._water[-1], around, lamp, strict=True)
        ]
        hours, step = (ended - began) / HOUR_S, len(self._water)
        heated = self._heater.heated(passive, self._water[-1], hours, step) if self._heater else passive
        self._water.append(array("d", heated))

    def _around(self, began: int, ahead_h: int) -> list[float]:
        """What surrounds the cup in the hour of `began`, lamp aside, on each path."""
        place = slot(self._calendar, began // HOUR_S * HOUR_S)
        day, sun_k = (self._hour + ahead_h) // 24, self._room.sun_part_k(place)
        usual_c = self._room.today_c(place) if day == 0 else self._room.pattern_c(place)
        middle = usual_c + self._going_on(self._room.deviation_k(ahead_h), ahead_h)
        middle += self._sun_goes_on(middle, place.hour, ahead_h)
        known, new = self._room.sds_k(place, ahead_h)
        warmer = min(known, self._room.warmer_sd_k(place, ahead_h)) if place.before_weekend else known
        if not self._suns:
            clouds = CLOUDS * sun_k * (1.0 - exp(-ahead_h / CLOUDS_H))
            known, warmer = hypot(known, clouds), hypot(warmer, clouds)
        hour = min(ahead_h, HOURS_MOST - 1)
        apart = [
            (known if a < 0.0 else warmer) * a + new * b
            for a, b in zip(by_hour(*NOT_KNOWN)[hour], by_hour(*TO_COME)[hour], strict=True)
        ]
        if self._set_back_k and (place.before_weekend or not place.school_day):
            usual = place.as_usual()
            certain, off_k = self._room.sds_k(usual, ahead_h)[0], self._room.pattern_c(usual) - usual_c
            surer = [(known if a < 0.0 else warmer) * a - certain * a for a in by_hour(*NOT_KNOWN)[hour]]
            apart = set_back(apart, self._set_back_k, off_k, surer, place)
        if self._suns and sun_k > 0.0:
            apart = [k + sun_k * less for k, less in zip(apart, self._suns_of(day), strict=True)]
        if not self._failing:
            return [middle + k for k in apart]
        return [
            middle + k if fall is None else min(middle, fall) + 0.5 * k
            for k, fall in zip(apart, self._falls(ahead_h), strict=True)
        ]

    def _suns_of(self, day: int) -> list[float]:
        """A day's sun on each path less what is taken for its middle, as a share of a usual day's."""
        if day not in self._sunny_at:
            today = self._room.sun_today()
            shares, middle = (as_seen(self._suns, today), today.middle) if day == 0 else (self._suns, 0.0)
            found = drawn(shares, map(normal_cdf, order(SUN_ORDER + day)))
            self._sunny_at[day] = [share - 1.0 - middle for share in found]
        return self._sunny_at[day]

    def _going_on(self, deviation: float, ahead_h: float) -> float:
        """The deviation then: it goes on as it moves for some hours, but not past the pattern."""
        trend = self._now.trend_k_per_h
        if deviation * trend < 0.0 and abs(trend) > 0.12:  # on its way back: a mended heating
            return deviation * exp(-ahead_h * abs(trend) / (abs(deviation) + 0.5))
        return deviation + 0.5 * trend * TREND_H * (1.0 - exp(-ahead_h / TREND_H)) * exp(-ahead_h / 8.0)

    def _sun_goes_on(self, middle_c: float, hour: int, ahead_h: float) -> float:
        """What the sun adds to `middle_c` in an hour, K, where it has begun to: it stays for hours."""
        now = self._now
        seen = now.slope_k_per_h > SUN_RISES and SUN_SEEN[0] <= self._hour <= SUN_SEEN[1]
        if now.around_c is None or not seen:
            return 0.0
        stays_c = now.around_c + 0.4 * now.slope_k_per_h * min(ahead_h, SUN_RISES_H)
        return max(0.0, stays_c - middle_c) * sunny(hour) if ahead_h < SUN_STAYS_H else 0.0

    def _share_failing(self) -> float:
        """How likely it is that the heating is out, by Bayes: so cold by chance, or as any cold is then.

        A room that often differs from its pattern, as unheated ones do, may be as cold by chance; so may one
        whose pattern is hardly known yet.
        """
        now = self._now
        if now.around_c is None or (now.slope_k_per_h > MENDED_K_PER_H and now.trend_k_per_h > 0.1):
            return 0.0
        place = slot(self._calendar, now.at // HOUR_S * HOUR_S)
        below = min(-self._room.deviation_k(), self._room.sunless_c(place) - now.around_c)
        below += LEAD_H * min(LEAD_MOST_K_PER_H, max(0.0, -now.trend_k_per_h))
        if below <= 0.0:
            return 0.0
        sd = self._room.usual_deviation_k(place)
        chance = exp(-0.5 * (below / sd) ** 2) / (sd * sqrt(2.0 * pi))
        fallen = (normal_cdf(below / sd) - normal_cdf((below - FALLS_K) / sd)) / FALLS_K
        share = FAILING_MOST * FAILS * fallen / (FAILS * fallen + chance)
        return share if share >= FAILING_LEAST else 0.0

    def _falls(self, ahead_h: int) -> list[float | None]:
        """Newton's cooling towards what is unknown outdoors, on the paths on which the heating is out."""
        now = self._now
        count = round(self._failing * PATHS)
        start = now.around_c if now.around_c is not None else now.water_c
        apart = zip(order(FALL_ORDER), order(OUTDOORS_ORDER), strict=True)
        return [
            _cooled(start, OUTDOORS_C + OUTDOORS_SD_C * y, ahead_h / exp(ROOM_LOG_SD * z))
            if path * 13 % PATHS < count
            else None
            for path, (z, y) in enumerate(apart)
        ]

    def _lamp(self, began: int, ended: int) -> list[float]:
        """What the lamp adds in a step, K, on each path."""
        moments = [self._calendar.local(began + (ended - began) * part // 8) for part in (1, 3, 5, 7)]
        if any(t.school_day and MENDED_FROM_H <= t.hour < MENDED_TO_H for t in moments):
            self._dark = False
        lit = sum(t.lamp_due for t in moments) / len(moments)
        if (lit, self._dark) not in self._lit:
            self._lit[lit, self._dark] = self._warms(lit)
        return self._lit[lit, self._dark]

    def _warms(self, lit: float) -> list[float]:
        """What a lamp adds that burns for this share of a step."""
        heat, dark = self._heat, round(DARK_SHARE * PATHS) if self._dark else 0
        return [
            (0.0 if path * 29 % PATHS < dark else lit * heat.rise_k)
            + (lit - self._now.lit) * heat.rise_sd_k * z
            for path, z in enumerate(order(RISE_ORDER))
        ]


def _cooled(start_c: float, outdoors_c: float, hours: float) -> float:
    """What surrounds a cup after so many hours of a usual room without heating, °C."""
    out_c = min(start_c - OUTDOORS_BELOW_K, outdoors_c)
    return out_c + (start_c - out_c) * exp(-hours / ROOM_H)
