"""What surrounds a cup by hour of day, on days with people and without, and how today differs from that.

A linear Gaussian state, kept exactly (Kalman 1960; Särkkä, *Bayesian Filtering and Smoothing* [M]): 24 hours
of a day with people, what 24 hours of a day without add, what a night before such days and each further such
day add, two deviations of now that fade, in hours and in days, and how today's sun differs from a usual
day's. That one ends with the day: a sun that stays away makes no night cold. The scale of what is new is
learned from the filter's own misses; a miss that is far too large is put to the deviation (a failed boiler
is not the pattern), but an afternoon's excess to the pattern too (the sun comes again).
"""

from array import array
from copy import copy
from dataclasses import dataclass, replace
from functools import cache
from math import exp, sqrt

from daemon.estimates.warmth import room_state
from daemon.estimates.warmth.first_weekend import kept_warm, set_back_k
from daemon.estimates.warmth.room_state import (
    DAY_H,
    FAST,
    MIDNIGHT,
    NIGHT_ENDS,
    SLOW,
    STATES,
    SUN,
    SUN_SD,
    WARMING,
    Rows,
    Slot,
)
from daemon.estimates.warmth.sunny_days import SunToday, sun_k

FAST_H, SLOW_H = 4.0, 40.0
FAST_SD, SLOW_SD = 0.5, 0.8
DRIFT_K2 = 0.012  # by which an hour of the pattern may change from day to day
SUN_DRIFT_K2 = 0.08  # and an hour of the afternoon
COLD_K, COLD_DOUBT = 1.2, 0.25  # how far below the pattern is no chance, and how soon that may change
SHOCK = 2.5  # sds from which a miss is no chance
SUN_FROM_H, SUN_TO_H = 9, 19
EVENING_H, MORNING_H = 18, 8  # a night that was set back is colder than both; at neither the sun shines
SUN_STEP_SD = 0.15  # by which an hour's sun differs from that of the hour before: clouds
NO_SUN_K = 1.0  # by which heated rooms stand out at noon, too
SUN_SHARE = 0.85  # of an afternoon's excess, what may come again


@dataclass(frozen=True, slots=True)
class LearnedScale:
    """How a variance compares with what was expected of it, learned from squares. Never changed in place.

    `prior` is what the expectation weighs, in squares; `kept` what is left of a square at the next.
    """

    prior: float
    kept: float
    least: float
    most: float
    count: float = 0.0
    square: float = 0.0

    @property
    def value(self) -> float:
        """The variance as a multiple of what was expected."""
        found = (self.prior + self.square) / (self.prior + self.count)
        return min(self.most, max(self.least, found))

    def after(self, square: float, count: float = 1.0) -> "LearnedScale":
        """One more square, against what was expected; `count` is how much it says."""
        return replace(self, count=self.count * self.kept + count, square=self.square * self.kept + square)


# Of hours, of the deviation that fades in days, and of how much weekends differ [P].
HOURS = LearnedScale(24.0, 1.0 - 1.0 / (7 * DAY_H), 0.05, 6.0)
SLOWLY = LearnedScale(24.0, 1.0 - 1.0 / (14 * DAY_H), 0.05, 14.0)
WEEKENDS = LearnedScale(1.5, 1.0 - 1.0 / 12.0, 0.1, 4.0)
SLOW_SQUARE_MOST = WEEKEND_SQUARE_MOST = 6.0


@cache
def _prior() -> tuple[list[float], Rows]:
    return room_state.means(), _packed(room_state.covariance(FAST_SD, SLOW_SD))


def _packed(rows: Rows) -> Rows:
    """The same numbers in a quarter of the memory: 2900 of them, kept three times a vessel."""
    return [array("d", row) for row in rows]


