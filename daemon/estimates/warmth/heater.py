"""Whether a heater with a thermostat holds the water, at which warmth, and whether it works now.

Two questions with a log odds each. *Is there one?* asks of water that stood level for hours: how much
likelier is that warmth where a thermostat holds it than where only the room and the lamp do; did the evening,
the room's air or the lamp move what surrounds the water, and the water not? *Does it work?* asks of each half
hour: water at its level says yes; water below it that does not rise says no, for a heater would warm it, and
that there may never have been one. Both are judgements [P], capped, so that no evidence is final: a heater
fails, is mended, is taken away.

Where the station file gives `heater_c`, there is one. Water may be warmer than it is held: it cools nothing.
"""

from dataclasses import dataclass, replace
from math import exp, hypot, log

from daemon.estimates.quantile import normal_cdf
from daemon.estimates.warmth.cup_heat import CupHeat
from daemon.estimates.warmth.half_hours import HALF_HOUR_S, HalfHour
from daemon.seconds import HOUR_S

# How likely a heater is before anything was seen, as log odds, by kind of vessel [P]: 0.3, 0.15 and 0.03.
USUAL = {"cone": -0.85, "jar": -1.7, "cup": -3.5}
GIVEN = 4.0
# Where thermostats of hatching vessels are set, and how near to its number one that was given is, °C [P].
SET_C, SET_SD_C = 26.5, 2.2
NEAR_SD_C = 0.7
# What surrounds a vessel without a heater, lamp aside: a classroom, day and night in one (`room_state`) [P].
ROOM_C, ROOM_SD_C = 19.5, 3.2
ROOM_OWN_SD_C = 0.5  # where the air is measured: a warm corner, the probe
LEVEL_K = 0.3  # half hours that differ by less are level: a thermostat's band, the probe's step
LEAST_H, EVENING_LEAST_H, ELSEWHERE_H = 3.0, 2.0, 10.0
LEVEL_LEAST, LEVEL_MOST = -5.0, 6.0
# Rooms that stand level by themselves, day and night, are one in five: no more than that is proved by it [P].
STEADY_PER_H, STEADY_MOST = 0.4, 1.6
MOVED_K, MOVED_MOST = 0.5, 3.0
LAMP_K, LAMP_LEAST = 0.7, 0.02
# Works: a half hour at its level, below it without rising (falling: twice that); the odds at first.
HOLDS, MENDED, FAILS, AT_FIRST = 1.0, 0.5, -1.5, 3.0
MOST, LEAST, WORKS_LEAST = 4.0, -5.0, -3.0
BELOW_K, FAR_BELOW_K = 0.5, 0.8
RISES_K_PER_H, RISE_K_PER_H = 0.3, 3.0
# Water that leaves its level tells of a heater that failed, or of none: failing is rare. What is no longer
# believed in is forgotten, and the next level has less for it.
LEFT, GONE = -3.0, -1.5
SPOKEN_OF = 0.6  # log odds, of a cone that stood at 26.8 °C and failed 0.7; in a room of 23 °C 0.5 [P]
LEAST_SHARE = 0.25  # below that nothing is made of a heater that was not given
FRESH_SD_C, LEVEL_SD_C = 0.4, 0.15
# How water swings about its level: at first, at least; the lowest of 16 draws lies 1.8 sd below their mean.
SWING_SD_C, SWING_LEAST_SD_C, SWING_MOST_SD_C, LOWEST_SDS = 0.25, 0.05, 0.8, 1.8
LOW_FORGOTTEN_K = 0.02  # an hour


@dataclass(frozen=True, slots=True)
class Held:
    """A heater as believed: how sure it is that it holds the water now, and where (°C).

    Water below its level rises by `rise_k_per_h`. About its level it swings, as a thermostat's band has it:
    the lowest of 16 hours lies about 1.8 `swing_sd_c` below it.
    """

    share: float
    level_c: float
    level_sd_c: float
    swing_sd_c: float
    rise_k_per_h: float


@dataclass(frozen=True, slots=True)
class LevelRun:
    """Half hours that follow each other and in which the water stood level, with what was around it.

    `heat` is the cup as believed when it began: what is learned of a cup in held water is wrong.
    """

    began: int
    ended: int
    heat: CupHeat
    hours: float = 0.0
    mean_c: float = 0.0
    low_c: float = 99.0
    evening_h: float = 0.0
    lit_h: float = 0.0
    room_h: float = 0.0
    room_c: float = 0.0
    room_low_c: float = 99.0
    room_high_c: float = -99.0

    def with_half_hour(self, half_hour: HalfHour, low_c: float, *, evening: bool) -> "LevelRun":
        """One more, and the lowest of it."""
        hours = self.hours + half_hour.hours
        share = half_hour.hours / hours
        grown = replace(
            self,
            ended=half_hour.began + round(half_hour.hours * HOUR_S),
            hours=hours,
            mean_c=self.mean_c + share * (half_hour.water_c - self.mean_c),
            low_c=min(self.low_c + LOW_FORGOTTEN_K * half_hour.hours, low_c),
            evening_h=self.evening_h + (half_hour.hours if evening else 0.0),
            lit_h=self.lit_h + half_hour.lit * half_hour.hours,
        )
        if half_hour.room_c is None:
            return grown
        room_h = self.room_h + half_hour.hours
        return replace(
            grown,
            room_h=room_h,
            room_c=self.room_c + half_hour.hours / room_h * (half_hour.room_c - self.room_c),
            room_low_c=min(self.room_low_c, half_hour.room_c),
            room_high_c=max(self.room_high_c, half_hour.room_c),
        )

    @property
    def room_known(self) -> bool:
        """Whether the air was measured for most of it."""
        return self.room_h > 0.7 * self.hours

    def speaks_for_a_heater(self, set_c: float, set_sd_c: float) -> float:
        """Log of how much likelier it is where a thermostat set to about `set_c` holds the water."""
        lit = self.lit_h / self.hours
        passive_c, passive_sd_c = ROOM_C, ROOM_SD_C
        if self.room_known:
            passive_c = self.room_c + self.heat.offset_k
            passive_sd_c = hypot(ROOM_OWN_SD_C, self.heat.offset_sd_k)
        passive_c += lit * self.heat.rise_k
        passive_sd_c = hypot(passive_sd_c, lit * self.heat.rise_sd_k)
        level = _log_normal(self.mean_c, set_c, set_sd_c) - _log_normal(self.mean_c, passive_c, passive_sd_c)
        return min(LEVEL_MOST, max(LEVEL_LEAST, level)) + self._unmoved() + self._unlit()

    def _unmoved(self) -> float:
        if self.room_known:
            return min(MOVED_MOST, 0.5 * ((self.room_high_c - self.room_low_c) / MOVED_K) ** 2)
        return min(STEADY_MOST, STEADY_PER_H * self.evening_h)

    def _unlit(self) -> float:
        """A lamp went on or off and the water stayed: lamps lift water, a thermostat then heats less."""
        if min(self.lit_h, self.hours - self.lit_h) < 1.0 or self.heat.rise_sd_k <= 0.0:
            return 0.0
        return -log(max(LAMP_LEAST, normal_cdf((LAMP_K - self.heat.rise_k) / self.heat.rise_sd_k)))