class RoomPattern:
    """Feed what surrounded the cup by the hour, in time order. Rows are never changed: copies share them."""

    def __init__(self) -> None:
        self._mean, self._rows = _prior()
        self._hour: int | None = None
        self._by_night = self._by_day = HOURS
        self._slow, self._weekends = SLOWLY, WEEKENDS
        # Of the next: its depth as expected, the variance of that, and what part of it weekends differ by.
        self._before_weekend: tuple[float, float, float] | None = None
        self._idle = False

    def copy(self) -> "RoomPattern":
        """A copy that goes its own way."""
        return copy(self)

    def scale(self, hour: int) -> float:
        """How the variance of what is new at an hour of day compares with what was expected at first."""
        return (self._by_day if _by_day(hour) else self._by_night).value

    def slow_scale(self) -> float:
        """The same of the deviation that fades in days."""
        return self._slow.value

    def weekends_scale(self) -> float:
        """The same of how much one weekend's depth differs from another's."""
        return self._weekends.value

    def advance(self, hour: int, local_hour: int) -> None:
        """Let time pass to a clock hour (Unix hours, and local); an earlier one changes nothing."""
        if self._hour is not None and hour > self._hour:
            self._fade(hour - self._hour, local_hour)
        self._hour = max(hour, self._hour or hour)

    def observe(self, place: Slot, seen_c: float, noise_k2: float) -> None:
        """What surrounded the cup in the hour reached, with the variance of how that was found."""
        if place.school_day and self._idle:  # the next weekend is another one
            self._end_weekend()
        self._idle = not place.school_day
        self._doubt_the_cold(place)
        miss = seen_c - self.expected_c(place, 0)
        rows, factors = self._rows, (*self._factors(place, 0), (SUN, self.sun_part_k(place)))
        spread = self._known(factors) + noise_k2
        self._learn_scale(place.hour, min(9.0, miss * miss / spread))
        if miss * miss > SHOCK * SHOCK * spread:
            rows = self._shocked(place, miss)
            spread += miss * miss
        across = [0.0] * STATES
        for at, factor in factors:
            across = [a + factor * b for a, b in zip(across, rows[at], strict=True)]
        gains = [a / spread for a in across]
        self._mean = [m + g * miss for m, g in zip(self._mean, gains, strict=True)]
        self._rows = [
            array("d", [value - gain * other for value, other in zip(row, across, strict=True)])
            for row, gain in zip(rows, gains, strict=True)
        ]
        self._mean = self._with_sun_bounded()
        self._learn_slow_scale()
        self._rows[place.hour][place.hour] += DRIFT_K2 + SUN_DRIFT_K2 * room_state.sunny(place.hour)

    def _doubt_the_cold(self, place: Slot) -> None:
        """Far below the pattern of a school day, what comes is of today and may end any time."""
        below = -self.deviation_k()
        if place.school_day and below > COLD_K and self.sun_part_k(place) < COLD_K:  # else it is a cloud
            rows, doubt = list(self._rows), (COLD_DOUBT * below) ** 2
            for state in (FAST, SLOW):
                rows[state] = array("d", rows[state])
                rows[state][state] += doubt
            self._rows = rows

    def expected_c(self, place: Slot, ahead_h: float) -> float:
        """What will surround the cup in a slot that lies `ahead_h` hours after the hour reached, °C."""
        lasting_c = sum(factor * self._mean[at] for at, factor in self._factors(place, ahead_h))
        return lasting_c + (self._mean[SUN] * self.sun_part_k(place) if ahead_h <= place.hour else 0.0)

    def pattern_c(self, place: Slot) -> float:
        """What the pattern alone says of a slot, °C."""
        return sum(factor * self._mean[at] for at, factor in place.places)

    def today_c(self, place: Slot) -> float:
        """What the pattern says of a slot of today, with as much sun as today has, °C."""
        return self.pattern_c(place) + self._mean[SUN] * self.sun_part_k(place)

    def sunless_c(self, place: Slot) -> float:
        """What the pattern says of a slot without any sun, °C."""
        return self.pattern_c(place) - self.sun_part_k(place)

    def sun_part_k(self, place: Slot) -> float:
        """How far a slot stands out of the line from the pattern's morning to its evening, K."""
        if not _by_day(place.hour):
            return 0.0
        early, first, hour, late = (
            self._mean[h] + (0.0 if place.school_day else self._mean[DAY_H + h])
            for h in (SUN_FROM_H - 1, SUN_FROM_H, place.hour, SUN_TO_H + 1)
        )
        share = (place.hour - SUN_FROM_H + 1) / (SUN_TO_H - SUN_FROM_H + 2)
        bump = max(0.0, hour - (1.0 - share) * min(early, first) - share * late)
        return bump**3 / (bump**2 + NO_SUN_K**2)

    def sun_today(self) -> SunToday:
        """What was seen of today's sun."""
        return SunToday(self._mean[SUN], sqrt(self._rows[SUN][SUN]), SUN_SD)

    def usual_sun_k(self) -> float:
        """A day's sun by the pattern, K, as `sunny_days` measures it."""
        return sun_k(dict(enumerate(self._mean[:DAY_H]))) or 0.0

    def deviation_k(self, ahead_h: float = 0.0) -> float:
        """How today differs from the pattern, K, the sun aside: now, and what will be left of it."""
        fast, slow = exp(-ahead_h / FAST_H), exp(-ahead_h / SLOW_H)
        return fast * self._mean[FAST] + slow * self._mean[SLOW]

    def usual_deviation_k(self, place: Slot) -> float:
        """How far today may differ from the pattern in a slot, and that be wrong itself, as an sd, K."""
        by_day = self.scale(place.hour) * FAST_SD**2 + self.slow_scale() * SLOW_SD**2
        return sqrt(by_day + max(0.0, self._known(place.places)))

    def sds_k(self, place: Slot, ahead_h: float) -> tuple[float, float]:
        """How unsure it is, today's sun aside, as sds in K: from what is not known, from what is to come."""
        factors = self._factors(place, ahead_h)
        fast, slow = factors[-2][1], factors[-1][1]
        new = self.scale(place.hour) * FAST_SD**2 * (1.0 - fast * fast)
        new += self.slow_scale() * SLOW_SD**2 * (1.0 - slow * slow)
        return sqrt(max(0.0, self._known(factors))), sqrt(new)

    def warmer_sd_k(self, place: Slot, ahead_h: float) -> float:
        """The first of both for what would be warmer than foreseen, K.

        No heating runs longer for the weekend: the night before it may be colder than others, but not warmer.
        """
        return self.sds_k(place.as_usual() if place.before_weekend else place, ahead_h)[0]

    def set_back_k(self, now: Slot) -> list[float | None]:
        """By path of a forecast, how far a first weekend may lie below other days, K (`first_weekend`).

        Empty once one was seen, or has begun.
        """
        if self._before_weekend is not None or now.before_weekend or not now.school_day:
            return []
        evening, midnight, end, morning = (
            self._mean[h] for h in (EVENING_H, MIDNIGHT, NIGHT_ENDS, MORNING_H)
        )
        warm = kept_warm((end - midnight) / (NIGHT_ENDS - MIDNIGHT), 0.5 * (evening + morning) - end)
        return set_back_k(warm)

    def _factors(self, place: Slot, ahead_h: float) -> tuple[tuple[int, float], ...]:
        return (*place.places, (FAST, exp(-ahead_h / FAST_H)), (SLOW, exp(-ahead_h / SLOW_H)))

    def _known(self, factors: tuple[tuple[int, float], ...]) -> float:
        return sum(f * g * self._rows[a][b] for a, f in factors for b, g in factors)

    def _with_sun_bounded(self) -> list[float]:
        """The mean, given that today's sun is between none and a usual day's: what is beyond is not of today.

        More than the usual is news of the pattern, as clear days are much alike; less than none is cold.
        """
        beyond = min(0.0, max(-1.0, self._mean[SUN])) - self._mean[SUN]
        if beyond == 0.0:
            return self._mean
        row = self._rows[SUN]
        return [m + beyond * value / row[SUN] for m, value in zip(self._mean, row, strict=True)]

    def _fade(self, hours: int, local_hour: int) -> None:
        fast, slow = exp(-hours / FAST_H), exp(-hours / SLOW_H)
        mean, rows = list(self._mean), _packed(self._rows)
        by_fast, by_slow = self.scale(local_hour) * FAST_SD**2, self.slow_scale() * SLOW_SD**2
        for place, keep, usual_k2 in ((FAST, fast, by_fast), (SLOW, slow, by_slow)):
            mean[place] *= keep
            rows[place] = array("d", (value * keep for value in rows[place]))
            for row in rows:
                row[place] *= keep
            rows[place][place] += usual_k2 * (1.0 - keep * keep)
        if hours > local_hour:  # another day
            mean[SUN], rows[SUN] = 0.0, array("d", [0.0] * STATES)
            for row in rows:
                row[SUN] = 0.0
            rows[SUN][SUN] = SUN_SD * SUN_SD
        elif _by_day(local_hour):
            rows[SUN][SUN] += SUN_STEP_SD * SUN_STEP_SD * hours
        self._mean, self._rows = mean, rows

    def _learn_scale(self, hour: int, squared: float) -> None:
        if _by_day(hour):
            self._by_day = self._by_day.after(squared * self._by_day.value)
        else:
            self._by_night = self._by_night.after(squared * self._by_night.value)

    def _learn_slow_scale(self) -> None:
        """From what is known of the deviation itself: its mean's square should be what is known of it.

        One hour ahead it is hidden by the other one; a miss an hour later says little of days.
        """
        usual_k2 = self.slow_scale() * SLOW_SD**2
        known = max(0.0, 1.0 - self._rows[SLOW][SLOW] / usual_k2)
        seen = min(self._mean[SLOW] ** 2, SLOW_SQUARE_MOST * known * usual_k2) / SLOW_SD**2
        self._slow = self._slow.after(seen, known)

    def _end_weekend(self) -> None:
        """Learns from what a weekend changed, by the variance it took away; then the next is another one.

        What was not known of any weekend of the room, as before the first, tells little of how they differ.
        """
        depth_k, known_k2 = room_state.idle_depth(self._mean, self._rows)
        if self._before_weekend is not None:
            before_k, before_k2, share = self._before_weekend
            seen = max(0.0, 1.0 - known_k2 / before_k2)
            square = min((depth_k - before_k) ** 2 / before_k2, WEEKEND_SQUARE_MOST * seen)
            self._weekends = self._weekends.after(share * square * self.weekends_scale(), share * seen)
        differ_sd = room_state.WEEKENDS_DIFFER_SD * sqrt(self.weekends_scale())
        self._rows = _packed(room_state.deepened(self._rows, differ_sd, with_friday=False))
        _, ahead_k2 = room_state.idle_depth(self._mean, self._rows)
        self._before_weekend = (depth_k, ahead_k2, 1.0 - known_k2 / ahead_k2)

    def _shocked(self, place: Slot, miss: float) -> Rows:
        """The rows, less sure where a miss of that size may come from."""
        rows: Rows = [list(row) for row in self._rows]
        if _sunny(place, miss):
            rows[FAST][FAST] += (1.0 - SUN_SHARE) * miss * miss
            reach = [_reach(hour, place.hour) for hour in range(DAY_H)]
            for row, own in zip(rows, reach, strict=False):
                for hour, other in enumerate(reach):
                    row[hour] += SUN_SHARE * miss * miss * own * other
        elif place.school_day and len(place.places) == 1:
            rows[FAST][FAST] += 0.5 * miss * miss
            rows[SLOW][SLOW] += 0.5 * miss * miss
        elif place.school_day:  # the evening before days without people tells of them
            rows[FAST][FAST] += 0.5 * miss * miss
            rows = room_state.deepened(rows, sqrt(0.5) * abs(miss))
        elif place.places[-1][0] == WARMING:
            rows[FAST][FAST] += 0.5 * miss * miss
            rows[WARMING][WARMING] += 0.5 * miss * miss
        else:
            rows[FAST][FAST] += 0.5 * miss * miss
            for row in rows[DAY_H : 2 * DAY_H]:
                row[DAY_H : 2 * DAY_H] = [value + 0.5 * miss * miss for value in row[DAY_H : 2 * DAY_H]]
        return rows


def _sunny(place: Slot, miss: float) -> bool:
    return miss > 0.0 and _by_day(place.hour)


def _reach(hour: int, centre: int) -> float:
    """How far what is seen of the sun at one hour tells of another."""
    return room_state.sunny(hour) * exp(-abs(hour - centre) / room_state.SMOOTH_H)


def _by_day(hour: int) -> bool:
    return SUN_FROM_H <= hour <= SUN_TO_H