class HeaterBelief:
    """Feed half hours in time order. Nothing in it is changed in place: copies may share its parts."""

    def __init__(self, kind: str, heater_c: float | None) -> None:
        self._set_c, self._set_sd_c = (SET_C, SET_SD_C) if heater_c is None else (heater_c, NEAR_SD_C)
        self._prior = USUAL[kind] if heater_c is None else GIVEN
        self._is_given, self._can_be_heated = heater_c is not None, kind != "cup"
        self._level_c, self._level_sd_c = heater_c, NEAR_SD_C
        self._is_there = self._prior if self._is_given else LEAST
        self._works, self._was_level = AT_FIRST, False
        self._rise_k_per_h = RISE_K_PER_H
        self._swing_sd_c = SWING_SD_C
        self._low_at, self._low_c = 0, 99.0
        self._run: LevelRun | None = None

    def copy(self) -> "HeaterBelief":
        """A copy that goes its own way."""
        twin = HeaterBelief.__new__(HeaterBelief)
        twin.__dict__.update(self.__dict__)
        return twin

    @property
    def held(self) -> Held | None:
        """The heater as believed; None where none is to be spoken of."""
        share = _share(self._is_there) * _share(self._works)
        if self._level_c is None or (share < LEAST_SHARE and not self._is_given):
            return None
        return Held(share, self._level_c, self._level_sd_c, self._swing_sd_c, self._rise_k_per_h)

    @property
    def holds(self) -> bool:
        """Whether it is likelier than not that a heater holds the water now."""
        held = self.held
        return held is not None and held.share > 0.5

    @property
    def is_there(self) -> bool:
        """Whether people may be asked about one, working or not: it was given, or is two in three sure.

        Never of a cup without one given: a steady warm room looks alike, and cups are hardly ever heated.
        """
        return self._is_given or (
            self._can_be_heated and self._level_c is not None and self._is_there >= SPOKEN_OF
        )

    @property
    def level_began(self) -> int | None:
        """Since when (Unix s) the water has stood level; None where it does not."""
        return self._run.began if self._run else None

    def begin(self) -> None:
        """A batch is set: what stood idle is plugged in with it, and holds what was given, not the room."""
        self._works = max(self._works, AT_FIRST)
        if self._is_given and abs((self._level_c or 0.0) - self._set_c) > 2.0 * NEAR_SD_C:
            self._level_c, self._level_sd_c, self._was_level = self._set_c, self._set_sd_c, False
            self._is_there, self._run = self._prior, None

    def see(self, at: int, water_c: float) -> None:
        """The water of some minutes: the lowest of a half hour tells how far it swings."""
        low_c = self._low_c if at // HALF_HOUR_S == self._low_at // HALF_HOUR_S else water_c
        self._low_at, self._low_c = at, min(low_c, water_c)

    def feed(self, half_hour: HalfHour, heat: CupHeat, *, evening: bool) -> None:
        """A half hour without a deed inside; `evening` says that rooms cool now, if they ever do."""
        self._follow_level(half_hour, heat, evening=evening)
        self._judge_level()
        if self._level_c is not None:
            self._judge_work(half_hour, self._level_c)

    def _follow_level(self, half_hour: HalfHour, heat: CupHeat, *, evening: bool) -> None:
        run = self._run
        follows = run is not None and half_hour.began - run.ended < LEAST_H * HOUR_S
        if run is None or not follows or abs(half_hour.water_c - run.mean_c) > LEVEL_K:
            run = LevelRun(half_hour.began, half_hour.began, heat)
        self._run = run.with_half_hour(half_hour, min(self._low_c, half_hour.water_c), evening=evening)

    def _judge_level(self) -> None:
        """What water that stands level says of a heater: of the one believed in, or of another warmth."""
        run = self._run
        if run is None or run.hours < LEAST_H:
            return
        found = self._prior + run.speaks_for_a_heater(self._set_c, self._set_sd_c)
        if not self._is_given and not run.room_known and run.evening_h < EVENING_LEAST_H:
            found = min(0.0, found)  # by day many rooms stand level
        if self._level_c is None or abs(run.mean_c - self._level_c) > BELOW_K:
            # A lamp holds a vessel level for an evening; what held it elsewhere before has to be outweighed.
            enough_h = ELSEWHERE_H if self._was_level else LEAST_H
            if self._is_there > 0.0 and (found <= 0.0 or run.hours < enough_h):
                return
            self._works, self._is_there = AT_FIRST, LEAST
        self._was_level = True
        self._is_there = min(MOST, max(self._is_there, found))
        self._level_c, self._level_sd_c = run.mean_c, max(LEVEL_SD_C, FRESH_SD_C / run.hours**0.5)
        swing_sd_c = (run.mean_c - run.low_c) / LOWEST_SDS
        self._swing_sd_c = min(SWING_MOST_SD_C, max(SWING_LEAST_SD_C, swing_sd_c))

    def _judge_work(self, half_hour: HalfHour, level_c: float) -> None:
        below_k, slope = level_c - half_hour.water_c, half_hour.slope_k_per_h
        worked = self._works >= 0.0
        if below_k < BELOW_K:
            # A lamp or the sun may bring it there too: one that failed must hold it for hours.
            mended = self._works < 0.0
            if not mended or below_k > -BELOW_K:
                self._works = min(MOST, self._works + (MENDED if mended else HOLDS))
        elif slope > RISES_K_PER_H:
            self._rise_k_per_h = min(4.0 * RISE_K_PER_H, slope)
        elif below_k > FAR_BELOW_K:
            fails = 2.0 * FAILS if slope < -RISES_K_PER_H else FAILS
            self._works = max(WORKS_LEAST, self._works + fails * half_hour.hours / 0.5)
        if worked and self._works < 0.0 and not self._is_given:
            self._is_there += LEFT
            if self._is_there < 0.0:
                self._level_c, self._works, self._is_there = None, AT_FIRST, LEAST
                self._prior = max(LEAST, self._prior + GONE)


def _share(log_odds: float) -> float:
    return 1.0 / (1.0 + exp(-log_odds))


def _log_normal(x: float, mean: float, sd: float) -> float:
    return -0.5 * ((x - mean) / sd) ** 2 - log(sd)
